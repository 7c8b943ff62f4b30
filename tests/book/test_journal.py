"""One journal at every door: each kind of entry is named and taken back by undo, and brought back by redo; what is corrected keeps
its old value in the history.

A deed is (kind, words of its entry, the command that does it).
"""
import json
import pathlib
import sys
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "cli"))
from shop import SAMPLES, Shop

P = "creek crawfish"
BELLY = "belly.json"  # stands for a file that words_of writes


class Book(Shop):
    def setUp(self):
        super().setUp()
        self.ok("pattern", "add", P, "--layer", "back", "--layer", "belly")
        self.ok("target", "set", P, "belly", "--lab", "67,7,20")
        self.ok("tone", "add", "mud", "--lab", "60,6,18", "--lab", "62,7,19")
        self.ok("pattern", "tone", P, "belly", "mud")
        self.fitted()
        self.ok("mold", "add", "old", "--cavities", 4, "--bait-volume", "9ml", "--runner-volume", "6ml")
        for batch in (1, 2):
            self.ok("pour", P, "--batch", batch, "--new", "--layer", "belly", "--cup", "white=12,yellow=2", "--measured", "72,2,9")

    def export(self):
        return self.ok("book", "export", "--no-journal")

    def last(self):
        return self.json("history", "--most", 1)["entries"][0]

    def words_of(self, deed):
        """Its command, with marks of the belly alone where it names them."""
        marks = json.loads((SAMPLES / "crawfish-1.marks.json").read_text())
        marks["layers"] = [layer for layer in marks["layers"] if layer["name"] == "belly"]
        belly = self.folder / BELLY
        belly.write_text(json.dumps(marks))
        return [belly if word == BELLY else word for word in deed]

    def other_export(self):
        """The export of another book, which has a pattern."""
        own, self.book = self.book, self.folder / "other.db"
        exported = self.folder / "shad.json"
        self.ok("pattern", "add", "shad", "--layer", "flank")
        self.ok("book", "export", exported)
        self.book = own
        return exported


def pour(batch, *words):
    return ("pour", P, "--batch", batch, "--layer", "belly", *words)


