"""dropwise turn on rendered photos of a bait turned in the light.  test_turn.py PROGRAM RENDERER"""
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

    def test_refused(self):
        one = self.photo[SHIFT][0]
        for words, part in ((one, one), "same photo"), ((*self.photo[SHIFT], self.photo[PLAIN][0]), "photos of one bait"), ((), "photos of one bait"):
            code, _, err = run("turn", *words)
            self.assertEqual(code, 2)
            self.assertIn(part, err)


if __name__ == "__main__":
    unittest.main()
