"""dropwise find on a rendered board: nothing is marked.  test_find.py PROGRAM SOURCE RENDERER"""
import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

from shop import Shop

RENDERER = sys.argv[3]
del sys.argv[1:]


class Find(Shop):
    @classmethod
    def setUpClass(cls):
        cls.boards = tempfile.TemporaryDirectory()
        # Board 3 lies on black and has a card and 6 baits of one layer (tests/bait/scene.c).
        subprocess.run([RENDERER, cls.boards.name, "3", "3", "1200"], check=True)
        cls.photo = pathlib.Path(cls.boards.name, "board-3.jpg")

    @classmethod
    def tearDownClass(cls):
        cls.boards.cleanup()

    def test_every_bait_with_its_keys(self):
        found = self.json("find", self.photo)
        self.assertEqual((found["photo"]["width"], found["photo"]["height"]), (1200, 900))
        self.assertEqual(len(found["baits"]), 6)
        spread = found["spread"]
        self.assertEqual((spread["baits"], len(spread["layers"])), (6, 1))
        colors = [bait["layers"][0]["lab"] for bait in found["baits"]]
        for k, value in enumerate(spread["layers"][0]["mean"]):
            self.assertAlmostEqual(value, sum(color[k] for color in colors) / 6, delta=0.01)
        for bait in found["baits"]:
            self.assertAlmostEqual(sum(layer["share"] for layer in bait["layers"]), 1, places=3)
            self.assertEqual(len(bait["blends"]), len(bait["layers"]) - 1)
            self.assertEqual(set(bait["outline"]), {"x", "y", "w", "h"})
        self.assertEqual(found["light"]["method"] == "none", "card" not in found)

    def test_layers_as_asked_and_turned(self):
        upper = self.json("find", self.photo, "--layers", 2)["baits"]
        lower = self.json("find", self.photo, "--layers", 2, "--back", "lower")["baits"]
        for one, other in zip(upper, lower):
            self.assertEqual([layer["name"] for layer in one["layers"]], ["back", "belly"])
            self.assertEqual([layer["lab"] for layer in one["layers"]], [layer["lab"] for layer in other["layers"]][::-1])

    def test_several_photos_and_one_that_is_not_there(self):
        code, out, err = self.run_any("find", self.photo, "missing.jpg", self.photo, "--json")
        self.assertEqual(code, 2)
        self.assertEqual(len(json.loads(out)["readings"]), 2)
        self.assertIn("missing.jpg", err)

    def test_a_damaged_file_is_said_in_text_and_json(self):
        data = self.photo.read_bytes()
        gap = len(data) * 97 // 100  # in the last rows, where no bait lies
        damaged = self.folder / "damaged.jpg"
        damaged.write_bytes(data[:gap] + data[gap + 400:])
        said = r"damaged \(.*\): colors below may be wrong|file (is damaged|ends early); part of the photo is missing"
        self.assertRegex(self.ok("find", damaged), said)
        self.assertRegex(" ".join(self.json("find", damaged)["photo"]["warnings"]), said)
        self.assertNotRegex(self.ok("find", self.photo), said)

    def test_wrong_use(self):
        for words in (["--layers", "5"], ["--layers", "1.5"], ["--back", "left"]):
            self.assertEqual(self.run_any("find", self.photo, *words)[0], 2)
        self.assertEqual(self.run_any("find")[0], 2)


unittest.main()