DEEDS = [
    ("pattern", "pattern frog added", ("pattern", "add", "frog", "--layer", "flank")),
    ("pattern", "name of a pattern: was creek crawfish, is mud crawfish", ("pattern", "rename", P, "mud crawfish")),
    ("pattern", "pattern creek crawfish removed, with its batches", ("pattern", "remove", P)),
    ("target", "target 60.00,5.00,18.00, was 67.00,7.00,20.00 for the belly of creek crawfish",
     ("target", "set", P, "belly", "--lab", "60,5,18")),
    ("target", "target 40.00,5.00,18.00 for the back of creek crawfish", ("target", "set", P, "back", "--lab", "40,5,18")),
    ("tone", "tone claw added; color 40.00,10.00,20.00, color 42.00,12.00,22.00 to tone claw", ("tone", "add", "claw", "--lab", "40,10,20", "--lab", "42,12,22")),
    ("pattern", "natural tone mud for the back of creek crawfish", ("pattern", "tone", P, "back", "mud")),
    ("pattern", "no natural tone for the belly of creek crawfish", ("pattern", "tone", P, "belly", "none")),
    ("tone", "removal of tone mud", ("tone", "remove", "mud")),
    ("pattern", "unwanted in pattern creek crawfish: blue,white", ("pattern", "unwanted", P, "blue,white")),
    ("pattern", "blends of pattern creek crawfish: clean ones wanted", ("pattern", "blends", P, "clean")),
    ("setting", "setting unwanted purple", ("settings", "unwanted", "purple")),
    ("bottle", "bottle teal added", ("bottle", "add", "teal")),
    ("bottle", "drop size of bottle white", ("bottle", "drop", "white", "--per-ml", "25")),
    ("lot", "lot B of white opened", ("bottle", "lot", "white", "B")),
    ("chip", "chips of white removed, bottle white removed", ("bottle", "remove", "white")),
    ("correction", "chip 3: was orange=0.5 over black, 3 mm: 20.19,-0.29,-1.19, is orange=0.6,brown=1 over black, 2.5 mm: "
     "20.19,-0.29,-1.19", ("bottle", "chips", "correct", 3, "--recipe", "orange=0.6,brown=1", "--thickness", "2.5")),
    ("correction", "chip 4: was orange=0.5 over white, 3 mm: 85.89,3.75,6.28, is orange=0.5 over gray, 3 mm: 50.00,3.00,6.00",
     ("bottle", "chips", "correct", 4, "--lab", "50,3,6", "--over", "gray")),
    ("correction", "chip 1: was clear base over black, 3 mm: 18.32,-0.61,-1.67, is white=1 over black, 3 mm: 18.32,-0.61,-1.67",
     ("bottle", "chips", "correct", 1, "--recipe", "white=1")),
    ("chip", "chip orange=0.5 over black, 3 mm: 20.19,-0.29,-1.19 removed", ("bottle", "chips", "remove", 3)),
    ("drops", "30 drops of brown into the belly of batch 2 of creek crawfish", pour(2, "--add", "brown=30")),
    ("drops", "4 fl oz of clear base, 12 drops of orange into the back of batch 1 of creek crawfish",
     ("pour", P, "--batch", 1, "--layer", "back", "--cup", "orange=12")),
    ("drops", "0.5 fl oz of clear base into the belly of batch 2 of creek crawfish", pour(2, "--clear", "0.5floz")),
    ("reading", "belly read as 70.00,2.00,9.00 in batch 2 of creek crawfish", pour(2, "--measured", "70,2,9")),
    ("reading", "belly read as 66.99,6.94,20.14 in batch 1 of creek crawfish",
     ("read", SAMPLES / "crawfish-1.jpg", "--marks", BELLY, "--pattern", P, "--batch", 1)),
    ("drops", "4 fl oz of clear base, 9 drops of brown into the belly of batch spring of creek crawfish",
     pour("spring", "--new", "--cup", "brown=9")),
    ("correction", "a cup: was the belly of batch 2 of creek crawfish, is the belly of batch spring of creek crawfish",
     ("batch", "correct", P, 2, "--layer", "belly", "--to-batch", "spring", "--new")),
    ("correction", "a reading: was bait 1, the belly of batch 2 of creek crawfish; is bait 1, the belly of batch spring of creek crawfish",
     ("reading", "correct", P, 2, "--batch", 2, "--to-batch", "spring", "--new")),
    ("pour", "temperature (F) 340 at minute 12 of the belly of batch 2 of creek crawfish",
     ("heat", P, 2, "belly", "340F", "--minute", 12)),
    ("pour", "temperature (F) 338 reheated at minute 14 of the belly of batch 2 of creek crawfish",
     ("heat", P, 2, "belly", "170C", "--minute", 14, "--reheat")),
    ("good", "batch 1 of creek crawfish marked good", ("pour", P, "--batch", 1, "--good", "--force")),
    ("batch", "batch 1 of creek crawfish given a note", ("pour", P, "--batch", 1, "--note", "windy")),
    ("batch", "batch 2 of creek crawfish removed", ("batch", "remove", P, 2)),
    ("correction", "name of a batch of creek crawfish: was 2, is spring", ("batch", "rename", P, 2, "spring")),
    ("correction", "white in the belly of batch 2 of creek crawfish: was 12, is 3",
     ("batch", "correct", P, 2, "--layer", "belly", "--drops", "white=3")),
    ("correction", "yellow in the belly of batch 2 of creek crawfish: was 2, is 20",
     ("batch", "correct", P, 2, "--layer", "belly", "--drops", "yellow=20")),
    ("correction", "brown in the belly of batch 2 of creek crawfish: was 0, is 4",
     ("batch", "correct", P, 2, "--layer", "belly", "--drops", "brown=4")),
    ("correction", "clear base (fl oz) in the belly of batch 2 of creek crawfish: was 4, is 6",
     ("batch", "correct", P, 2, "--layer", "belly", "--volume", "6floz")),
    ("correction", "a cup: was the belly of batch 2 of creek crawfish, is the back of batch 2 of creek crawfish",
     ("batch", "correct", P, 2, "--layer", "belly", "--to-layer", "back")),
    ("correction", "a cup: was the belly of batch 2 of creek crawfish, is the back of batch 1 of creek crawfish",
     ("batch", "correct", P, 2, "--layer", "belly", "--to-layer", "back", "--to-batch", "1")),
    ("correction", "a reading: was bait 1, the belly of batch 2 of creek crawfish; is bait 3, the belly of batch 2 of creek crawfish",
     ("reading", "correct", P, 2, "--batch", 2, "--bait", 3)),
    ("correction", "a reading: was bait 1, the belly of batch 2 of creek crawfish; is bait 1, the back of batch 1 of creek crawfish",
     ("reading", "correct", P, 2, "--batch", 2, "--to-batch", 1, "--to-layer", "back")),
    ("reading", "belly no longer read as 72.00,2.00,9.00 in batch 2 of creek crawfish", ("reading", "remove", P, 2, "--batch", 2)),
]


