"""Molds and plans as a shop types them."""
import re
import sys
import unittest

from shop import Shop

FLOZ = 231 * 2.54**3 / 128  # NIST Handbook 44, appendix C: a gallon of 231 cubic inches is 128 fl oz
P = "creek crawfish"


class Plan(Shop):
    def setUp(self):
        super().setUp()
        self.ok("pattern", "add", "creek", "--layer", "back", "--layer", "side", "--layer", "belly")

    def craw(self):
        return self.json("mold", "add", "craw", "--cavities", 4, "--bait-volume", "9ml", "--runner-volume", "6ml", "--sprue", "away",
                         "--back", "left")

    def test_mold_kept_changed_undone_and_removed(self):
        self.assertEqual(self.craw(), {"name": "craw", "cavities": 4, "bait_ml": 9, "runner_ml": 6, "fill_ml": 42, "sprue": "away",
                                       "back": "left", "learned_from": 0})
        self.ok("mold", "add", "craw", "--cavities", 4, "--bait-volume", "12g", "--density", "1.2")
        got = self.json("mold", "show", "craw")
        self.assertAlmostEqual(got["bait_ml"], 10)
        self.assertEqual((got["sprue"], got["back"]), ("toward", "left"))
        self.assertIn("mold craw changed", self.ok("undo"))
        self.assertEqual(self.json("mold", "list")["molds"][0]["bait_ml"], 9)
        self.ok("mold", "remove", "craw")
        self.assertEqual(self.json("mold", "list")["molds"], [])
        self.ok("undo")
        self.assertEqual(len(self.json("mold", "list")["molds"]), 1)
        self.assertIn("whole", self.ok("book", "check"))

    def test_molds_travel_with_the_book(self):
        self.craw()
        export = self.folder / "all.json"
        self.ok("book", "export", export)
        self.book = self.folder / "other.db"
        self.ok("book", "import", export)
        self.assertEqual(self.json("mold", "show", "craw")["fill_ml"], 42)

    def learn(self, filled, left, *words):
        return self.json("mold", "learn", "craw", "--filled", filled, "--left", left, *words)

    # docs/plan.md, by hand: 250 ml less 82 ml in 4 fills are 42 ml a fill, less 6 ml of runner 9 ml a bait.
    def test_learned_from_what_was_left_over(self):
        self.craw()
        self.ok("mold", "add", "craw", "--cavities", 4, "--bait-volume", "8ml", "--runner-volume", "6ml", "--sprue", "away", "--back",
                "left")
        one = self.learn("250ml", "82ml", "--fills", 4)
        self.assertEqual((one["fill_ml"], one["bait_ml"], one["stated_bait_ml"], one["learned_from"], one["fill_doubt_ml"]),
                         (42, 9, 8, 1, None))
        two = self.learn("100ml", "54ml", "--baits", 4)  # 46 ml a fill: with four of 42 they are 42.8 in the mean
        self.assertEqual((two["fill_ml"], two["learned_from"]), (42.8, 2))
        # standard error of the mean, each record weighed by its fills: sqrt((4 * .8^2 + 1 * 3.2^2) / (1 * 5)) = 1.6
        self.assertAlmostEqual(two["fill_doubt_ml"], 1.6)
        self.ok("undo")
        self.assertEqual(self.json("mold", "show", "craw")["fill_ml"], 42)
        self.ok("redo")
        plan = self.json("plan", "creek", "--mold", "craw=5", "--waste", 0, "--metric")
        self.assertEqual([cup["volume_ml"] for cup in plan["cups"]], [75] * 3)  # a third of 5 x 42.8 is 71.3: up to the next 5
        warnings = " ".join(plan["warnings"])
        self.assertIn("The volume of craw is learned from 2 pours.", warnings)
        self.assertIn("off by 16 ml in all", warnings)  # 2 x 5 x 1.6, of 11 on top
        self.assertNotIn("off by", " ".join(self.json("plan", "creek", "--mold", "craw=5", "--waste", 10, "--metric")["warnings"]))

    def test_what_was_learned_travels_and_is_forgotten(self):
        self.craw()
        self.learn("250ml", "82ml", "--fills", 4)
        self.learn("252ml", "76ml", "--fills", 4)
        learned = self.json("mold", "show", "craw")
        export, own = self.folder / "all.json", self.book
        self.ok("book", "export", export)
        self.book = self.folder / "other.db"
        self.ok("mold", "add", "craw", "--cavities", 4, "--bait-volume", "9ml", "--runner-volume", "6ml", "--sprue", "away", "--back",
                "left")
        self.ok("book", "import", export)
        self.assertEqual(self.json("mold", "show", "craw"), learned)
        self.assertIn("whole", self.ok("book", "check"))
        self.book = own
        self.ok("mold", "add", "craw", "--cavities", 4, "--bait-volume", "9ml", "--runner-volume", "6ml", "--sprue", "toward")
        self.assertEqual(self.json("mold", "show", "craw")["learned_from"], 2)  # it only stands in another way
        self.ok("mold", "add", "craw", "--cavities", 5, "--bait-volume", "9ml", "--runner-volume", "6ml")
        self.assertEqual(self.json("mold", "show", "craw")["learned_from"], 0)
        self.ok("undo")
        self.assertEqual(self.json("mold", "show", "craw")["learned_from"], 2)

    def test_learning_refused(self):
        self.craw()
        self.refused(2, "--filled and --left", "mold", "learn", "craw", "--filled", "250ml", "--fills", 4)
        for words, part in ((("--filled", "250ml", "--left", "82ml"), "--fills or --baits"),
                            (("--filled", "250ml", "--left", "82ml", "--baits", 6), "no whole fills"),
                            (("--filled", "82ml", "--left", "250ml", "--fills", 4), "can't be left"),
                            (("--filled", "100ml", "--left", "95ml", "--fills", 4), "runner"),
                            (("--filled", "240g", "--left", "82ml", "--fills", 4), "density")):
            self.refused(2, part, "mold", "learn", "craw", *words)
        self.assertEqual(self.json("mold", "show", "craw")["learned_from"], 0)

    def test_mold_refused(self):
        good = ["mold", "add", "craw", "--cavities", 4, "--bait-volume", "9ml"]
        self.refused(2, "--bait-volume", *(good[:-2]))
        self.refused(2, "--cavities", *(good + ["--cavities", 0]))
        self.refused(2, "whole", *(good + ["--cavities", 2.5]))
        self.refused(2, "density", *(good + ["--bait-volume", "9g"]))
        self.refused(2, "toward, away, left or right", *(good + ["--sprue", "up"]))
        self.refused(2, "toward or away", *(good + ["--sprue", "left", "--back", "right"]))
        self.refused(2, "mold", *(["mold", "show", "crw"]))

    # The figures of docs/plan.md, worked out by hand there.
    def test_worked_example(self):
        self.craw()
        for layer, drops in (("back", "brown=16,orange=4"), ("side", "orange=20"), ("belly", "white=2,blue=4")):
            self.ok("pour", "creek", "--layer", layer, "--cup", drops, "--volume", "4floz", "--batch", "one")  # 4, 1; 5; 0.5, 1 per fl oz
        words = ["plan", "creek", "--mold", "craw", "--baits", 20, "--shares", "40,20,40", "--chamber-volume", "60ml", "--cup-volume",
                 "120ml", "--additive", "softener=5", "--powder", "belly:flake=0.2g", "--metric"]
        got = self.json(*words)
        self.assertEqual([cup["volume_ml"] for cup in got["cups"]], [95, 50, 95])
        self.assertEqual([cup["chamber"] for cup in got["cups"]], [3, 2, 1])
        self.assertEqual(got["cups"][0]["drops"], {"brown": 13, "orange": 3})
        self.assertEqual(got["cups"][1]["drops"], {"orange": 8})
        self.assertEqual(got["cups"][2]["drops"], {"white": 2, "blue": 3})
        self.assertAlmostEqual(got["cups"][0]["additives_ml"]["softener"], 4.52)
        self.assertAlmostEqual(got["cups"][2]["powders"][0]["grams"], 0.2 * 95 / FLOZ, places=3)
        self.assertEqual((got["total_ml"], got["shots"], got["enough"], got["baits"]), (240, 2, True, 20))
        self.assertEqual(got["shopping"]["drops"]["orange"], 11)
        self.assertIn("[belly] [side] [back]", self.ok(*words))

    def test_what_cannot_be_filled_is_said_first(self):
        self.craw()
        out = self.ok("plan", "creek", "--mold", "craw=2", "--chamber-volume", "10ml")
        self.assertTrue(out.startswith("This can't be poured as planned: do not heat anything yet."))
        self.assertIn("no drops are planned", out)

    def test_plan_refused(self):
        self.craw()
        for words, part in ((["plan", "creek"], "--mold"), (["plan", "creek", "--mold", "crab=1"], "mold"), (["plan", "creek", "--mold", "craw"], "baits"),
                            (["plan", "creek", "--mold", "craw=0"], "--mold"), (["plan", "nope", "--mold", "craw=1"], "pattern"),
                            (["plan", "creek", "--mold", "craw=1", "--shares", "50,50"], "3 percentages"),
                            (["plan", "creek", "--mold", "craw=1", "--powder", "fin:x=1g"], "layer"),
                            (["plan", "creek", "--mold", "craw=1", "--powder", "back:x=1"], "0.2g"),
                            (["plan", "creek", "--mold", "craw=1", "--additive", "softener"], "--additive")):
            self.refused(2, part, *words)


