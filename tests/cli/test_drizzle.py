"""Drops of the cups on a white table, read and kept at the command line. The photos are rendered (tests/bait); their plastic is
that of the sample chips, by which the bottles are fitted."""
import re
import subprocess
import sys
import unittest

from shop import SAMPLES, Shop

RENDER = sys.argv[3]
P = "craw"
CUPS = {"back": "brown=24,orange=8", "side": "orange=20,white=4", "belly": "white=10,yellow=5"}


class Drizzle(Shop):
    def drops(self, *recipes, seed=11, width=1100):
        photo = self.folder / f"drops-{seed}-{len(recipes)}.jpg"
        done = subprocess.run([RENDER, photo, str(seed), str(width), "1.8", *recipes], capture_output=True, text=True, check=True)
        return photo, [[float(v) for v in line.split(",")] for line in done.stdout.split()]

    def usual(self):
        return self.drops("brown=6;orange=2", "orange=5;white=1", "white=2.5;yellow=1.25")

    def shop(self, fitted=True):
        if fitted:
            self.fitted()
        self.ok("pattern", "add", P, *(word for name in CUPS for word in ("--layer", name)))
        for name, lab in zip(CUPS, ("36,10,14", "54,22,24", "70,0,14")):
            self.ok("target", "set", P, name, "--lab", lab)
        for i, (name, cup) in enumerate(CUPS.items()):
            self.ok("pour", P, "--batch", "1", *(["--new"] if i == 0 else []), "--layer", name, "--cup", cup)

    def test_the_cups_of_a_batch(self):
        self.shop()
        photo, truth = self.usual()
        got = self.json("drizzle", photo, "--pattern", P)
        self.assertEqual([drop["name"] for drop in got["drops"]], list(CUPS))
        self.assertEqual([drop["verdict"] for drop in got["drops"]], ["told"] * 3)
        for drop, lab in zip(got["drops"], truth):
            off = self.json("compare", ",".join(map(str, drop["bait_lab"])), ",".join(map(str, lab)))["de00"]
            self.assertLess(off, 2 * drop["bait_uncertainty_de00"])
            least, likely, most = drop["thickness_mm"]
            self.assertTrue(least < likely < most)
        self.assertEqual(got["looks_like"], [])
        self.assertEqual([pair["between"] for pair in got["neighbors"]], [["back", "side"], ["side", "belly"]])
        # Nothing was kept.
        self.assertEqual(self.json("reading", "list", P)["readings"], [])

    def test_in_the_light_that_is_marked(self):
        self.shop()
        photo, _ = self.usual()
        found = self.json("drizzle", photo, "--pattern", P)
        corners = ",".join(map(str, found["card"]["corners"]))
        by_card = self.json("drizzle", photo, "--pattern", P, "--card", corners)
        for one, two in zip(by_card["drops"], found["drops"]):
            self.assertLess(self.json("compare", ",".join(map(str, one["lab"])), ",".join(map(str, two["lab"])))["de00"], 0.2)
        for words in (("drizzle", photo, "--pattern", P), ("pour", P, "--drizzle", photo)):
            self.refused(1, "grays are out of order", *words, "--card", "1,1,90,1,90,60,1,60")
        # The gray that is marked, here the table with one drop on it, is no drop.
        x, y, rx, ry = map(float, re.split("[:,x]", found["drops"][0]["shape"])[1:])
        self.refused(2, "3 cups, and 2 drops", "drizzle", photo, "--pattern", P, "--gray",
                     f"rect:{x - 3 * rx:.0f},{y - 3 * ry:.0f},{6 * rx:.0f}x{6 * ry:.0f}", "--gray-y", "0.85")

    def test_pour_keeps_them(self):
        self.shop()
        photo, _ = self.usual()
        seen = self.json("drizzle", photo, "--pattern", P)
        poured = self.json("pour", P, "--drizzle", photo)
        self.assertEqual([layer["measured"] for layer in poured["layers"]], [drop["bait_lab"] for drop in seen["drops"]])
        self.assertEqual([drop["verdict"] for drop in poured["drizzle"]["drops"]], ["told"] * 3)
        for layer in poured["layers"]:
            self.assertIn("words", layer)
        listed = self.json("reading", "list", P)["readings"]
        self.assertEqual([(r["layer"], r["bait"], r["drizzled"]) for r in listed], [(name, None, True) for name in CUPS])
        self.assertIn("drizzled", self.ok("reading", "list", P))
        # The same question at another door, and no bait for drift.
        advised = self.json("advise", "--pattern", P, "--batch", "1")
        self.assertEqual([layer["now"] for layer in advised["layers"]], [layer["measured"] for layer in poured["layers"]])
        self.assertEqual(self.json("drift", P)["layers"][0]["batches"], [])
        # A bait that is read of the same pour counts instead, and is bait 1.
        again = self.json("pour", P, "--layer", "back", "--measured", "34,9,12")
        self.assertEqual(again["layers"][0]["measured"], [34, 9, 12])
        self.assertEqual([r["bait"] for r in self.json("reading", "list", P)["readings"] if r["layer"] == "back"], [1, None])
        # The same photo once more takes the place of what it gave, and one undo takes it back.
        self.ok("undo")
        self.ok("pour", P, "--drizzle", photo)
        self.assertEqual(len(self.json("reading", "list", P)["readings"]), 3)
        self.ok("undo"), self.ok("undo")
        self.assertEqual(self.json("reading", "list", P)["readings"], [])

    def test_another_order(self):
        self.shop()
        photo, _ = self.drops("white=2.5;yellow=1.25", "orange=5;white=1", "brown=6;orange=2")
        got = self.json("drizzle", photo, "--pattern", P)
        self.assertEqual(got["looks_like"], ["belly", "side", "back"])
        self.refused(1, "looks like the drops of belly, side, back", "pour", P, "--drizzle", photo)
        self.assertEqual(self.json("reading", "list", P)["readings"], [])
        turned = self.json("pour", P, "--drizzle", photo, "--order", "belly,side,back")
        self.assertEqual([drop["name"] for drop in turned["drizzle"]["drops"]], list(CUPS))
        self.assertEqual(turned["drizzle"]["looks_like"], [])
        self.refused(2, "does not name each of back,side,belly once", "drizzle", photo, "--pattern", P, "--order", "belly,back")

    def test_without_the_book(self):
        photo, _ = self.usual()
        got = self.json("drizzle", photo)
        self.assertEqual([drop["name"] for drop in got["drops"]], ["drop 1", "drop 2", "drop 3"])
        self.assertNotIn("verdict", got["drops"][0])
        self.crawfish()  # a book with the starter shelf
        invented = self.json("drizzle", photo, "--cup", "brown=24,orange=8", "--cup", "orange=20", "--cup", "white=10")
        self.assertEqual({drop["verdict"] for drop in invented["drops"]}, {"unfitted"})
        self.assertEqual({drop["bait_lab"] is None for drop in invented["drops"]}, {True})
        self.fitted()
        cups = [word for cup in CUPS.values() for word in ("--cup", cup)]
        self.assertEqual([drop["verdict"] for drop in self.json("drizzle", photo, *cups)["drops"]], ["told"] * 3)
        text = self.ok("drizzle", photo, *cups)
        self.assertIn("As a bait it is", text)
        self.assertIn("Side by side, as films", text)

    def test_nothing_told_keeps_nothing(self):
        self.shop(fitted=False)
        photo, _ = self.usual()
        self.refused(1, "can't be told, and nothing was kept", "pour", P, "--drizzle", photo)
        self.assertEqual(self.json("reading", "list", P)["readings"], [])

    def test_no_drizzle(self):
        self.shop()
        photo, _ = self.drops("brown=6;orange=2", "orange=5;white=1")
        self.refused(2, "here are 3 cups, and 2 drops were found", "drizzle", photo, "--pattern", P)
        self.refused(2, "here are 3 cups, and 2 drops were found", "pour", P, "--drizzle", photo)
        self.refused(2, "not white", "drizzle", SAMPLES / "crawfish-1.jpg")
        self.refused(2, "--order is of drops", "pour", P, "--measured", "30,1,1", "--layer", "back", "--order", "back,side,belly")
        self.refused(2, "give one of the two", "drizzle", photo, "--pattern", P, "--cup", "brown=3")
        self.refused(2, "give --pattern too", "drizzle", photo, "--batch", "1")
        self.refused(2, "no pattern", "drizzle", photo, "--pattern", "none")


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0]])