class EachKind(Book):
    def test_undo_takes_exactly_it_and_redo_brings_it_back(self):
        for kind, words, deed in DEEDS:
            with self.subTest(words):
                before = self.export()
                self.ok(*self.words_of(deed))
                after = self.export()
                self.assertNotEqual(after, before)
                last = self.last()
                self.assertEqual((last["kind"], last["words"], last["door"]), (kind, words, "command"))
                self.assertIn(words, self.ok("undo"))
                self.assertEqual(self.export(), before)
                self.assertIn(words, self.ok("redo"))
                self.assertEqual(self.export(), after)
                self.ok("book", "check")
                self.ok("undo")

    def test_an_import_is_one_entry(self):
        exported = self.other_export()
        before = self.export()
        self.ok("book", "import", exported)
        self.assertEqual(self.last()["kind"], "import")
        self.assertIn("taken in from", self.ok("undo"))
        self.assertEqual(self.export(), before)

    def test_a_fit_is_one_entry_with_what_it_taught(self):
        before = self.export()
        self.ok("bottle", "remove", "orange")
        without = self.export()
        self.ok("bottle", "fit")
        self.assertEqual(self.last()["kind"], "fit")
        self.ok("undo")
        self.assertEqual(self.export(), without)
        self.ok("undo")
        self.assertEqual(self.export(), before)


class Chips(Book):
    """Chips are listed, corrected and removed, and the next fit goes by that."""

    def chips(self, *words):
        return self.json("bottle", "chips", "list", *words)["chips"]

    def test_the_list(self):
        all_chips, of_orange = self.chips(), self.chips("orange")
        self.assertEqual((len(all_chips), len(of_orange)), (62, 10))
        self.assertTrue(all("orange" in c["loadings"] for c in of_orange))
        third = all_chips[2]
        self.assertEqual((third["id"], third["recipe"], third["thickness_mm"], third["over"], third["lab"], third["photo"]),
                         (3, "orange=0.5", 3, "black", [20.19, -0.29, -1.19], None))
        self.assertIn("    3  orange=0.5 over black, 3 mm", self.ok("bottle", "chips", "list"))

    def test_the_next_fit_goes_by_it(self):
        def lab():
            self.ok("bottle", "fit")
            return self.json("predict", "--recipe", "orange=4")["lab"]

        before = lab()
        wrong = [c["id"] for c in self.chips("orange") if c["recipe"] == "orange=8"]
        self.assertTrue(wrong)
        for chip in wrong:
            self.ok("bottle", "chips", "correct", chip, "--recipe", "orange=6")
        corrected = lab()
        self.assertNotEqual(corrected, before)
        self.ok("bottle", "chips", "remove", *wrong)
        self.assertEqual(self.last()["kind"], "chip")
        self.assertEqual(len(self.chips()), 62 - len(wrong))
        self.assertNotEqual(lab(), corrected)

    def test_the_same_again_adds_nothing(self):
        before = self.export()
        again = self.json("bottle", "chips", SAMPLES / "chips.csv")
        self.assertEqual((again["chips"], again["known"]), (0, 62))
        self.assertEqual(self.export(), before)

    def test_refusals(self):
        before = self.export()
        for part, words in (("no chip 99", ("correct", 99, "--lab", "50,0,0")), ("no chip 99", ("remove", 99)),
                            ("no chip 99", ("remove", 3, 99)), ("no chip's number", ("remove", "three")),
                            ("needs what was wrong", ("correct", 3)), ("Write:", ("remove",)), ("Write:", ("a.csv", "b.csv")),
                            ("There is no bottle", ("correct", 3, "--recipe", "teel=1")),
                            ("no bottle \"teel\"", ("list", "teel")),
                            ("which the book has already", ("correct", 3, "--recipe", "orange=0.5", "--over", "white", "--lab",
                                                            "85.89,3.75,6.28"))):
            code, out, err = self.run_any("bottle", "chips", *words)
            self.assertEqual((code, out, err.count("\n")), (2, "", 1), (words, err))
            self.assertIn(part, err)
        self.assertEqual(self.export(), before)


