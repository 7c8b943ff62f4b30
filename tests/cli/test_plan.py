"""Molds and plans as a shop types them."""
import sys
import unittest

from shop import Shop

FLOZ = 231 * 2.54**3 / 128  # NIST Handbook 44, appendix C: a gallon of 231 cubic inches is 128 fl oz


class Plan(Shop):
    def setUp(self):
        super().setUp()
        self.ok("pattern", "add", "creek", "--layer", "back", "--layer", "side", "--layer", "belly")

    def craw(self):
        return self.json("mold", "add", "craw", "--cavities", 4, "--bait-volume", "9ml", "--runner-volume", "6ml", "--sprue", "away",
                         "--back", "left")

    def test_mold_kept_changed_undone_and_removed(self):
        self.assertEqual(self.craw(), {"name": "craw", "cavities": 4, "bait_ml": 9, "runner_ml": 6, "fill_ml": 42, "sprue": "away",
                                       "back": "left"})
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


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