def modules(svg):
    """The dark modules of a QR code in a page."""
    dark = set()
    for x, y, wide in re.findall(r"M(\d+),(\d+)h(\d+)v1h-\d+z", svg):
        dark |= {(int(x) + i, int(y)) for i in range(int(wide))}
    return dark


class Sheet(Shop):
    def setUp(self):
        super().setUp()
        self.crawfish()
        self.ok("pour", P, "--batch", "7", "--new", "--layer", "back", "--cup", "brown=20,orange=4", "--measured", "33,8,10")
        self.ok("pour", P, "--batch", "7", "--layer", "belly", "--cup", "white=14,orange=2", "--measured", "67,7,20")
        self.ok("mold", "add", "craw", "--cavities", 4, "--bait-volume", "12ml", "--sprue", "left", "--back", "toward")

    def page(self, *words):
        file = self.folder / "sheet.html"
        self.ok("sheet", P, "--html", file, *words)
        return file.read_text()

    def test_the_cups_in_the_order_of_the_chambers(self):
        sheet = self.json("sheet", P, "--mold", "craw")
        self.assertEqual(sheet["mold"], "craw")
        self.assertEqual(sheet["chambers"], ["belly", "back"])
        self.assertEqual([cup["layer"] for cup in sheet["cups"]], ["back", "belly"])
        self.assertIn("2 belly, 1 back", self.ok("sheet", P, "--mold", "craw"))
        self.assertIsNone(self.json("sheet", P)["chambers"])
        page = self.page("--mold", "craw")
        self.assertLess(page.index("2 belly</text>"), page.index("1 back</text>"))

    def test_every_drop_can_be_ticked(self):
        self.assertEqual(self.page().count("\u25cb"), 20 + 4 + 14 + 2)

    def test_the_bait_is_drawn(self):
        self.assertIn("over a light and a dark bottom", self.page("--outline", "crawfish", "--shares", "60,40"))
        self.refused(2, "--outline", "sheet", P, "--html", self.folder / "x.html", "--outline", "whale")

    def test_a_code_only_where_the_page_is_known(self):
        self.assertNotIn('class="qr"', self.page().split("</style>")[1])
        page = self.page("--address", "http://192.168.1.7:8321/")
        dark = modules(page)
        side = max(x for x, y in dark) + 1
        self.assertEqual(side % 4, 1)
        # The three finder patterns of ISO/IEC 18004: a dark frame of 7 modules around a dark square of 3.
        for left, top in ((0, 0), (side - 7, 0), (0, side - 7)):
            for i in range(7):
                for j in range(7):
                    frame = i in (0, 6) or j in (0, 6)
                    inner = 2 <= i <= 4 and 2 <= j <= 4
                    self.assertEqual((left + i, top + j) in dark, frame or inner)
        self.assertNotEqual(modules(self.page("--address", "http://192.168.1.8:8321/")), dark)


