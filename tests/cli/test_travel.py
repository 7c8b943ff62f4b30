"""Colors that travel: pattern export and import, and layers of one pattern in another, as a person types them."""
import hashlib
import json
import sys
import unittest

from shop import SAMPLES, Shop

P = "creek crawfish"
GOOD = "brown=20,orange=4,black=1"


class Travel(Shop):
    def good_batch(self):
        self.crawfish()
        self.ok("pour", P, "--batch", "7", "--new", "--layer", "back", "--cup", GOOD, "--measured", "33.1,8,10.1")
        self.ok("pour", P, "--batch", "7", "--layer", "belly", "--cup", "white=14,orange=2", "--measured", "67,7,20.4", "--good")

    def elsewhere(self):
        """Another maker's book from here on."""
        self.book = self.folder / "friends.db"

    def test_a_pattern_goes_to_another_book(self):
        self.good_batch()
        file = self.folder / "craw.json"
        self.assertEqual(self.json("pattern", "export", P, file), {"export": str(file)})
        self.elsewhere()
        got = self.json("pattern", "import", file, "--as", "friend's craw")
        self.assertEqual([layer["name"] for layer in got["layers"]], ["back", "belly"])
        for layer in got["layers"]:
            self.assertTrue(layer["recipe"])
            self.assertLess(layer["predicted_de00"], 3)
        kept = self.json("pattern", "show", "friend's craw")
        self.assertEqual([layer["target"] for layer in kept["layers"]], [[33, 8, 10], [67, 7, 20]])
        self.assertEqual(kept["layers"][0]["target_how"], "from another layer")
        # What is proposed is what every other door says.
        advised = self.json("advise", "--pattern", "friend's craw")["layers"]
        self.assertEqual([layer["recipe"] for layer in got["layers"]], [layer["advice"][0]["add"] for layer in advised])
        self.refused(2, "already", "pattern", "import", file, "--as", "friend's craw")

    def test_its_tone_goes_along(self):
        self.good_batch()
        file = self.folder / "craw.json"
        self.ok("tone", "add", "claw", "--lab", "30,6,9", "--lab", "34,9,12", "--lab", "32,7,11")
        self.ok("pattern", "tone", P, "back", "claw")
        self.ok("pattern", "add", "frog", "--layer", f"back={P}/back")
        self.assertEqual(self.json("pattern", "show", "frog")["layers"][0]["tone"], "claw")
        self.ok("pattern", "export", P, file)
        self.elsewhere()
        self.ok("tone", "add", "claw", "--lab", "60,6,9")
        self.ok("pattern", "import", file)
        self.ok("pattern", "import", file, "--as", "twice")
        tones = [self.json("pattern", "show", name)["layers"][0]["tone"] for name in (P, "twice")]
        self.assertEqual(tones, ["claw 2", "claw 2"])
        self.assertEqual(self.json("tone", "show", "claw 2")["references"], 3)

    def test_the_photos_of_its_targets_go_along(self):
        self.ok("pattern", "add", "creek", "--layer", "back", "--layer", "middle", "--layer", "belly")
        self.ok("target", "set", "creek", "--photo", SAMPLES / "crawfish-1.jpg", "--marks", SAMPLES / "crawfish-1.marks.json")
        sha = hashlib.sha256((SAMPLES / "crawfish-1.jpg").read_bytes()).hexdigest()
        file = self.folder / "creek.json"
        self.ok("pattern", "export", "creek", file)
        photos = json.loads(file.read_text())["photos"]
        self.assertEqual([(p["sha256"], p["width"], p["height"]) for p in photos], [(sha, 1400, 1000)])

        def there():
            shown = self.json("pattern", "show", "creek")["layers"]
            kept = [(p["sha256"], p["preview"]) for p in json.loads(self.ok("book", "export"))["photos"]]
            return [layer["target"] for layer in shown], kept
        before = there()
        self.assertEqual([kept[0] for kept in before[1]], [sha])
        self.elsewhere()
        self.ok("pattern", "import", file)
        self.assertEqual(there(), before)
        self.ok("book", "check")

    def test_the_file_is_the_same_through_a_pipe(self):
        self.good_batch()
        file = self.folder / "craw.json"
        self.ok("pattern", "export", P, file)
        self.assertEqual(json.loads(self.ok("pattern", "export", P, "-")), json.loads(file.read_text()))

    def test_it_is_one_entry(self):
        self.good_batch()
        file = self.folder / "craw.json"
        self.ok("pattern", "export", P, file, "--bottles")
        before = self.ok("book", "export", "--no-journal")
        self.ok("pattern", "import", file, "--as", "again", "--bottles")
        after = self.ok("book", "export", "--no-journal")
        self.assertIn("pattern again from a file", self.ok("undo"))
        self.assertEqual(self.ok("book", "export", "--no-journal"), before)
        self.ok("redo")
        self.assertEqual(self.ok("book", "export", "--no-journal"), after)
        self.ok("book", "check")

    def test_layers_used_in_another_pattern(self):
        self.good_batch()
        self.ok("pattern", "add", "frog", "--layer", f"back={P}/back", "--layer", f"throat={P}/belly", "--layer", f"belly={P}/belly")
        kept = self.json("pattern", "show", "frog")
        self.assertEqual([layer["target"] for layer in kept["layers"]], [[33, 8, 10], [67, 7, 20], [67, 7, 20]])
        shown = self.ok("batch", "show", "frog", f"from {P}")
        self.assertIn("taken over", shown)
        self.assertNotIn("1000001", shown)
        listed = self.ok("reading", "list", "frog")
        self.assertIn("taken over", listed)
        self.assertEqual({r["bait"] for r in self.json("reading", "list", "frog")["readings"]}, {None})
        self.assertNotIn("1000001", listed)
        self.assertIn("Last good batch", self.ok("drift", "frog", "--advise"))

    def test_what_is_wrong_is_said(self):
        self.crawfish()
        file = self.folder / "no.json"
        file.write_text('{"name": "x"}')
        self.refused(2, "not a pattern's file", "pattern", "import", file)
        file.write_text("{")
        self.refused(2, "no.json", "pattern", "import", file)
        code, out, err = self.run_any("pattern", "add", "frog", "--layer", f"back={P}")
        self.assertEqual((code, out), (2, ""))
        self.assertIn("creek crawfish/belly", err)
        self.refused(2, "tail", "pattern", "add", "frog", "--layer", f"back={P}/tail")


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
