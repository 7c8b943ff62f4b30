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
        # the card alone, marked in each photo: the bait is found in its light
        kept = json.loads(marks.read_text())
        marks.write_text(json.dumps({"card": kept["card"]}))
        by_card = self.turn(*self.photo[SHIFT][:2], "--marks", marks, "--marks", marks, "--layers", "1")
        self.assertEqual(by_card["photos"][1]["card"]["corners"], [round(v, 2) for v in kept["card"]["corners"]])
        self.assertAlmostEqual(by_card["layers"][0]["travel"]["de00"], turn["layers"][0]["travel"]["de00"], delta=1)
        marks.write_text(json.dumps(kept))
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

    def test_kept_in_the_book(self):
        book = ("--book", pathlib.Path(self.folder.name, "book.db"))
        for words in ("pattern", "add", "shine", "--layer", "body"), ("pour", "shine", "--batch", "1", "--note", "x"), ("pour", "shine", "--batch", "2", "--new", "--note", "x"):
            code, _, err = run(*words, *book)
            self.assertEqual(code, 0, err)
        two = {kind: self.photo[kind][:2] for kind in self.photo}
        target = self.turn(*two[SHIFT], "--pattern", "shine", "--target", *book)
        self.assertEqual((target["kept"]["batch"], target["kept"]["layers"]), (None, 1))
        self.assertNotIn("against", target["layers"][0])
        first = self.turn(*two[SHIFT], "--pattern", "shine", "--batch", "1", *book)
        self.assertEqual((first["layers"][0]["against"]["apart"], first["layers"][0]["against"]["more_de00"]), (False, 0))
        plain = self.turn(*two[PLAIN], "--pattern", "shine", "--batch", "2", "--bait", "2", *book)
        self.assertTrue(plain["layers"][0]["against"]["apart"])
        (travel,) = json.loads(run("reading", "list", "shine", "--batch", "2", "--json", *book)[1])["travels"]
        for key in "de00", "doubt_de00", "hue_deg":
            self.assertEqual(travel[key], plain["layers"][0]["travel"][key])
        self.assertEqual((travel["layer"], travel["bait"], travel["travels"]), ("body", 2, False))
        self.assertEqual(json.loads(run("batch", "show", "shine", "2", "--json", *book)[1])["travels"], [travel])

        def drift():
            return json.loads(run("drift", "shine", "--json", *book)[1])["layers"][0]["travel"]
        whole = drift()
        self.assertEqual([batch["de00"] for batch in whole["batches"]], [first["layers"][0]["travel"]["de00"], travel["de00"]])
        self.assertTrue(whole["to_target"]["apart"] and whole["to_before"]["apart"])
        self.assertIn("less than the target", whole["words"])
        self.assertIn("less than the batch before", run("drift", "shine", *book)[1])
        # the same bait again takes the place of what it had; undo brings that back
        self.turn(*two[SHIFT], "--pattern", "shine", "--batch", "2", "--bait", "2", *book)
        self.assertFalse(drift()["to_target"]["apart"])
        self.assertEqual(len(drift()["batches"]), 2)
        self.assertEqual(run("undo", *book)[0], 0)
        self.assertEqual(drift(), whole)
        # moved, taken back, brought back, brought elsewhere
        number = f"t{travel['id']}"
        self.assertEqual(run("reading", "correct", "shine", number, "--batch", "2", "--bait", "3", *book)[0], 0)
        self.assertEqual(json.loads(run("reading", "list", "shine", "--json", *book)[1])["travels"][0]["bait"], 3)
        self.assertEqual(run("reading", "remove", "shine", number, "--batch", "2", *book)[0], 0)
        self.assertEqual(len(drift()["batches"]), 1)
        for _ in range(2):
            self.assertEqual(run("undo", *book)[0], 0)
        self.assertEqual(drift(), whole)
        other, export = ("--book", pathlib.Path(self.folder.name, "other.db")), pathlib.Path(self.folder.name, "export.json")
        self.assertEqual(run("book", "export", export, *book)[0], 0)
        self.assertEqual(run("book", "import", export, *other)[0], 0)
        self.assertEqual(json.loads(run("drift", "shine", "--json", *other)[1])["layers"][0]["travel"], whole)
        for book_of in book, other:
            self.assertEqual(run("book", "check", *book_of)[0], 0)
        for words, part in (((self.photo[SHIFT][0], "--pattern", "shine", "--batch", "1"), "Nothing was kept"), ((*two[SHIFT], "--batch", "1"), "--pattern"),
                            ((*two[SHIFT], "--pattern", "shine", "--batch", "1", "--target"), "or --target"), ((*two[SHIFT], "--pattern", "shine", "--batch", "9"), "9")):
            code, _, err = run("turn", *words, *book)
            self.assertNotEqual(code, 0)
            self.assertIn(part, err)

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
        corners = ",".join(map(str, swirl["card"]["corners"]))
        by_card = self.swirl("find", self.photo, "--swirl", "2", "--card", corners)
        self.assertEqual([bait["shape"] for bait in by_card["baits"]], [bait["shape"] for bait in swirl["baits"]])
        code, _, err = run("find", self.photo, "--swirl", "2", "--card", "1,1,90,1,90,60,1,60")
        self.assertEqual(code, 1)
        self.assertIn("grays are out of order", err)

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

    def kept(self, name, swirl="any"):
        """A book of its own with the scene's pattern, a swirl."""
        book = ("--book", pathlib.Path(self.folder.name, name))
        self.assertEqual(run("pattern", "add", "mud", "--layer", "one", "--layer", "two", "--swirl", swirl, *book)[0], 0)
        for name, color in zip(("one", "two"), self.truth[0]):
            self.assertEqual(run("target", "set", "mud", name, "--lab", ",".join(map(str, color[1:])), *book)[0], 0)
        return book

    def test_kept_in_a_batch(self):
        book = self.kept("kept.db", "60,40")
        shown = self.swirl("pattern", "show", "mud", *book)
        self.assertTrue(shown["swirl"])
        self.assertEqual([layer["share"] for layer in shown["layers"]], [0.6, 0.4])
        self.assertEqual(run("pour", "mud", "--batch", "1", "--new", "--note", "first", *book)[0], 0)
        wanted = self.swirl("find", self.photo, "--swirl", "2", "--pattern", "mud", *book)
        said = self.swirl("read", self.photo, "--pattern", "mud", "--batch", "1", *book)["readings"]
        listed = self.swirl("reading", "list", "mud", *book)["readings"]
        self.assertEqual(len(said), len(self.truth))
        self.assertEqual(len(listed), 2 * len(self.truth))
        for i, bait in enumerate(wanted["baits"]):
            for k, color in enumerate(bait["colors"]):
                (row,) = [r for r in listed if r["bait"] == i + 1 and r["layer"] == color["name"]]
                for key in "share", "share_doubt", "lab", "spread_de00":
                    self.assertEqual(row[key], color[key])
                self.assertEqual(said[i]["layers"][k]["share"], color["share"])
        # the same photo again takes the place of what it said
        self.swirl("read", self.photo, "--swirl", "2", "--pattern", "mud", "--batch", "1", *book)
        self.assertEqual(len(self.swirl("reading", "list", "mud", *book)["readings"]), len(listed))
        for word in "undo", "undo", "redo":
            self.assertEqual(run(word, *book)[0], 0)
        again = self.swirl("reading", "list", "mud", *book)["readings"]
        self.assertEqual([(r["share"], r["lab"]) for r in again], [(r["share"], r["lab"]) for r in listed])
        # an export and a pattern's file bring it elsewhere
        other = ("--book", pathlib.Path(self.folder.name, "other.db"))
        export, one = (pathlib.Path(self.folder.name, name) for name in ("export.json", "mud.json"))
        self.assertEqual(run("book", "export", export, *book)[0], 0)
        self.assertEqual(run("book", "import", export, *other)[0], 0)
        self.assertEqual(self.swirl("reading", "list", "mud", *other), self.swirl("reading", "list", "mud", *book))
        self.assertEqual(run("pattern", "export", "mud", one, *book)[0], 0)
        self.assertEqual(run("pattern", "import", one, "--as", "silt", *other)[0], 0)
        silt = self.swirl("pattern", "show", "silt", *other)
        self.assertTrue(silt["swirl"])
        self.assertEqual([layer["share"] for layer in silt["layers"]], [0.6, 0.4])
        drift = self.swirl("drift", "mud", *book)
        self.assertTrue(drift["swirl"])
        self.assertIn("no borders", drift["heat_blend"]["words"])
        for k, layer in enumerate(drift["layers"]):
            mean = sum(bait["colors"][k]["share"] for bait in wanted["baits"]) / len(wanted["baits"])
            self.assertAlmostEqual(layer["shares"]["batches"][0]["share"], mean, places=3)
            self.assertEqual(layer["shares"]["target"], [0.6, 0.4][k])
            self.assertIn("Too few good batches", layer["shares"]["words"])
        # pour reads the same of the photo
        self.swirl("pour", "mud", "--batch", "1", "--photo", self.photo, *book)
        self.assertEqual(len(self.swirl("reading", "list", "mud", *book)["readings"]), len(listed))

    def test_drift_of_shares(self):
        book = self.kept("drift.db")
        shares = [50, 52, 49, 51, 50, 48, 51, 50, 62, 64, 63]
        for i, share in enumerate(shares):
            good = ("--good",) if i < 8 else ()
            for name, color, percent in zip(("one", "two"), self.truth[0], (share, 100 - share)):
                lab = ",".join(str(x + 0.2 * (i % 3)) for x in color[1:])
                code, _, err = run("pour", "mud", "--batch", i + 1, *(("--new",) if name == "one" else ()), "--layer", name, "--measured", lab, "--share", percent, *good, *book)
                self.assertEqual(code, 0, err)
        drift = self.swirl("drift", "mud", *book)
        self.assertTrue(drift["drift"])
        for layer, way in zip(drift["layers"], ("more", "less")):
            self.assertEqual((layer["verdict"], layer["shares"]["verdict"]), ("steady", "drift"))
            self.assertIn(f"points {way} of the {layer['name']}", layer["shares"]["words"])
            self.assertIsNone(layer["shares"]["target"])
            self.assertEqual([round(100 * b["share"]) for b in layer["shares"]["batches"]], [s if way == "more" else 100 - s for s in shares])
            # 6.3.2.2 of NIST/SEMATECH: the mean, and 2.66 times the mean moving range about it
            good = [b["share"] for b in layer["shares"]["batches"][:8]]
            ranges = [abs(a - b) for a, b in zip(good, good[1:])]
            self.assertAlmostEqual(layer["shares"]["limits"]["upper"], sum(good) / 8 + 3 / 1.128 * sum(ranges) / 7, places=2)
        self.assertEqual(run("drift", "mud", "--check", *book)[0], 1)
        code, out, _ = run("drift", "mud", "--more", *book)
        self.assertIn("Share: drift.", out)
        self.assertNotIn("width of the blend", out)
        page = pathlib.Path(self.folder.name, "drift.html")
        self.assertEqual(run("drift", "mud", "--html", page, *book)[0], 0)
        self.assertIn("percent of the bait", page.read_text())
        code, _, err = run("pour", "mud", "--batch", "1", "--blend", "2", *book)
        self.assertEqual(code, 2)
        self.assertIn("no borders", err)
        self.assertEqual(run("pattern", "swirl", "mud", "none", *book)[0], 0)
        self.assertFalse(self.swirl("drift", "mud", *book)["drift"])
        self.assertIn("layers in order", run("history", *book)[1])

    def test_no_swirl(self):
        book = ("--book", pathlib.Path(self.folder.name, "plain.db"))
        self.assertEqual(run("pattern", "add", "one", "--layer", "a", *book)[0], 0)
        for words, part in ((("pattern", "swirl", "one", "any"), "a swirl has 2 or 3"), (("pattern", "add", "two", "--layer", "a", "--layer", "b", "--swirl", "60,60"), "together 100"),
                            (("pattern", "add", "two", "--layer", "a", "--layer", "b", "--swirl", "60"), "a percentage for each"),
                            (("pour", "one", "--batch", "1", "--measured", "50,0,0", "--share", "40"), "no share")):
            code, _, err = run(*words, *book)
            self.assertEqual(code, 2, err)
            self.assertIn(part, err)
        self.assertEqual(run("pour", "one", "--batch", "1", "--measured", "50,0,0", *book)[0], 0)
        code, _, err = run("read", self.photo, "--swirl", "2", "--pattern", "one", "--batch", "1", *book)
        self.assertEqual(code, 2)
        self.assertIn("pattern swirl", err)

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
