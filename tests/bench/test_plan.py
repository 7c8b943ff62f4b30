"""Blends, molds and plans at the page and by command: the same words, the same figures to the digit."""
import json
import pathlib

from bench import BenchTest, WorkTest, main

P = "creek crawfish"
TARGETS = {"back": [33, 8, 10], "side": [52, 18, 40], "belly": [67, 7, 20]}
LAYERS = list(TARGETS)
SLAB = {"thickness_mm": 10, "over": "gray"}
FAINT = {"back": {"brown": 40, "orange": 6}, "side": {"orange": 3}, "belly": {"blue": 1}}  # the back drowns the side


def bait_of(page):
    at = page.index('<svg xmlns="http://www.w3.org/2000/svg"')
    return page[at:page.index("</svg>", at)]


class Doors(WorkTest):
    def setUp(self):
        super().setUp()
        self.lay_out(P, TARGETS)

    def command(self, *words):
        return json.loads(self.bench.command(*words, "--json"))

    def as_the_page_asks(self):
        return [{"name": cup["layer"], "target": TARGETS[cup["layer"]], "measured": cup["measured"], "drops": cup["drops"],
                 "volume_floz": cup["volume_floz"], "capacity_floz": cup["capacity_floz"]} for cup in self.work["cups"]]

    def craw(self, **more):
        answer = self.bench.post("/api/molds", {"name": "craw", "cavities": 4, "bait_volume": "9ml", "runner_volume": "6ml",
                                                "sprue": "away", "back": "left", **more})
        self.assertEqual(answer.status, 200, answer.bytes)
        return answer.json["molds"]

    # ---- blends

    def test_blends_by_batch_and_by_the_cups_that_the_page_shows(self):
        for cups in ({"back": {"brown": 16, "orange": 4}, "belly": {"blue": 6}}, FAINT):
            self.pour(cups)
            told = self.command("blend", "--pattern", P, "--batch", 1, "--thickness", 10, "--over", "gray")
            for body in ({"pattern": self.pattern, "batch": "1"}, {"pattern": P, "layers": self.as_the_page_asks()}):
                got = self.bench.post("/api/blend", {**body, "slab": SLAB}).json
                self.assertIn("<svg", got.pop("svg"))
                self.assertEqual(got, told)
        self.assertEqual(told["blends"][0]["overpowers"], "back")
        text = self.bench.command("blend", "--pattern", P, "--batch", 1, "--thickness", 10, "--over", "gray")
        for warning in told["warnings"]:
            self.assertIn(f"! {warning}", text)
        self.assertIn(f"> {told['blends'][0]['even']['words']}\n", text)

    def test_the_picture(self):
        self.pour(FAINT)
        file = pathlib.Path(self.bench.folder.name) / "bait.svg"
        self.bench.command("blend", "--pattern", P, "--batch", 1, "--thickness", 10, "--over", "gray", "--svg", file, "--outline",
                           "crawfish", "--shares", "40,20,40")
        got = self.bench.post("/api/blend", {"pattern": self.pattern, "batch": "1", "slab": SLAB, "outline": "crawfish",
                                             "shares": [40, 20, 40]}).json
        self.assertEqual(got["svg"], file.read_text())

    def test_a_layer_without_aim_is_shown_by_its_drops(self):
        plain = {"drops": {"orange": 12}, "volume_floz": 4}
        both = [{"name": "back", **plain}, {"name": "belly", "drops": {"blue": 3}, "volume_floz": 4}]
        told = self.command("blend", "--cup", "back:orange=12", "--cup", "belly:blue=3", "--volume", "4floz")
        got = self.bench.post("/api/blend", {"layers": both}).json
        got.pop("svg")
        self.assertEqual(got, told)
        one = self.bench.post("/api/blend", {"layers": both[:1]}).json
        self.assertEqual((one["layers"], one["blends"]), (told["layers"][:1], []))
        self.assertIn("back", self.assert_refused(self.bench.post("/api/blend", {"layers": [{"name": "back"}]}), 400))

    def test_blends_refused(self):
        body = {"pattern": self.pattern}
        for wrong in ({"outline": "whale"}, {"shares": [50, 50]}, {"shares": [50, 20, 10]}, {"shares": "40,20,40"},
                      {"shares": [98, 1, "1"]}):
            self.assert_refused(self.bench.post("/api/blend", {**body, **wrong}), 400)
        self.assert_refused(self.bench.post("/api/blend", {"pattern": 77}), 404)

    # ---- molds

    def test_molds_at_both_doors(self):
        kept = self.craw()
        line = kept[0].pop("words")
        self.assertEqual(kept, self.command("mold", "list")["molds"])
        self.assertEqual(self.bench.command("mold", "list"), line + "\n")
        self.bench.command("mold", "add", "craw", "--cavities", 6, "--bait-volume", "12g", "--density", "1.2")
        changed = self.bench.get("/api/molds").json["molds"]
        self.assertEqual(self.craw(cavities=6, bait_volume="12g", density=1.2, runner_volume=None, sprue=None, back=None), changed)
        self.assertEqual(self.bench.get("/api/state").json["molds"], changed)
        self.assertEqual(self.bench.ask("DELETE", "/api/molds", {"name": "craw"}).json["molds"], [])

    def test_molds_refused(self):
        for wrong in ({"cavities": 0}, {"cavities": 2.5}, {"bait_volume": "9g"}, {"bait_volume": None}, {"sprue": "up"}, {"name": "x" * 99},
                      {"name": ""}):
            good = {"name": "craw", "cavities": 4, "bait_volume": "9ml"}
            self.assert_refused(self.bench.post("/api/molds", {**good, **wrong}), 400, 422)
        self.assertIn("toward or away", self.assert_refused(
            self.bench.post("/api/molds", {"name": "craw", "cavities": 4, "bait_volume": "9ml", "sprue": "left", "back": "right"}), 422))
        self.assert_refused(self.bench.ask("DELETE", "/api/molds", {"name": "craw"}), 404)
        self.assertEqual(self.bench.get("/api/molds").json["molds"], [])

    # ---- the plan

    def planned(self, *words, **body):
        told = self.command("plan", P, *words)
        got = self.bench.post("/api/plan", {"pattern": self.pattern, **body})
        self.assertEqual(got.status, 200, got.bytes)
        plan = got.json
        said, drawings = plan.pop("words"), plan.pop("drawings")
        plan.pop("colors")
        self.assertEqual(plan, told)
        lines = [line.strip() for line in self.bench.command("plan", P, *words).splitlines()]
        for line in [said["refusal"], *said["fills"], *sum(said["cups"], []), *sum(said["molds"], []), *said["shopping"]]:
            self.assertIn(line, lines)
        return plan, said, drawings

    def test_the_worked_example_of_the_docs(self):
        self.craw()
        self.pour({"back": {"brown": 16, "orange": 4}, "side": {"orange": 20}, "belly": {"white": 2, "blue": 4}})
        self.bench.command("settings", "units", "metric")
        plan, said, drawings = self.planned(
            "--mold", "craw", "--baits", 20, "--shares", "40,20,40", "--chamber-volume", "60ml", "--cup-volume", "120ml", "--additive",
            "softener=5", "--powder", "belly:flake=0.2g",
            molds=[{"name": "craw"}], baits=20, shares=[40, 20, 40], chamber_volume="60ml", cup_volume="120ml", additives=["softener=5"],
            powders=["belly:flake=0.2g"])
        # docs/plan.md, worked out by hand there
        self.assertEqual([cup["volume_ml"] for cup in plan["cups"]], [95, 50, 95])
        self.assertEqual(plan["cups"][0]["drops"], {"brown": 13, "orange": 3})
        self.assertEqual(plan["molds"][0]["chambers"], ["belly", "side", "back"])
        self.assertIn("chambers 1 belly, 2 side, 3 back</title>", drawings[0])
        self.assertEqual(said["refusal"], "")

    def test_the_plan_in_fluid_ounces_and_what_cannot_be_filled(self):
        self.craw()
        _, said, _ = self.planned("--mold", "craw=2", "--chamber-volume", "10ml", molds=[{"name": "craw", "fills": 2}], chamber_volume="10ml")
        self.assertTrue(said["refusal"].startswith("This can't be poured as planned"))

    def test_the_newest_batch_with_something_in_it_counts(self):
        self.craw()
        self.pour(FAINT)
        self.bench.post(f"/api/work/{self.work['id']}/finish", {"seen": self.work["seen"], "good": False})
        plan, _, _ = self.planned("--mold", "craw=1", molds=[{"name": "craw", "fills": 1}])
        self.assertIn("Recipes are those of batch 1.", plan["warnings"])

    def test_nothing_poured_yet_is_planned_as_advised(self):
        self.craw()
        advised = self.command("advise", "--pattern", P)["layers"]
        for batch in ({}, {"batch": self.work["batch_name"]}):
            words = ["--batch", batch["batch"]] if batch else []
            plan, _, _ = self.planned("--mold", "craw=2", *words, molds=[{"name": "craw", "fills": 2}], **batch)
            self.assertTrue(any(words.endswith(": recipes are as advised.") for words in plan["warnings"]), plan["warnings"])
            for cup, layer in zip(plan["cups"], advised):
                share = cup["volume_ml"] / 29.5735295625 / 4  # NIST Handbook 44; a fresh cup is advised at 4 fl oz
                for bottle, drops in layer["advice"][0]["add"].items():
                    self.assertLessEqual(abs(cup["drops"].get(bottle, 0) - drops * share), .5 + .01 * drops)

    def test_plans_refused(self):
        self.craw()
        good = {"pattern": self.pattern, "molds": [{"name": "craw", "fills": 1}]}
        for wrong in ({"molds": []}, {"molds": None}, {"molds": [{"name": "craw", "fills": -1}]}, {"molds": [{}]}, {"molds": ["craw"]},
                      {"shares": [50, 50]}, {"baits": 0}, {"waste": 101}, {"chamber_volume": "much"}, {"chamber_volume": 3},
                      {"additives": ["softener"]}, {"powders": ["fin:x=1g"]}, {"additives": [5]}, {"pattern": None}, {"pattern": [1]}):
            with self.subTest(wrong):
                self.assert_refused(self.bench.post("/api/plan", {**good, **wrong}), 400)
        self.assert_refused(self.bench.post("/api/plan", {**good, "molds": [{"name": "craw"}]}), 422)
        self.assert_refused(self.bench.post("/api/plan", {**good, "pattern": 99}), 404)
        self.assert_refused(self.bench.post("/api/plan", {**good, "molds": [{"name": "crab"}]}), 404)

    # ---- how the bait is looked at, and the sheet

    def test_outline_and_shares_are_kept_and_on_the_sheet(self):
        self.craw()
        self.pour(FAINT)
        path = f"/api/work/{self.work['id']}"
        for wrong in ({"outline": "whale"}, {"shares": [50, 50]}):
            self.assert_refused(self.bench.ask("PATCH", path, {"seen": self.work["seen"], "slab": {**SLAB, **wrong}}), 400)
        slab = {**SLAB, "outline": "crawfish", "shares": [40, 20, 40]}
        self.assertEqual(self.bench.ask("PATCH", path, {"seen": self.work["seen"], "slab": slab}).json["slab"], slab)
        page = self.bench.get(f"/sheet/{self.work['id']}?mold=craw").bytes.decode()
        file = pathlib.Path(self.bench.folder.name) / "sheet.html"
        self.bench.command("sheet", "--work", self.work["id"], "--mold", "craw", "--outline", "crawfish", "--shares", "40,20,40", "--html",
                           file)
        self.assertTrue(bait_of(page) == bait_of(file.read_text()))
        self.assertLess(page.index("3 belly</text>"), page.index("1 back</text>"))


