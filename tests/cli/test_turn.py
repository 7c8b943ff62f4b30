"""dropwise turn on rendered photos of a bait turned in the light, and --swirl of find and read on one of swirls.  test_turn.py PROGRAM RENDERER"""
import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

PROGRAM, RENDERER = sys.argv[1:3]
del sys.argv[1:]
PLAIN, SHIFT = "0", "3"


def run(*words):
    done = subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True)
    return done.returncode, done.stdout, done.stderr


class Turn(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        for kind in PLAIN, SHIFT:
            subprocess.run([RENDERER, cls.folder.name, "3", kind, "640"], check=True)
        cls.photo = {kind: [str(pathlib.Path(cls.folder.name, f"turned-3-{kind}-{i}.jpg")) for i in range(3)] for kind in (PLAIN, SHIFT)}

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def turn(self, *words):
        code, out, err = run("turn", *words, "--json")
        self.assertEqual(code, 0, err)
        return json.loads(out)

    def test_shift_travels_and_plain_does_not(self):
        for kind, verdict in (SHIFT, "travels"), (PLAIN, "steady"):
            for n in 2, 3:
                turn = self.turn(*self.photo[kind][:n], "--layers", "1")
                self.assertEqual([photo["light"]["method"] for photo in turn["photos"]], ["grid24"] * n)
                (layer,) = turn["layers"]
                self.assertEqual(layer["travel"]["verdict"], verdict)
                self.assertEqual(len(layer["readings"]), n)
                pair = [layer["readings"][layer["travel"][end]]["lab"] for end in ("from", "to")]
                said = json.loads(run("compare", *(",".join(map(str, lab)) for lab in pair), "--json")[1])
                self.assertAlmostEqual(said["de00"], layer["travel"]["de00"], delta=0.02)

    def test_one_photo_gives_no_verdict(self):
        (layer,) = self.turn(self.photo[SHIFT][0], "--layers", "1")["layers"]
        self.assertEqual((layer["travel"]["verdict"], layer["travel"]["de00"], layer["travel"]["p"]), ("unclear", None, None))
        self.assertIn("One photo", layer["travel"]["words"])
        code, out, _ = run("turn", self.photo[SHIFT][0], "--layers", "1")
        self.assertEqual(code, 0)
        self.assertIn("body: unclear", out)

    def test_marked_by_hand(self):
        marks = pathlib.Path(self.folder.name, "marks.json")
        self.assertEqual(run("find", self.photo[SHIFT][0], "--layers", "1", "--save-marks", marks)[0], 0)
        turn = self.turn(*self.photo[SHIFT][:2], "--marks", marks)
        found = self.turn(*self.photo[SHIFT][:2], "--layers", "1")
        self.assertEqual(turn["layers"][0]["travel"]["verdict"], "travels")
        self.assertAlmostEqual(turn["layers"][0]["travel"]["de00"], found["layers"][0]["travel"]["de00"], delta=1)
        # no card: the camera's own choices are in the way
        bare = json.loads(marks.read_text())
        del bare["card"]
        marks.write_text(json.dumps(bare))
        travel = self.turn(*self.photo[SHIFT][:2], "--marks", marks)["layers"][0]["travel"]
        self.assertEqual(travel["verdict"], "unclear")
        self.assertIn("card", travel["words"])

    def test_against_another(self):
        kept = {}
        for kind in PLAIN, SHIFT:
            kept[kind] = pathlib.Path(self.folder.name, f"kept-{kind}.json")
            kept[kind].write_text(run("turn", *self.photo[kind][:2], "--layers", "1", "--json")[1])
        (layer,) = self.turn(*self.photo[SHIFT][:2], "--layers", "1", "--against", kept[SHIFT])["layers"]
        self.assertEqual((layer["against"]["apart"], layer["against"]["more_de00"]), (False, 0))
        (layer,) = self.turn(*self.photo[SHIFT][:2], "--layers", "1", "--against", kept[PLAIN])["layers"]
        self.assertTrue(layer["against"]["apart"])
        self.assertGreater(layer["against"]["more_de00"], 2 * layer["against"]["more_doubt_de00"])
        (layer,) = self.turn(self.photo[SHIFT][0], "--layers", "1", "--against", kept[PLAIN])["layers"]
        self.assertIsNone(layer["against"]["apart"])
        kept[PLAIN].write_text('{"layers": []}')
        code, _, err = run("turn", *self.photo[SHIFT][:2], "--layers", "1", "--against", kept[PLAIN])
        self.assertEqual(code, 2)
        self.assertIn("no travel of a layer", err)

    def test_refused(self):
        one = self.photo[SHIFT][0]
        for words, part in ((one, one), "same photo"), ((*self.photo[SHIFT], self.photo[PLAIN][0]), "photos of one bait"), ((), "photos of one bait"):
            code, _, err = run("turn", *words)
            self.assertEqual(code, 2)
            self.assertIn(part, err)


class Swirl(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        # Scene 4: two colors. A line a bait, share,L,a,b of each color.
        done = subprocess.run([RENDERER, cls.folder.name, "4", "4", "1000"], check=True, capture_output=True, text=True)
        cls.truth = [[tuple(map(float, color.split(","))) for color in bait.split()] for bait in done.stdout.splitlines()]
        cls.photo = pathlib.Path(cls.folder.name, "turned-4-4-0.jpg")
        cls.book = pathlib.Path(cls.folder.name, "book.db")

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def swirl(self, *words):
        code, out, err = run(*words, "--json")
        self.assertEqual(code, 0, err)
        return json.loads(out)

    def test_found(self):
        swirl = self.swirl("find", self.photo, "--swirl", "any")
        self.assertEqual(len(swirl["baits"]), len(self.truth))
        want = [sum(bait[k][0] for bait in self.truth) / len(self.truth) for k in range(2)]
        shares = [color["share"] for color in swirl["swirl"]["colors"]]
        self.assertEqual(len(shares), 2)
        self.assertAlmostEqual(sum(shares), 1, places=3)
        for share, true in zip(sorted(shares), sorted(want)):
            self.assertAlmostEqual(share, true, delta=0.05)
        self.assertEqual(self.swirl("read", self.photo, "--swirl", "2")["swirl"]["colors"], swirl["swirl"]["colors"])

    def test_named_by_a_pattern(self):
        book = ("--book", self.book)
        self.assertEqual(run("pattern", "add", "mud", "--layer", "one", "--layer", "two", *book)[0], 0)
        code, _, err = run("find", self.photo, "--swirl", "any", "--pattern", "mud", *book)
        self.assertEqual(code, 2)
        self.assertIn("without a target", err)
        first = self.truth[0]
        for name, color in zip(("one", "two"), first):
            self.assertEqual(run("target", "set", "mud", name, "--lab", ",".join(map(str, color[1:])), *book)[0], 0)
        swirl = self.swirl("find", self.photo, "--swirl", "any", "--pattern", "mud", *book)["swirl"]
        self.assertEqual([color["name"] for color in swirl["colors"]], ["one", "two"])
        for k, color in enumerate(swirl["colors"]):
            self.assertLess(color["target_de00"], 3)
            self.assertAlmostEqual(color["share"], sum(bait[k][0] for bait in self.truth) / len(self.truth), delta=0.05)

    def test_marked(self):
        (bait,) = self.swirl("read", self.photo, "--swirl", "2", "--layer", "this=" + self.swirl("find", self.photo, "--swirl", "2")["baits"][0]["shape"])["baits"]
        self.assertEqual(bait["name"], "this")
        self.assertEqual(len(bait["colors"]), 2)

    def test_refused(self):
        for words in ("find", self.photo, "--swirl", "4"), ("read", self.photo, "--swirl", "2", "--pattern", "x", "--batch", "y"), ("find", self.photo, self.photo, "--swirl", "2"):
            self.assertEqual(run(*words)[0], 2)


class Flake(unittest.TestCase):
    def test_beside_the_target(self):
        samples = pathlib.Path(__file__).resolve().parents[2] / "samples"
        with tempfile.TemporaryDirectory() as folder:
            book = ("--book", pathlib.Path(folder, "book.db"))
            photo, marks = samples / "crawfish-1.jpg", ("--marks", samples / "crawfish-1.marks.json")
            layers = [word for layer in ("back", "middle", "belly") for word in ("--layer", layer)]
            for words in (("pattern", "add", "p", *layers), ("target", "set", "p", "--photo", photo, *marks),
                          ("pour", "p", "--layer", "back", "--cup", "brown=4", "--volume", "4", "--batch", "1")):
                code, _, err = run(*words, *book)
                self.assertEqual(code, 0, err)
            code, out, err = run("read", photo, *marks, "--pattern", "p", "--batch", "1", "--json", *book)
            self.assertEqual(code, 0, err)
            said = json.loads(out)
            self.assertEqual([flake["layer"] for flake in said["flake"]], ["back", "middle", "belly"])
            for flake, layer in zip(said["flake"], said["layers"]):
                self.assertAlmostEqual(flake["target_share"], layer["shares"]["flake"], places=3)
                self.assertIn("as much as the target's", flake["words"])


if __name__ == "__main__":
    unittest.main()