class Walk(Book):
    def test_several_photos_of_several_baits(self):
        photo = ("--photo", SAMPLES / "crawfish-1.jpg", "--photo", SAMPLES / "crawfish-2.jpg", "--marks",
                 SAMPLES / "crawfish-1.marks.json", "--marks", SAMPLES / "crawfish-2.marks.json")
        self.ok("pattern", "add", "three", "--layer", "back", "--layer", "middle", "--layer", "belly")
        self.ok("pour", "three", "--batch", 1, *photo, "--bait", 1, "--bait", 2)
        readings = self.json("reading", "list", "three")["readings"]
        self.assertEqual(sorted(r["bait"] for r in readings), [1, 1, 1, 2, 2, 2])

    def test_the_slip_of_another_batch(self):
        """Thirty drops in batch 2 are taken back; batch 1's readings stay."""
        before = self.json("reading", "list", P, "--batch", 1)
        self.ok(*pour(2, "--add", "brown=30"))
        self.ok("undo")
        self.assertEqual(self.json("reading", "list", P, "--batch", 1), before)
        drops = {a["bottle"]: a["drops"] for a in self.json("batch", "show", P, 2)["cups"][0]["additions"]}
        self.assertEqual(drops, {"white": 12, "yellow": 2})

    def test_all_the_way_back(self):
        count = len(self.json("history")["entries"])
        for _ in range(count):
            self.ok("undo")
        self.assertEqual(json.loads(self.export())["patterns"], [])
        code, out, err = self.run_any("undo")
        self.assertNotEqual(code, 0)
        self.assertIn("nothing to take back", err)
        for _ in range(count):
            self.ok("redo")
        self.assertEqual(len(self.json("batch", "list", P)["batches"]), 2)
        code, out, err = self.run_any("redo")
        self.assertIn("nothing to bring back", err)

    def test_history(self):
        self.ok("pattern", "add", "frog", "--layer", "flank")
        self.ok(*pour(2, "--add", "brown=30"))
        self.ok("batch", "correct", P, 2, "--layer", "belly", "--drops", "brown=3")
        own = self.json("history", "--pattern", P)["entries"]
        self.assertNotIn("pattern frog added", [e["words"] for e in own])
        self.assertIn("was 30, is 3", self.ok("history", "--pattern", P).splitlines()[-1])
        self.ok("undo")
        self.assertIn("taken back; redo", self.ok("history").splitlines()[-1])
        self.assertIn("brown=30", self.ok("pour", P, "--batch", 2, "--layer", "belly", "--note", "n"))

    def test_what_changes_nothing_says_so(self):
        self.ok("bottle", "add", "teal")
        self.ok("pattern", "note", P, "muddy")
        self.ok("pattern", "see-through", P, "back", "0.5")
        self.ok("mold", "add", "m", "--cavities", "2", "--bait-volume", "1floz")
        self.ok("settings", "volume", "3floz")
        self.ok("pour", P, "--batch", 1, "--note", "windy")
        before = self.json("history")
        for words in (("target", "set", P, "belly", "--lab", "67,7,20"), ("pattern", "note", P, "muddy"),
                      ("pattern", "see-through", P, "back", "0.5"), ("pattern", "rename", P, P),
                      ("bottle", "drop", "teal", "--per-ml", "20"), ("bottle", "fit"), ("bottle", "chips", SAMPLES / "chips.csv"),
                      ("mold", "add", "m", "--cavities", "2", "--bait-volume", "1floz"), ("settings", "volume", "3floz"),
                      ("settings", "step", "--unset"), ("pour", P, "--batch", 1, "--note", "windy")):
            code, out, err = self.run_any(*words)
            self.assertEqual((code, err), (0, "dropwise: Nothing changes: the book has it so already.\n"), words)
        self.assertEqual(self.json("history"), before)

    def test_nothing_changed_is_no_entry(self):
        before = self.json("history")
        self.ok("target", "set", P, "belly", "--lab", "67,7,20")
        self.assertFalse(self.json("batch", "correct", P, 2, "--layer", "belly", "--drops", "white=12")["changed"])
        self.assertFalse(self.json("batch", "rename", P, 2, "2")["changed"])
        self.ok("bottle", "fit")
        self.assertFalse(self.json("bottle", "chips", "correct", 3, "--recipe", "orange=0.5", "--thickness", "3", "--over", "black")["changed"])
        again = self.json("bottle", "chips", SAMPLES / "chips.csv")
        self.assertEqual((again["chips"], again["known"]), (0, 62))
        self.assertEqual(self.json("history"), before)

    def test_refusals(self):
        for part, words in (
                ("Nothing was poured", ("pour", P, "--batch", "fresh", "--new", "--good")),
                ("There is a batch", ("batch", "rename", P, 2, "1")),
                ("no batch", ("batch", "show", P, "x")),
                ("needs what was wrong", ("batch", "correct", P, 2)),
                ("has 2 layers", ("batch", "correct", P, 2, "--drops", "white=3")),
                ("There is a cup already", ("batch", "correct", P, 2, "--layer", "belly", "--to-batch", 1)),
                ("no reading 99", ("reading", "correct", P, 99, "--bait", 2))):
            before = self.export()
            code, out, err = self.run_any(*words)
            self.assertEqual((code, out), (2, ""), words)
            self.assertIn(part, err)
            self.assertEqual(self.export(), before)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