class Followed(BenchTest):
    """What a command changes in the book's settings is so at the page, at once."""

    def test_units(self):
        for units in ("metric", "us"):
            self.bench.command("settings", "units", units)
            self.assertEqual(self.bench.get("/api/state").json["units"], units)

    def test_tones(self):
        self.bench.command("tone", "samples")
        self.assertEqual(self.bench.get("/api/state").json["tones"], json.loads(self.bench.command("tone", "list", "--json"))["tones"])

    def test_volume_of_a_cup_that_is_not_begun_yet(self):
        pattern = self.bench.post("/api/patterns", {"name": P, "note": "", "layers": LAYERS}).json["id"]
        work = self.bench.post("/api/work", {"pattern": pattern}).json
        self.bench.command("settings", "volume", "3floz")
        self.bench.command("batch", "remove", P, work["batch_name"])
        work = self.bench.get(f"/api/work/{work['id']}").json
        self.assertIsNone(work["batch"])
        self.assertEqual([cup["volume_floz"] for cup in work["cups"]], [3, 3, 3])


class Said(BenchTest):
    """Units said at the start go before the book's, until the page sets others."""
    options = ("--metric",)

    def test_units(self):
        self.bench.command("settings", "units", "us")
        self.assertEqual(self.bench.get("/api/state").json["units"], "metric")
        self.bench.ask("PATCH", "/api/settings", {"volume": "5floz"})
        self.assertEqual(self.bench.get("/api/state").json["units"], "metric")
        self.bench.ask("PATCH", "/api/settings", {"units": "us"})
        self.assertEqual(self.bench.get("/api/state").json["units"], "us")


class SaidOfHeat(BenchTest):
    """How far apart the cups are is told in the units said at the start, as by a command that is told them."""
    options = ("--metric",)

    def test_spread(self):
        pattern = self.bench.post("/api/patterns", {"name": P, "note": "", "layers": LAYERS}).json["id"]
        work = self.bench.post("/api/work", {"pattern": pattern}).json
        for layer, degrees in (("back", 340), ("belly", 358)):
            seen = next(cup["seen"] for cup in work["cups"] if cup["layer"] == layer)
            work = self.bench.post(f"/api/work/{work['id']}/heat", {"layer": layer, "seen": seen, "temperature_f": degrees}).json
        told = json.loads(self.bench.command("heat", P, work["batch_name"], "--metric", "--json"))
        self.assertEqual(work["heat"], {key: told[key] for key in work["heat"]})
        self.assertIn("10 C apart", work["heat"]["words"])


main()