class Advised(Shop):
    """A batch as it is beside what it will be with what is advised."""

    def setUp(self):
        super().setUp()
        self.crawfish()
        self.fitted()
        self.ok("pour", "creek crawfish", "--batch", 1, "--new", "--layer", "back", "--cup", "orange=12,brown=2", "--measured", "41,15,17")
        self.ok("pour", "creek crawfish", "--batch", 1, "--layer", "belly", "--cup", "white=2", "--measured", "51,0,-2")

    def blend(self, *words):
        return self.json("blend", "--pattern", "creek crawfish", "--batch", 1, "--advised", *words)

    def test_beside_each_other(self):
        picture = self.folder / "bait.svg"
        got = self.blend("--svg", picture)
        advice = {layer["name"]: layer["advice"][0] for layer in self.json("advise", "--pattern", "creek crawfish", "--batch", 1)["layers"]}
        self.assertEqual([layer["lab"] for layer in got["layers"]], [[41, 15, 17], [51, 0, -2]])
        for layer in got["then"]["layers"]:
            self.assertEqual(layer["lab"], advice[layer["name"]]["predicted"])  # as advise has it, to the digit
        text = picture.read_text()
        self.assertEqual((text.count("as it is</text>"), text.count("as it will be</text>")), (2, 2))

    def test_on_the_sheet(self):
        page = self.folder / "sheet.html"
        self.ok("sheet", "creek crawfish", "--html", page)
        text = page.read_text()
        self.assertEqual((text.count("as it is</text>"), text.count("as it will be</text>")), (2, 2))
        out, advice = self.ok("sheet", "creek crawfish"), self.json("advise", "--pattern", "creek crawfish", "--batch", 1)["layers"]
        for drops in (layer["advice"][0]["add"] for layer in advice):
            for bottle, count in drops.items():
                self.assertRegex(out, f"add .*{count:g} drops? {bottle}")

    def test_nothing_is_advised(self):
        for layer, lab in (("back", "41,15,17"), ("belly", "51,0,-2")):
            self.ok("target", "set", "creek crawfish", layer, "--lab", lab)
        picture = self.folder / "bait.svg"
        self.assertEqual(self.blend("--svg", picture)["then"], None)
        self.assertNotIn("as it is", picture.read_text())


