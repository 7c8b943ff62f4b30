"""Drops of the cups on a white table, read at the page's door: kept as the command keeps them, or asked about."""
import json
import pathlib
import subprocess
import sys

from bench import SAMPLES, WorkTest, main

RENDER = sys.argv[3]
TARGETS = {"back": [36, 10, 14], "side": [54, 22, 24], "belly": [70, 0, 14]}
CUPS = {"back": {"brown": 24, "orange": 8}, "side": {"orange": 20, "white": 4}, "belly": {"white": 10, "yellow": 5}}
RECIPES = ["brown=6;orange=2", "orange=5;white=1", "white=2.5;yellow=1.25"]


class Drizzle(WorkTest):
    def setUp(self):
        super().setUp()
        self.bench.command("bottle", "chips", SAMPLES / "chips.csv")
        self.bench.command("bottle", "fit")
        self.lay_out("craw", TARGETS)
        self.pour(CUPS)

    def lay(self, path):
        photo = self.bench.upload(path).json["id"]
        answer = self.bench.ask("PATCH", f"/api/work/{self.work['id']}", {"seen": self.work["seen"], "photo": photo, "marks": {"layers": []}})
        self.assertEqual(answer.status, 200, answer.bytes)
        self.work = answer.json

    def drops(self, *recipes):
        photo = pathlib.Path(self.bench.folder.name) / "drops.jpg"
        subprocess.run([RENDER, photo, "11", "1100", "1.8", *recipes], check=True, capture_output=True)
        self.lay(photo)
        return photo

    def drizzled(self, **more):
        return self.bench.post(f"/api/work/{self.work['id']}/drizzled",
                               {"seen": self.work["seen"], "cups_seen": self.work["cups_seen"], **more})

    def test_kept_as_by_the_command(self):
        photo = self.drops(*RECIPES)
        answer = self.drizzled()
        self.assertEqual(answer.status, 200, answer.bytes)
        got = answer.json
        self.assertEqual([drop["verdict"] for drop in got["drizzle"]["drops"]], ["told"] * 3)
        self.assertEqual([cup["measured"] for cup in got["cups"]], [drop["bait_lab"] for drop in got["drizzle"]["drops"]])
        self.assertEqual([[r["photo"] for r in cup["read"]] for cup in got["cups"]], [[self.work["photo"]]] * 3)
        by_command = json.loads(self.bench.command("drizzle", photo, "--pattern", "craw", "--json"))
        for mine, other in zip(got["drizzle"]["drops"], by_command["drops"]):
            self.assertEqual((mine["name"], mine["verdict"]), (other["name"], other["verdict"]))
            # The page's copy of the photo holds light to 1/16000.
            for one, two in zip(mine["bait_lab"], other["bait_lab"]):
                self.assertAlmostEqual(one, two, delta=.05)
        self.assertNotIn(str(self.bench.folder.name), json.dumps(got))
        # One entry takes it back.
        undone = self.bench.post("/api/undo", {"entry": got["undo"]["entry"], "work": got["id"]}).json["work"]
        self.assertEqual([cup["measured"] for cup in undone["cups"]], [None] * 3)

    def test_another_order_is_asked_about(self):
        self.drops(*reversed(RECIPES))
        refused = self.drizzled()
        self.assertIn("looks like the drops of belly, side, back", self.assert_refused(refused, 422))
        self.assertEqual(refused.json["drizzle"]["looks_like"], ["belly", "side", "back"])
        self.assertEqual(self.drizzled(order="belly,side,back").status, 200)
        self.assert_refused(self.drizzled(order="belly"), 400, 409)

    def test_what_is_no_drizzle(self):
        self.assertIn("no photo yet", self.assert_refused(self.drizzled(), 422))
        self.lay(SAMPLES / "crawfish-1.jpg")
        self.assertIn("not white", self.assert_refused(self.drizzled(), 422))
        self.drops(*RECIPES[:2])
        self.assertIn("here are 3 cups, and 2 drops were found", self.assert_refused(self.drizzled(), 422))
        self.assert_alive()

    def test_cups_changed_meanwhile(self):
        self.drops(*RECIPES)
        seen = self.work["cups_seen"]
        cup = self.work["cups"][0]
        self.work = self.bench.post(f"/api/work/{self.work['id']}/pour", {"layer": "back", "seen": cup["seen"], "add": {"brown": 2}}).json
        self.assertEqual(self.drizzled(cups_seen=seen).status, 409)
        self.assertEqual(self.drizzled().status, 200)


if __name__ == "__main__":
    main()