class Evening(Shop):
    """What evens two layers is held to the book's settings and to what is unwanted, as all advice is."""

    def even(self, *words):
        return self.json("blend", *words)["blends"][0]["even"]["add"]

    def test_unwanted_bottles_and_limits(self):
        cups = ("--cup", "back:orange=16;white=24", "--cup", "belly:blue=2")
        self.ok("settings", "step", "drops")
        first = self.even(*cups)
        self.assertGreater(len(first), 1)
        unwanted = next(bottle for bottle in first if bottle != "blue")
        self.ok("settings", "unwanted", unwanted)
        self.assertNotIn(unwanted, self.even(*cups))
        self.ok("settings", "max-bottles", "1")
        self.assertLessEqual(set(self.even(*cups)), {"blue", "orange", "white"})

    def test_unwanted_in_the_pattern(self):
        self.crawfish()
        self.ok("pour", "creek crawfish", "--layer", "back", "--cup", "orange=16;white=24")
        self.ok("pour", "creek crawfish", "--batch", "1", "--layer", "belly", "--cup", "blue=2")
        words = ("--pattern", "creek crawfish", "--batch", "1")
        unwanted = next(bottle for bottle in self.even(*words) if bottle != "blue")
        self.ok("pattern", "unwanted", "creek crawfish", unwanted)
        self.assertNotIn(unwanted, self.even(*words))


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
