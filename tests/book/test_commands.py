"""The commands that work on the book, as scripts rely on them: exit codes, JSON, one sentence for what went wrong."""
import json
import os
import pathlib
import pty
import re
import sqlite3
import subprocess
import sys
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "cli"))
from shop import PROGRAM, SAMPLES, SOURCE, Shop


class Pattern(Shop):
    def test_life_of_a_pattern(self):
        self.crawfish()
        self.ok("pattern", "note", "creek crawfish", "-5 degrees that day")
        self.ok("pattern", "see-through", "creek crawfish", "belly", "0.8")
        got = self.json("pattern", "rename", "creek crawfish", "bluegill")
        self.assertEqual([layer["name"] for layer in got["layers"]], ["back", "belly"])
        self.assertEqual(got["note"], "-5 degrees that day")
        self.assertEqual(got["layers"][1]["see_through"], 0.8)
        self.assertEqual(got["layers"][0]["target"], [33, 8, 10])
        self.assertEqual([p["name"] for p in self.json("pattern", "list")["patterns"]], ["bluegill"])
        self.assertEqual(self.json("pattern", "remove", "bluegill"), {"removed": "bluegill", "batches": 0, "kept": ""})
        self.refused(2, "no pattern", "pattern", "show", "bluegill")

    def test_refusals(self):
        self.refused(2, "no book", "pattern", "list")
        self.assertFalse(self.book.exists())
        self.refused(2, "layers", "pattern", "add", "x")
        self.crawfish()
        self.refused(2, "already", "pattern", "add", "creek crawfish", "--layer", "a")
        self.refused(2, "its layers are back, belly", "pattern", "see-through", "creek crawfish", "claw", "0.5")
        self.refused(2, "contrast ratio", "pattern", "see-through", "creek crawfish", "back", "2")
        self.refused(2, "it has: add", "pattern", "paint", "x")
        self.refused(2, "needs one of", "pattern")
        self.refused(2, "Write: dropwise pattern rename", "pattern", "rename", "creek crawfish")

    def test_a_failed_command_changes_nothing(self):
        self.crawfish()
        before = self.ok("book", "export")
        self.refused(2, "named twice", "pattern", "add", "y", "--layer", "a", "--layer", "a")
        self.assertEqual(self.ok("book", "export"), before)


class Target(Shop):
    def test_sources_and_history(self):
        self.crawfish()
        marks = SAMPLES / "crawfish-1.marks.json"
        photo = self.json("target", "set", "creek crawfish", "belly", "--photo", SAMPLES / "crawfish-1.jpg", "--marks", marks)
        read = json.loads(self.run_any("read", SAMPLES / "crawfish-1.jpg", "--marks", marks, "--json", book=False)[1])
        belly = next(layer for layer in read["layers"] if layer["name"] == "belly")
        self.assertEqual(photo["target"], belly["lab"])
        self.assertEqual(photo["uncertainty_de00"], belly["uncertainty_de00"])
        several = self.json("target", "set", "creek crawfish", "belly", "--photo", SAMPLES / "crawfish-1.jpg", "--photo",
                            SAMPLES / "crawfish-2.jpg", "--marks", marks, "--marks", SAMPLES / "crawfish-2.marks.json")
        self.assertEqual(several["how"], "from several photos")
        self.assertGreater(several["uncertainty_de00"], photo["uncertainty_de00"])
        other = self.json("target", "set", "creek crawfish", "back", "--from", "creek crawfish/belly")
        self.assertEqual(other["target"], several["target"])
        past = self.json("target", "history", "creek crawfish", "belly")["targets"]
        self.assertEqual([p["how"] for p in past], ["from several photos", "from a photo", "from numbers"])
        detail = past[1]["detail"]["photos"][0]
        self.assertEqual(len(past[1]["photo"]), 64)
        self.assertEqual(detail["photo"], past[1]["photo"])
        self.assertEqual(detail["light"]["method"], "grid24")
        self.assertEqual(detail["marks"]["card"]["set"], "grid24")

    def test_region(self):
        self.crawfish()
        marks = json.loads((SAMPLES / "crawfish-1.marks.json").read_text())
        corners = ",".join(map(str, marks["card"]["corners"]))
        shape = marks["layers"][0]["shape"]
        got = self.json("target", "set", "creek crawfish", "back", "--photo", SAMPLES / "crawfish-1.jpg", "--card", corners,
                        "--region", shape)
        self.assertEqual(got["how"], "from a photo")

    def test_refusals(self):
        self.crawfish()
        self.refused(2, "one of --lab", "target", "set", "creek crawfish", "back")
        self.refused(2, "not a Lab color", "target", "set", "creek crawfish", "back", "--lab", "500,0,0")
        self.refused(2, "PATTERN/LAYER", "target", "set", "creek crawfish", "back", "--from", "belly")
        self.refused(2, "no layer", "target", "set", "creek crawfish", "claw", "--lab", "50,0,0")
        self.refused(2, "There is no file", "target", "set", "creek crawfish", "back", "--photo", "no.jpg", "--region",
                     "rect:0,0,9x9")


class WrongReading(Shop):
    """A photo of another bait, or a typing error: kept, said so, nothing learned, and taken back."""

    def setUp(self):
        super().setUp()
        self.fitted()
        self.crawfish()
        self.ok("target", "set", "creek crawfish", "belly", "--lab", "67,3,8")
        cup = ("pour", "creek crawfish", "--batch", "1", "--layer")
        self.ok(*cup, "back", "--cup", "orange=12;black=3;yellow=4")
        self.ok(*cup, "belly", "--cup", "white=12;yellow=2;orange=1")
        marks = json.loads((SAMPLES / "baitfish-1.marks.json").read_text())
        marks["layers"] = [layer for layer in marks["layers"] if layer["name"] != "middle"]
        two = self.folder / "two-layers.json"
        two.write_text(json.dumps(marks))
        self.minnow = ("pour", "creek crawfish", "--batch", "1", "--photo", SAMPLES / "baitfish-1.jpg", "--marks", two)

    def test_a_slip_in_the_name_of_a_mark(self):
        before = self.ok("book", "export")
        photo, marks = SAMPLES / "baitfish-1.jpg", ("--marks", SAMPLES / "baitfish-1.marks.json")
        for words in (("pour", "creek crawfish", "--batch", "1", "--photo", photo),
                      ("read", photo, "--pattern", "creek crawfish", "--batch", "1")):
            self.refused(2, 'has no layer "middle"; its layers are back, belly', *words, *marks)
        self.assertEqual(self.ok("book", "export"), before)

    def strengths(self):
        return {b["id"]: b["strength"] for b in self.json("bottle", "list")["bottles"]}

    def test_another_bait(self):
        before = self.strengths()
        got = self.json(*self.minnow)
        self.assertTrue(all(b["pours"] == 0 for b in got["learned"]), got["learned"])
        back, belly = got["layers"]
        self.assertIn("nowhere near", back["set_aside_words"])
        self.assertIn("nothing was learned", back["set_aside_words"])
        # The belly alone comes near by chance; its photo is the wrong one all the same.
        self.assertLess(belly["predicted_de00"], 5)
        self.assertEqual(belly["set_aside"], 1)
        self.assertFalse("add" in back or "add" in belly)
        self.assertEqual(self.strengths(), before)

    def test_a_right_reading_still_teaches(self):
        self.json(*self.minnow)
        got = self.json("pour", "creek crawfish", "--batch", "1", "--layer", "back", "--measured", "36,9,12")
        self.assertTrue(any(b["pours"] == 1 and b["strength"] != 1 for b in got["learned"]))
        self.assertEqual(got["layers"][0]["measured"], [36, 9, 12])
        self.assertIn("go_on", got["layers"][0])

    def test_a_reading_is_taken_back(self):
        self.ok("pour", "creek crawfish", "--layer", "back", "--measured", "36,9,12")
        before = self.strengths()
        self.assertTrue(any(s != 1 for s in before.values()))
        self.ok("pour", "creek crawfish", "--layer", "belly", "--measured", "72,2,9")
        self.assertNotEqual(self.strengths(), before)
        got = self.json("undo")["undone"]
        self.assertEqual((got["kind"], got["words"]), ("reading", "belly read as 72.00,2.00,9.00 in batch 1 of creek crawfish"))
        self.assertEqual(self.strengths(), before)
        listed = self.json("reading", "list", "creek crawfish")
        self.assertEqual([r["lab"] for r in listed["readings"]], [[36, 9, 12]])
        self.json("reading", "remove", "creek crawfish", listed["readings"][0]["id"])
        self.assertTrue(all(s == 1 for s in self.strengths().values()), self.strengths())
        self.assertIn("back read 36.00,9.00,12.00 taken back", self.json("reading", "list", "creek crawfish")["note"])

    def test_undo_takes_the_whole_photo(self):
        self.json(*self.minnow)
        self.assertEqual(len(self.json("reading", "list", "creek crawfish")["readings"]), 2)
        self.json("undo")
        self.assertEqual(self.json("reading", "list", "creek crawfish")["readings"], [])
        self.refused(2, "no reading 99", "reading", "remove", "creek crawfish", "99")

    def test_half_a_number_is_refused(self):
        self.json("pour", "creek crawfish", "--layer", "back", "--measured", "36,9,12")
        number = self.json("reading", "list", "creek crawfish")["readings"][0]["id"]
        self.refused(2, "no reading's number", "reading", "remove", "creek crawfish", f"{number}.5")
        self.refused(2, "takes a whole number", "reading", "correct", "creek crawfish", number, "--bait", "1.5")
        for words in (["history", "--most"], ["advise", "--target", "33,8,10", "--max-bottles"],
                      ["plan", "creek crawfish", "--mold", "minnow", "--baits"], ["sheet", "--work"]):
            self.refused(2, "takes a whole number", *words, "1.5")
        self.assertEqual(len(self.json("reading", "list", "creek crawfish")["readings"]), 1)


class LastChips(Shop):
    """What was fitted goes with the last chip of a bottle, whichever door takes it, unless a cup needs it."""

    def ends(self):
        """The three ways to take all chips away, each tried and undone: whether a fit is left."""
        chips = [str(c["id"]) for c in self.json("bottle", "chips", "list")["chips"]]
        self.ok("bottle", "chips", "remove", *chips)
        one_by_one = self.json("bottle", "list")["fitted"]
        self.ok("undo")
        bottles = [b["id"] for b in self.json("bottle", "list")["bottles"]]
        for bottle in bottles:
            self.ok("bottle", "remove", bottle)
        by_bottle = self.json("bottle", "list")["fitted"]
        for _ in bottles:
            self.ok("undo")
        self.assertNotEqual(self.json("bottle", "list")["fitted"], "")
        return one_by_one != "", by_bottle != ""

    def test_every_door(self):
        self.fitted()
        self.assertEqual(self.ends(), (False, False))
        self.crawfish()
        self.ok("pour", "creek crawfish", "--layer", "back", "--cup", "orange=12;black=3")
        self.assertEqual(self.ends(), (True, True))


class Slips(Shop):
    """What was typed wrong is answered with what may be meant."""

    def test_names(self):
        self.ok("pattern", "add", "Muddy Craw", "--layer", "Belly")
        self.refused(2, "already", "pattern", "add", "muddy  craw", "--layer", "x")
        self.assertEqual(self.json("pattern", "show", "muddy craw")["name"], "Muddy Craw")
        self.ok("target", "set", "MUDDY CRAW", "belly", "--lab", "67,7,20")
        self.ok("pattern", "rename", "muddy craw", "muddy craw")
        self.refused(2, 'Did you mean "muddy craw"?', "pattern", "show", "mudy craw")
        self.refused(2, 'Did you mean "advise"?', "advice", "--pattern", "x")
        self.refused(2, 'Did you mean "--pattern"?', "advise", "--patern", "x")
        self.refused(2, 'Did you mean "list"?', "pattern", "lsit")
        self.refused(2, 'Did you mean "orange"?', "advise", "--pattern", "muddy craw", "--use", "orang")
        self.refused(2, 'Did you mean "orange"?', "pour", "muddy craw", "--cup", "ornge=3")
        code, out, err = self.run_any("pattern", "show", "shad")
        self.assertNotIn("Did you mean", err)  # nothing is near

    def test_shapes_of_input(self):
        self.crawfish()
        self.refused(2, "--lab 31,4.8,8.7", "target", "set", "creek crawfish", "back", "--lab", "31", "4.8", "8.7")
        self.refused(2, "is a photo: write --photo", "bottle", "chips", SAMPLES / "chips-1.jpg")
        self.ok("pattern", "add", "frog", "--layer", "flank")
        self.refused(2, "it has back, middle, belly", "target", "set", "frog", "flank", "--photo", SAMPLES / "crawfish-1.jpg",
                     "--marks", SAMPLES / "crawfish-1.marks.json")

    def test_temperatures(self):
        self.crawfish()
        cup = ("pour", "creek crawfish", "--layer", "back", "--cup", "orange=3", "--temperature")
        for wrong in (("500",), ("-20",), ("325", "--metric")):
            self.refused(2, "did you mistype", *cup, *wrong)
        self.assertIn("or mean 325F", self.run_any(*cup, "325", "--metric")[2])
        self.assertIn("outside the usual", self.json(*cup, "400")["warning"])
        usual = self.json(*cup, "163", "--metric")
        self.assertEqual((usual["warning"], usual["layers"][0]["temperature_f"]), ("", 325.4))

    def test_metric_volumes(self):
        self.crawfish()
        got = self.json("pour", "creek crawfish", "--layer", "back", "--cup", "orange=3", "--volume", "118.294", "--metric")
        self.assertAlmostEqual(got["layers"][0]["volume_floz"], 4, places=2)


class TargetDoubt(Shop):
    """A target read without a card is called one, wherever it is shown."""

    def test_no_card(self):
        self.crawfish()
        marks = self.folder / "marks.json"  # tells all that is marked: the card in the photo is not looked for
        marks.write_text(json.dumps({"layers": [{"name": "belly", "shape": "rect:400,400,60x60"}]}))
        photo = ("--photo", SAMPLES / "crawfish-1.jpg", "--marks", marks)
        got = self.json("target", "set", "creek crawfish", "belly", *photo)
        self.assertTrue(got["no_card"])
        words = f"No card: this target can be off by {got['uncertainty_de00']:.0f}."
        self.assertGreater(got["uncertainty_de00"], 5)
        self.assertEqual(got["warning"], words)
        self.assertIn(words, self.ok("target", "set", "creek crawfish", "belly", *photo))
        self.ok("target", "set", "creek crawfish", "back", "--from", "creek crawfish/belly")
        for layer in ("back", "belly"):
            self.assertIn(words, self.ok("target", "history", "creek crawfish", layer))
        self.assertEqual(self.ok("pattern", "show", "creek crawfish").count(words), 2)
        lab = ",".join(map(str, got["target"]))
        self.ok("pour", "creek crawfish", "--layer", "belly", "--cup", "white=12", "--measured", lab)
        drift = self.ok("drift", "creek crawfish")
        self.assertIn(words, drift)
        self.assertIn("within what the target is known", drift)
        self.ok("target", "set", "creek crawfish", "belly", "--lab", "67,7,20")
        self.assertEqual(self.ok("pattern", "show", "creek crawfish").count(words), 1)


class NextCup(Shop):
    """The recipe that worked comes first."""

    GOOD = "orange=28,white=1,yellow=2"

    def setUp(self):
        super().setUp()
        self.fitted()
        self.ok("pattern", "add", "one", "--layer", "body")
        self.ok("target", "set", "one", "body", "--lab", "46.4,23,26.1")
        shades = ("48,26.5,27.2", "48.4,26.1,27.5", "47.8,26.9,27", "48.2,26.3,26.8", "48.1,26.6,27.4", "47.7,26.2,27.2",
                  "48.3,26.7,27.1")
        for i, lab in enumerate(shades):
            self.ok("pour", "one", "--batch", i + 1, "--new", "--cup", self.GOOD, "--measured", lab, "--good")

    def test_after_one_off(self):
        self.ok("pour", "one", "--batch", "8", "--new", "--cup", "orange=20;white=1;yellow=2", "--measured", "52,21,24")
        text = self.ok("drift", "one", "--advise")
        self.assertRegex(text, r"\nMind: hot plastisol burns[^\n]*\n$")
        self.assertNotIn("Mind:", self.ok("drift", "one"))
        self.assertIn("8 drops less of orange than batch 7", text.splitlines()[1])
        self.assertIn("orange 28, white 1, yellow 2", text)
        drift = self.json("drift", "one", "--advise")["layers"][0]["next"]
        advise = self.json("advise", "--pattern", "one")["next_cups"]["body"]
        self.assertEqual(drift, advise)
        self.assertEqual(drift["recipe"], self.GOOD)
        self.assertEqual(drift["last_good"]["batch"], "7")
        self.assertLess(self.ok("advise", "--pattern", "one").index("Last good batch"), 20)

    def test_corrected_when_the_same_drops_give_another_color(self):
        self.ok("pour", "one", "--batch", "8", "--new", "--cup", self.GOOD, "--measured", "52,21,24")
        got = self.json("drift", "one", "--advise")["layers"][0]["next"]
        self.assertEqual(got["last_good"]["recipe"], self.GOOD)
        self.assertNotEqual(got["recipe"], self.GOOD)

    def test_a_bad_batch_is_not_good(self):
        got = self.json("pour", "one", "--batch", "8", "--new", "--cup", self.GOOD, "--measured", "60,20,20", "--good")
        self.assertFalse(got["good"])
        self.assertIn("Not marked good", got["warning"])
        self.assertTrue(self.json("pour", "one", "--batch", "8", "--good", "--force")["good"])
        self.assertIn("--not-good", self.json("pour", "one", "--batch", "8", "--note", "x")["warning"])
        self.assertFalse(self.json("pour", "one", "--batch", "8", "--not-good")["good"])

    def test_a_layer_that_was_not_measured_is_not_good(self):
        self.crawfish()
        pour = ("pour", "creek crawfish", "--batch", "1", "--layer")
        self.ok(*pour, "belly", "--cup", "white=13;orange=5;yellow=7")
        got = self.json(*pour, "back", "--cup", "brown=25;orange=1", "--measured", "33,8,10", "--good")
        self.assertEqual((got["good"], got["good_layers"]), (True, ["back"]))
        self.assertIn("Good: back; not measured, and not good until it is: belly.", self.ok("batch", "show", "creek crawfish", "1"))
        self.assertEqual(self.json("batch", "show", "creek crawfish", "1")["good_layers"], ["back"])
        next_cups = self.json("advise", "--pattern", "creek crawfish")["next_cups"]
        self.assertIn("last_good", next_cups["back"])
        self.assertNotIn("last_good", next_cups.get("belly", {}))
        text = self.ok(*pour, "belly", "--measured", "67,7,20", "--good")
        self.assertIn("Good: back, belly.", text)
        self.assertIn("last_good", self.json("advise", "--pattern", "creek crawfish")["next_cups"]["belly"])

    def test_good_before_anything_was_measured(self):
        self.crawfish()
        text = self.ok("pour", "creek crawfish", "--layer", "back", "--cup", "brown=25", "--good")
        self.assertIn("No layer counts as good yet; not measured, and not good until it is: back, belly.", text)

    def test_poured_as_advised(self):
        got = self.json("pour", "one", "--advised", "--temperature", "320")
        self.assertEqual((got["batch"], got["layers"][0]["temperature_f"]), ("8", 320))
        self.assertEqual(got["layers"][0]["cup"], {"orange": 28, "white": 1, "yellow": 2})
        double = self.json("pour", "one", "--advised", "--volume", "8")["layers"][0]
        self.assertEqual(double["cup"], {"orange": 56, "white": 2, "yellow": 4})
        self.refused(2, "--advised says", "pour", "one", "--advised", "--cup", "orange=1")

    def test_brief_and_more(self):
        brief, more = self.ok("drift", "one"), self.ok("drift", "one", "--more")
        self.assertEqual(brief.splitlines()[1], "Steady: body.")
        self.assertNotIn("sigma", brief)
        self.assertNotIn("temperatures:", brief.replace("temperatures: --more", ""))
        self.assertIn("its width is not noted for any batch", more)

    def test_sheet(self):
        html = self.folder / "sheet.html"
        self.ok("pour", "one", "--batch", "8", "--new", "--cup", self.GOOD, "--measured", "48,26,27")
        self.ok("sheet", "one", "--html", html)
        self.assertIn("Batch 8, poured ", html.read_text())
        self.assertIn("Measured ", html.read_text())
        self.ok("sheet", "one", "--next", "--html", html)
        self.assertIn("As advised, not poured yet", html.read_text())

    def test_sheet_before_any_pour(self):
        html = self.folder / "sheet.html"
        self.ok("pattern", "add", "bream", "--layer", "back")
        self.refused(2, "target", "sheet", "bream", "--html", html)
        self.ok("target", "set", "bream", "back", "--lab", "40,10,20")
        self.assertEqual(self.json("sheet", "bream", "--html", html)["cups"], 1)
        self.assertIn("As advised, not poured yet", html.read_text())

    def test_removal_keeps_a_copy(self):
        got = self.json("pattern", "remove", "one")
        self.assertEqual(got["batches"], 7)
        self.refused(2, "no pattern", "drift", "one")
        self.ok("book", "restore", got["kept"])
        self.assertEqual(self.json("pattern", "show", "one")["batches"], 7)


class Readme(Shop):
    """The README's day works as it is printed, and prints what it says."""

    def test_the_day(self):
        part = (SOURCE / "README.md").read_text().split("## A day in six commands")[1].split("\n## ")[0]
        blocks = re.findall(r"```(?:sh)?\n(.*?)```", part, re.S)
        program = pathlib.Path(PROGRAM).resolve().parent
        done = subprocess.run(["bash", "-ec", blocks[0].replace("$PWD/build", str(program))], cwd=SOURCE, timeout=120,
                              capture_output=True, text=True,
                              env={**os.environ, "NO_COLOR": "1", "XDG_DATA_HOME": str(self.folder / "data")})
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn(blocks[1], done.stdout)


class Tone(Shop):
    def test_inside_and_outside(self):
        self.ok("tone", "samples")
        inside = self.json("tone", "check", "sample: crawfish belly", "--lab", "67,7,20")
        self.assertTrue(inside["inside"] and inside["invented"])
        self.assertEqual(inside["away_de00"], 0)
        out = self.json("tone", "check", "sample: crawfish belly", "--lab", "30,-30,-30")
        self.assertFalse(out["inside"])
        self.assertGreater(out["away_de00"], 10)
        near = self.json("tone", "check", "sample: crawfish belly", "--lab", ",".join(map(str, out["nearest"])))
        self.assertAlmostEqual(near["share"], 1, delta=0.01)

    def test_own(self):
        got = self.json("tone", "add", "claw", "--lab", "30,40,-20", "--lab", "32,42,-22")
        self.assertEqual(got["references"], 2)
        marks = SAMPLES / "crawfish-1.marks.json"
        got = self.json("tone", "add", "claw", "--photo", SAMPLES / "crawfish-1.jpg", "--marks", marks, "--layer", "back")
        self.assertEqual((got["references"], got["invented"]), (3, False))
        self.ok("tone", "samples")
        self.assertEqual(self.json("tone", "samples")["added"], 0)
        self.assertIn("claw", [t["name"] for t in self.json("tone", "list")["tones"]])
        self.refused(2, "invented sample", "tone", "add", "sample: minnow back", "--lab", "1,1,1")
        self.ok("tone", "remove", "claw")
        self.refused(2, "no tone", "tone", "show", "claw")
        self.refused(2, "needs reference colors", "tone", "add", "x")

    def test_a_layer_with_a_tone_alone_blends_as_its_tone(self):
        self.ok("pattern", "add", "frog", "--layer", "back", "--layer", "belly")
        self.ok("target", "set", "frog", "belly", "--lab", "67,7,20")
        self.ok("tone", "add", "mud", "--lab", "38,8,12", "--lab", "42,10,15", "--lab", "40,9,16")
        self.ok("pattern", "tone", "frog", "back", "mud")
        back = self.json("blend", "--pattern", "frog")["layers"][0]
        middle = self.json("tone", "show", "mud")["center"]
        self.assertLess(max(abs(a - b) for a, b in zip(back["lab"], middle)), 0.5)


class Bottle(Shop):
    def test_chips_and_fit(self):
        self.assertEqual(self.json("bottle", "chips", SAMPLES / "chips.csv")["chips"], 62)
        fit = self.json("bottle", "fit")
        self.assertLess(fit["mean_de00"], 1)
        self.assertEqual(fit["max_de00"], fit["residuals"][0]["de00"])
        self.assertEqual(len(fit["residuals"]), 62)
        self.assertTrue(0.4 <= fit["k2"] <= 0.7 and 0 <= fit["gap"] <= 1)
        listed = self.json("bottle", "list")
        self.assertFalse(listed["invented"])
        self.assertEqual({b["id"] for b in listed["bottles"]},
                         {"black", "blue", "brown", "green", "orange", "red", "white", "yellow"})
        self.assertTrue(all(b["fitted"] for b in listed["bottles"]))

    def test_a_wrong_chip_is_named(self):
        text = (SAMPLES / "chips.csv").read_text().replace("orange=8,3,white", "orange=8,9,white")
        (self.folder / "chips.csv").write_text(text)
        self.ok("bottle", "chips", self.folder / "chips.csv")
        fit = self.json("bottle", "fit")
        self.assertIn("orange=8", fit["residuals"][0]["chip"])
        self.assertIn("orange=8", fit["worst"])

    def test_chips_from_a_photo(self):
        marks = json.loads((SAMPLES / "chips-1.marks.json").read_text())
        got = self.json("bottle", "chips", "--photo", SAMPLES / "chips-1.jpg", "--marks", SAMPLES / "chips-1.marks.json")
        self.assertEqual(got["chips"], len(marks["layers"]))
        for layer in marks["layers"]:  # the names alone say it too
            del layer["recipe"], layer["thickness_mm"], layer["over"]
        (self.folder / "names.json").write_text(json.dumps(marks))
        first = self.chips_in_book()
        self.book.unlink()
        self.ok("bottle", "chips", "--photo", SAMPLES / "chips-1.jpg", "--marks", self.folder / "names.json")
        self.assertEqual(self.chips_in_book(), first)
        self.assertLess(self.json("bottle", "fit")["mean_de00"], 2)
        marks["layers"][0]["name"] = "something"
        (self.folder / "odd.json").write_text(json.dumps(marks))
        self.refused(2, "something", "bottle", "chips", "--photo", SAMPLES / "chips-1.jpg", "--marks",
                     self.folder / "odd.json")

    def chips_in_book(self):
        with sqlite3.connect(self.book) as db:
            return sorted(db.execute("SELECT b.slug, p.loading, c.thickness_mm, c.backing, round(c.l, 6) FROM chip c "
                                     "LEFT JOIN chip_part p ON p.chip = c.id LEFT JOIN lot ON lot.id = p.lot "
                                     "LEFT JOIN bottle b ON b.id = lot.bottle"), key=str)

    def test_clear_base_alone_is_no_fit(self):
        chips = self.folder / "base.csv"
        chips.write_text("recipe,thickness_mm,over,L,a,b\n,3,white,88,-1,4\n")
        self.ok("bottle", "chips", chips)
        self.refused(2, "at least one bottle", "bottle", "fit")
        self.ok("predict", "--recipe", "orange=6;brown=1")  # the shelf is still there

    def test_lots_and_drops(self):
        self.fitted()
        got = self.json("bottle", "lot", "orange", "B7")
        self.assertEqual((got["lot"]["name"], got["lots"], got["strength"]), ("B7", 2, 1))
        self.assertEqual(self.json("bottle", "drop", "orange", "--per-ml", "22")["drops_per_ml"], 22)
        self.assertEqual([lot["name"] for lot in self.json("bottle", "show", "orange")["all_lots"]], ["first", "B7"])
        self.ok("bottle", "remove", "blue")
        self.assertNotIn("blue", [b["id"] for b in self.json("bottle", "list")["bottles"]])
        self.refused(2, "blue", "predict", "--recipe", "blue=2")
        self.refused(2, "no bottle", "bottle", "drop", "plaid", "--per-ml", "20")
        self.ok("bottle", "add", "aurora", "--role", "effect")
        for words in (["predict", "--recipe", "orange=2;aurora=1"],
                      ["advise", "--target", "45,22,30", "--cup", "orange=28;aurora=3", "--plugins", PLUGINS],
                      ["advise", "--target", "45,22,30", "--use", "aurora", "--plugins", PLUGINS]):
            self.refused(2, "aurora has no chips yet, so its color can't be predicted", *words)
        self.refused(2, "needs --per-ml", "bottle", "drop", "orange")
        self.refused(2, "has a lot", "bottle", "lot", "orange", "B7")

    def test_refusals(self):
        self.refused(2, "no chips", "bottle", "fit")
        self.refused(2, "can't name a bottle", "bottle", "add", "Neon Pink")
        self.refused(2, "--role takes", "bottle", "add", "pink", "--role", "loud")
        self.refused(2, "either FILE.csv", "bottle", "chips")
        (self.folder / "bad.csv").write_text("recipe,thickness_mm,over,L,a,b\norange=2,3,white,80,1,red\n")
        self.refused(2, "line 2", "bottle", "chips", self.folder / "bad.csv")


class Pour(Shop):
    def test_a_cup_and_its_corrections(self):
        self.crawfish()
        self.fitted()
        first = self.json("pour", "creek crawfish", "--batch", "a", "--layer", "back", "--cup",
                          "orange=12;brown=14;black=2", "--temperature", "340", "--measured", "38,9,14")
        layer = first["layers"][0]
        self.assertEqual(layer["cup"], {"orange": 12, "brown": 14, "black": 2})
        self.assertEqual((layer["temperature_f"], layer["measured"]), (340, [38, 9, 14]))
        self.assertTrue(layer["go_on"])
        self.assertEqual({b["bottle"] for b in first["learned"]}, {"orange", "brown", "black"})
        then = self.json("pour", "creek crawfish", "--layer", "back", "--add", "black=1", "--clear", "0.25",
                         "--measured", "33,8,10", "--good")
        self.assertEqual((then["batch"], then["good"]), ("a", True))
        self.assertEqual(then["layers"][0]["cup"]["black"], 3)
        self.assertEqual(then["layers"][0]["volume_floz"], 4.25)
        self.assertFalse(then["layers"][0]["go_on"])  # it is the target
        self.assertEqual(self.json("pattern", "show", "creek crawfish")["batches"], 1)

    def test_a_cup_over_its_brim_is_full(self):
        self.crawfish()
        poured = self.json("pour", "creek crawfish", "--batch", "1", "--layer", "back", "--cup", "orange=28", "--volume",
                           "4.94", "--capacity", "5")
        color = poured["layers"][0]["predicted"]
        self.ok("bottle", "drop", "orange", "--per-ml", "14")  # bigger drops: the cup is over its brim by now
        got = self.json("pour", "creek crawfish", "--batch", "1", "--layer", "back", "--measured", ",".join(map(str, color)))
        layer = got["layers"][0]
        self.assertEqual(layer["measured"], color)
        self.assertFalse(layer["go_on"])
        self.assertTrue(any("is full" in note for note in got["notes"]), got["notes"])
        self.assertEqual(len(self.json("drift", "creek crawfish")["layers"][0]["batches"]), 1)

    def test_thickness_and_backing_given_with_the_measurement_count(self):
        self.crawfish()
        self.ok("pour", "creek crawfish", "--batch", "1", "--layer", "back", "--cup", "orange=12")
        thin = self.json("predict", "--recipe", "orange=3", "--thickness", "2", "--over", "white")["lab"]
        got = self.json("pour", "creek crawfish", "--layer", "back", "--thickness", "2", "--over", "white", "--measured",
                        ",".join(map(str, thin)))
        self.assertEqual(got["layers"][0]["predicted"], thin)
        self.assertAlmostEqual(next(b for b in got["learned"] if b["bottle"] == "orange")["strength"], 1, delta=0.02)
        # What is not said again is as before; a slab that is another is another pour.
        got = self.json("pour", "creek crawfish", "--layer", "back", "--measured", ",".join(map(str, thin)))
        self.assertEqual(got["layers"][0]["predicted"], thin)
        with sqlite3.connect(self.book) as db:
            slabs = db.execute("SELECT p.thickness_mm, p.backing > 0.5, count(r.id) FROM pour p"
                               " LEFT JOIN reading r ON r.pour = p.id GROUP BY p.id ORDER BY p.id").fetchall()
        self.assertEqual(slabs, [(10, 0, 0), (2, 1, 2)])

    def test_the_same_photo_read_again_replaces_what_it_said(self):
        self.ok("pattern", "add", "creek crawfish", "--layer", "back", "--layer", "middle", "--layer", "belly")
        marks = json.loads((SAMPLES / "crawfish-2.marks.json").read_text())
        right = {layer["name"]: layer["shape"] for layer in marks["layers"]}
        wrong = [{"name": name, "shape": right[other]} for name, other in
                 (("back", "belly"), ("middle", "middle"), ("belly", "back"))]
        (self.folder / "wrong.json").write_text(json.dumps({**marks, "layers": wrong}))
        pour = ("pour", "creek crawfish", "--batch", "1", "--photo", SAMPLES / "crawfish-2.jpg", "--marks")
        self.ok(*pour, self.folder / "wrong.json")
        self.ok(*pour, SAMPLES / "crawfish-2.marks.json")
        read = self.run_any("read", SAMPLES / "crawfish-2.jpg", "--marks", SAMPLES / "crawfish-2.marks.json", "--json",
                            book=False)[1]
        for layer in json.loads(read)["layers"]:
            with sqlite3.connect(self.book) as db:
                rows = db.execute("SELECT round(r.l, 2), round(r.a, 2), round(r.b, 2) FROM reading_now r"
                                  " JOIN layer l ON l.id = r.layer WHERE l.name = ?", [layer["name"]]).fetchall()
            self.assertEqual([list(row) for row in rows], [layer["lab"]])
        self.assertEqual(self.json("drift", "creek crawfish")["repeatability"], {"sd_de00": 0, "repeats": 0})
        copy = self.folder / "again.jpg"  # another photo of the same bait is a repeat
        copy.write_bytes((SAMPLES / "crawfish-2.jpg").read_bytes() + b"\0")
        self.ok("pour", "creek crawfish", "--batch", "1", "--photo", copy, "--marks", SAMPLES / "crawfish-2.marks.json")
        self.assertEqual(self.json("drift", "creek crawfish")["repeatability"]["repeats"], 3)

    def test_bottles_learn_from_pours(self):
        self.crawfish()
        self.fitted()
        words = []
        for i in range(1, 7):  # orange is 25% stronger than its chips said
            drops = 4 * i
            seen = self.json("predict", "--recipe", f"orange={drops * 1.25 / 4}")["lab"] if i == 1 else \
                self.predicted_of_the_fit(drops * 1.25 / 4)
            got = self.json("pour", "creek crawfish", "--layer", "back", "--cup", f"orange={drops}", "--measured",
                            ",".join(map(str, seen)))
            words = [b["words"] for b in got["learned"]]
        self.assertTrue(any("orange runs" in w and "stronger" in w for w in words), words)
        self.assertIn("stronger", self.json("bottle", "show", "orange")["learned"])
        self.assertEqual(self.json("bottle", "lot", "orange", "new")["strength"], 1)

    def predicted_of_the_fit(self, loading):
        copy = self.folder / "fit-only.db"
        if not copy.exists():
            shop = ["--book", str(copy)]
            for words in (["bottle", "chips", str(SAMPLES / "chips.csv")], ["bottle", "fit"]):
                subprocess.run([PROGRAM, *words, *shop], check=True, capture_output=True)
        out = subprocess.run([PROGRAM, "predict", "--recipe", f"orange={loading}", "--json", "--book", str(copy)],
                             check=True, capture_output=True, text=True).stdout
        return json.loads(out)["lab"]

    def test_a_photo_of_all_layers(self):
        self.ok("pattern", "add", "creek crawfish", "--layer", "back", "--layer", "middle", "--layer", "belly")
        marks = SAMPLES / "crawfish-2.marks.json"
        self.ok("pour", "creek crawfish", "--batch", "1", "--layer", "back", "--cup", "brown=20")
        got = self.json("pour", "creek crawfish", "--batch", "1", "--photo", SAMPLES / "crawfish-2.jpg", "--marks", marks)
        self.assertTrue(got["invented"])  # no bottle is fitted
        self.assertIsNotNone(got["layers"][0]["measured"])
        drift = self.json("drift", "creek crawfish")
        read = json.loads(self.run_any("read", SAMPLES / "crawfish-2.jpg", "--marks", marks, "--json", book=False)[1])
        for layer in read["layers"]:
            with sqlite3.connect(self.book) as db:
                row = db.execute("SELECT r.l FROM reading_now r JOIN layer l ON l.id = r.layer WHERE l.name = ?",
                                 [layer["name"]]).fetchone()
            self.assertAlmostEqual(row[0], layer["lab"][0], delta=0.006)
        self.assertEqual(len(drift["layers"]), 3)

    def test_a_large_cup_may_hold_its_drops(self):
        # The same loadings in 4 and in 16 fl oz: the same color, so the same advice, four times the drops.
        self.crawfish()
        advice = []
        for times in (1, 4):
            got = self.json("pour", "creek crawfish", "--batch", times, "--new", "--layer", "back", "--volume", 4 * times, "--cup",
                            f"orange={12 * times};brown={8 * times};black={times}", "--measured", "36.5,12,14")
            advice.append(got["layers"][0])
        self.assertTrue(all(a["go_on"] for a in advice), advice)
        self.assertLess(advice[1]["then_de00"], 1)
        self.assertAlmostEqual(advice[1]["then_de00"], advice[0]["then_de00"], delta=0.5)  # steps are finer there

    def test_a_cup_gone_too_far_starts_a_new_one(self):
        self.crawfish()
        words = ["pour", "creek crawfish", "--layer", "belly", "--cup", "brown=40;white=4", "--capacity", "4.3", "--measured",
                 "33,8,10"]
        got = self.json(*words, "--batch", "a")["layers"][0]
        new = got["new_cup"]
        self.assertGreater(got["then_de00"], 2)
        self.assertLess(new["predicted_de00"], got["then_de00"])
        self.assertGreater(new["add_clear_floz"], 0)
        self.assertIn("clear base", new["words"])
        self.assertIn("Or: Start a new cup with ", self.ok(*words, "--batch", "b", "--new"))

    def test_metric(self):
        self.crawfish()
        got = self.json("pour", "creek crawfish", "--layer", "back", "--cup", "brown=2", "--temperature", "170", "--metric")
        self.assertEqual(got["layers"][0]["temperature_f"], 338)

    def test_invented_is_said_of_what_is(self):
        self.crawfish()
        self.ok("pour", "creek crawfish", "--batch", "1", "--layer", "back", "--cup", "orange=12")
        self.assertIn("Orange (invented);", self.ok("bottle", "list"))
        self.assertIn("Orange (invented);", self.ok("bottle", "show", "orange"))
        self.fitted()
        for words in (("list",), ("show", "orange")):
            line = next(s for s in self.ok("bottle", *words).splitlines() if s.startswith("orange "))
            self.assertIn("Orange;", line)
            self.assertIn("fitted", line)
            self.assertNotIn("invented", line)

    def test_refusals(self):
        self.crawfish()
        self.refused(2, "something to log", "pour", "creek crawfish")
        self.refused(2, "say which one with --layer", "pour", "creek crawfish", "--cup", "brown=2")
        self.refused(2, "plaid", "pour", "creek crawfish", "--layer", "back", "--cup", "plaid=2")
        self.refused(2, "bottle=drops", "pour", "creek crawfish", "--layer", "back", "--cup", "brown")
        self.refused(2, "run over", "pour", "creek crawfish", "--layer", "back", "--cup", "brown=2000")
        self.refused(2, "no such cup", "pour", "creek crawfish", "--layer", "back", "--add", "brown=2")
        self.refused(2, "no pattern", "pour", "frog", "--cup", "brown=2")
        self.assertEqual(self.json("pattern", "show", "creek crawfish")["batches"], 0)
        self.ok("pour", "creek crawfish", "--batch", "1", "--layer", "back", "--cup", "brown=2")
        self.refused(2, "already", "pour", "creek crawfish", "--batch", "1", "--layer", "back", "--cup", "brown=2")



class NameOfABatch(Shop):
    """A name that no batch has begins one only where that was said: a slip would else split a batch in two."""

    def setUp(self):
        super().setUp()
        self.crawfish()
        for name in ("spring", "7", "june"):
            self.ok(*self.pour(name, "--new", "--cup", "brown=20"))

    @staticmethod
    def pour(name, *words):
        return ("pour", "creek crawfish", "--batch", name, "--layer", "back", *words)

    def names(self):
        return [b["batch"] for b in self.json("batch", "list", "creek crawfish")["batches"]]

    def at_a_terminal(self, answer, *words):
        try:
            ours, theirs = pty.openpty()
        except OSError as error: # a bare root without /dev/pts
            self.skipTest(f"no terminal to be had: {error}")
        os.write(ours, answer)
        done = subprocess.run([PROGRAM, *words, "--book", self.book], stdin=theirs, capture_output=True, text=True, timeout=60)
        os.close(ours)
        os.close(theirs)
        return done

    def test_the_first_needs_no_word(self):
        self.ok("pattern", "add", "frog", "--layer", "flank")
        self.assertEqual(self.json("pour", "frog", "--batch", "may", "--cup", "brown=2")["batch"], "may")

    def test_a_slip_is_refused_and_nothing_kept(self):
        doors = [self.pour("spirng", "--measured", "33,8,10"), self.pour("spirng", "--note", "x"),
                 ("pour", "creek crawfish", "--batch", "spirng", "--advised"),
                 ("pour", "creek crawfish", "--batch", "spirng", "--photo", SAMPLES / "crawfish-1.jpg", "--marks",
                  SAMPLES / "crawfish-1.marks.json"),
                 ("batch", "correct", "creek crawfish", "7", "--layer", "back", "--to-batch", "spirng"),
                 ("reading", "correct", "creek crawfish", "1", "--to-batch", "spirng")]
        before = self.ok("book", "export")
        for words in doors:
            self.refused(2, '"creek crawfish" has no batch "spirng" yet (nearest: spring, ', *words)
            self.refused(2, "or --new to begin it.", *words)
        self.assertEqual(self.ok("book", "export"), before)

    def test_three_of_many_are_named(self):
        self.ok(*self.pour("jun", "--new", "--note", "x"))
        self.refused(2, "(nearest: jun, june, 7 and 1 more)", *self.pour("juh", "--note", "x"))

    def test_new_is_new(self):
        self.refused(2, "already; leave out --new", *self.pour("spring", "--new", "--note", "x"))
        self.ok(*self.pour("autumn", "--new", "--note", "x"))
        self.assertEqual(self.names(), ["spring", "7", "june", "autumn"])
        got = self.json("pour", "creek crawfish", "--new", "--layer", "back", "--measured", "33,8,10")
        self.assertEqual(got["batch"], "8")

    def test_no_name_is_as_ever(self):
        self.assertEqual(self.json("pour", "creek crawfish", "--layer", "back", "--measured", "33,8,10")["batch"], "june")
        self.assertEqual(self.json("pour", "creek crawfish", "--layer", "back", "--cup", "brown=3")["batch"], "8")

    def test_the_day_names_it(self):
        self.ok("pattern", "add", "frog", "--layer", "flank")
        self.ok("pour", "frog", "--batch", "may", "--cup", "brown=2")
        day = self.json("batch", "show", "frog", "may")["poured"][:10]
        self.assertEqual(self.json("pour", "frog", "--batch", day, "--add", "brown=1")["batch"], "may")

    def test_asked_at_a_terminal(self):
        no = self.at_a_terminal(b"n\n", *self.pour("autumn", "--note", "x"))
        self.assertEqual((no.returncode, no.stdout), (2, ""))
        self.assertIn("Begin it? [y/N]", no.stderr)
        self.assertIn("nothing was kept", no.stderr)
        self.assertNotIn("autumn", self.names())
        self.assertEqual(self.at_a_terminal(b"yes\n", *self.pour("autumn", "--note", "x")).returncode, 0)
        self.assertIn("autumn", self.names())


class Read(Shop):
    """read --pattern --batch: readings of photos become those of a batch."""

    ONE, TWO = SAMPLES / "crawfish-1.jpg", SAMPLES / "crawfish-2.jpg"
    MARKS_ONE, MARKS_TWO = SAMPLES / "crawfish-1.marks.json", SAMPLES / "crawfish-2.marks.json"
    INTO = ("--pattern", "creek crawfish", "--batch", "may-1")

    def three_layers(self):
        self.ok("pattern", "add", "creek crawfish", "--layer", "back", "--layer", "middle", "--layer", "belly")
        self.ok("pour", "creek crawfish", "--batch", "may-1", "--layer", "back", "--cup", "brown=20")

    def rows(self):
        with sqlite3.connect(self.book) as db:
            return db.execute("SELECT l.name, r.bait, r.look, r.pour, round(r.l, 2), round(r.a, 2), round(r.b, 2) "
                              "FROM reading_now r JOIN layer l ON l.id = r.layer ORDER BY r.bait, r.id").fetchall()

    def test_one_photo(self):
        self.three_layers()
        plain = json.loads(self.run_any("read", self.ONE, "--marks", self.MARKS_ONE, "--json", book=False)[1])
        got = self.json("read", self.ONE, "--marks", self.MARKS_ONE, *self.INTO)
        self.assertEqual(got.pop("kept"), {"pattern": "creek crawfish", "batch": "may-1", "bait": 1,
                                           "layers": ["back", "middle", "belly"]})
        self.assertEqual([b["bottle"] for b in got.pop("learned")], ["brown"])  # the cup of the back is measured now
        self.assertEqual(got.pop("flake"), [])  # nothing is aimed for
        self.assertEqual(got, plain)
        rows = self.rows()
        self.assertEqual([(row[0], *row[4:]) for row in rows], [(l["name"], *l["lab"]) for l in plain["layers"]])
        self.assertTrue(rows[0][3] and not rows[1][3])  # of a pour where there is a cup
        with sqlite3.connect(self.book) as db:
            self.assertEqual(db.execute("SELECT count(*), max(length(preview)) > 0 FROM photo").fetchone(), (1, 1))

    def test_several_baits_and_photos(self):
        self.three_layers()
        got = self.json("read", self.ONE, self.TWO, "--marks", self.MARKS_ONE, "--marks", self.MARKS_TWO, "--bait", 1,
                        "--bait", 2, *self.INTO)
        self.assertEqual([r["kept"]["bait"] for r in got["readings"]], [1, 2])
        self.assertIn("learned", got)
        self.assertEqual([row[1] for row in self.rows()], [0, 0, 0, 1, 1, 1])
        self.ok("read", self.TWO, "--marks", self.MARKS_TWO, *self.INTO)  # a second photo of bait 1
        rows = [row for row in self.rows() if row[:2] == ("belly", 0)]
        self.assertEqual(len({row[2] for row in rows}), 2)
        self.ok("target", "set", "creek crawfish", "belly", "--lab", "67,7,20")
        drift = self.json("drift", "creek crawfish")
        self.assertEqual(drift["layers"][2]["batches"][0]["baits"], 2)
        self.assertEqual(drift["repeatability"]["repeats"], 3)  # one repeated photo in each layer

    def test_read_again_takes_the_place(self):
        self.three_layers()
        for _ in range(2):
            self.ok("read", self.ONE, "--marks", self.MARKS_ONE, *self.INTO)
        self.assertEqual(len(self.rows()), 3)

    def test_the_day_names_the_batch(self):
        self.three_layers()
        with sqlite3.connect(self.book) as db:
            db.execute("UPDATE batch SET poured = '2026-05-01T14:03:22Z'")
        db.close()
        by_day = ("--pattern", "creek crawfish", "--batch", "2026-05-01")
        got = self.json("read", self.ONE, "--marks", self.MARKS_ONE, *by_day)
        self.assertEqual(got["kept"]["batch"], "may-1")
        self.ok("pour", "creek crawfish", "--batch", "second", "--new", "--note", "same day")
        with sqlite3.connect(self.book) as db:
            db.execute("UPDATE batch SET poured = '2026-05-01T16:00:00Z' WHERE name = 'second'")
        db.close()
        self.refused(2, "2 batches were begun on 2026-05-01", "read", self.ONE, "--marks", self.MARKS_ONE, *by_day)

    def test_refusals(self):
        one = ("read", self.ONE, "--marks", self.MARKS_ONE)
        self.refused(2, "no book", *one, *self.INTO)
        self.assertFalse(self.book.exists())
        self.ok("pattern", "add", "creek crawfish", "--layer", "back", "--layer", "belly")
        self.refused(2, "no batch yet", *one, *self.INTO)
        for i in range(8):
            self.ok("pour", "creek crawfish", "--batch", f"b{i}", "--new", "--note", "x")
        self.refused(2, 'no batch "may-1"; it has b7, b6, b5, b4, b3, b2 and 2 older ones', *one, *self.INTO)
        self.refused(2, "no pattern", *one, "--pattern", "frog", "--batch", "b1")
        self.refused(2, "both --pattern and --batch", *one, "--batch", "b1")
        self.refused(2, "both --pattern and --batch", *one, "--pattern", "creek crawfish")
        into = ("--pattern", "creek crawfish", "--batch", "b1")
        self.refused(2, "not the number of a bait", *one, *into, "--bait", "1.5")
        self.refused(2, "--bait says whose", *one, "--bait", "2")
        self.refused(2, "one --bait for all", "read", self.ONE, self.ONE, self.TWO, "--marks", self.MARKS_ONE, *into,
                     "--bait", "1", "--bait", "2")
        before = self.ok("book", "export")  # the second photo's "middle" is no layer of this pattern: nothing is kept
        belly = json.loads(self.MARKS_ONE.read_text())
        belly["layers"] = belly["layers"][2:]
        (self.folder / "belly.json").write_text(json.dumps(belly))
        self.refused(2, 'no layer "middle"; its layers are back, belly', "read", self.ONE, self.TWO, "--marks",
                     self.folder / "belly.json", "--marks", self.MARKS_TWO, *into)
        self.assertEqual(self.ok("book", "export"), before)


class Drift(Shop):
    def pours(self, n, lab=lambda i: f"{33 + [0, .4, -.3, .2, -.4, .1][i % 6]},{8 + [.2, -.2, .1][i % 3]},10",
              good=True, **more):
        for i in range(n):
            words = ["pour", "creek crawfish", "--batch", f"{more.get('name', 'g')}{i}", "--new", "--layer", "back", "--cup",
                     "orange=12;brown=14;black=2", "--measured", lab(i)] + (["--good"] if good else [])
            for option in ("temperature", "blend"):
                if option in more:
                    words += [f"--{option}", more[option](i)]
            self.ok(*words)

    def test_too_few_is_said(self):
        self.crawfish()
        self.pours(2)
        got = self.json("drift", "creek crawfish", "--check")
        self.assertEqual([layer["verdict"] for layer in got["layers"]], ["too few", "no batch"])
        self.assertIn("Too few", got["layers"][0]["words"])
        self.assertIn("no batch has them for two cups", got["heat_drift"]["words"])

    def test_drift_is_found_and_explained(self):
        self.crawfish()
        self.fitted()
        self.pours(8)
        self.assertEqual(self.json("drift", "creek crawfish", "--check")["layers"][0]["verdict"], "steady")
        self.ok("bottle", "lot", "brown", "B7")
        self.pours(3, lab=lambda i: f"{36 + i / 5},8,12", good=False, name="n")
        code, out, err = self.run_any("drift", "creek crawfish", "--check", "--advise", "--json")
        self.assertEqual(code, 1)
        self.assertIn("drifts", err)
        got = json.loads(out)
        layer = got["layers"][0]
        self.assertEqual((layer["name"], layer["verdict"]), ("back", "drift"))
        self.assertLess(layer["limits"]["lower"], layer["limits"]["upper"])
        for key in ("when", "lab", "de00_target", "de00_previous", "signal"):
            self.assertIn(key, layer["batches"][-1])
        self.assertTrue(layer["batches"][-1]["signal"])
        self.assertIn("lighter", layer["words"])
        self.assertEqual([(c["bottle"], c["from"], c["to"]) for c in got["lot_changes"]], [("brown", "first", "B7")])
        self.assertTrue(layer["next"]["known"])
        self.assertLess(layer["next"]["predicted_de00"], 1)
        text = self.ok("drift", "creek crawfish", "--advise")
        self.assertIn("Next cup", text)
        self.assertIn("#", text)

    def test_effect_bottles_stay_in_the_next_cup(self):
        self.ok("pattern", "add", "shiner", "--layer", "back", "--layer", "belly")
        for layer, cup in (("back", "white=4;brown=1;pearl=6"), ("belly", "pearl=6")):
            self.ok("target", "set", "shiner", layer, "--lab", "60,4,12")
            self.ok("pour", "shiner", "--batch", "1", "--layer", layer, "--cup", cup, "--measured", "66,3,11")
        got = self.json("drift", "shiner", "--advise")
        for layer in got["layers"]:
            self.assertTrue(layer["next"]["known"], layer["next"])
            self.assertIn("pearl=6", layer["next"]["recipe"])
            self.assertNotIn("pearl", layer["next"]["words"])
            self.assertLess(layer["next"]["predicted_de00"], 2)

    def test_a_layer_without_a_recipe_gets_words(self):
        # More bottles than a cup can hold beside its drops of nothing: the one layer is told, the other advised on.
        self.ok("pattern", "add", "shiner", "--layer", "back", "--layer", "belly")
        for layer, cup in (("back", "white=4;brown=1"), ("belly", "brown=2")):
            self.ok("target", "set", "shiner", layer, "--lab", "60,4,12")
            self.ok("pour", "shiner", "--batch", "1", "--layer", layer, "--cup", cup, "--measured", "66,3,11")
        with sqlite3.connect(self.book) as db:
            db.execute("UPDATE cup SET volume_floz = 20000, capacity_floz = 30000 WHERE layer ="
                       " (SELECT id FROM layer WHERE name = 'back')")
        back, belly = self.json("drift", "shiner", "--advise")["layers"]
        self.assertFalse(back["next"]["known"])
        self.assertIn("20000 fl oz", back["next"]["words"])
        self.assertIn("must get darker", back["next"]["words"])
        self.assertTrue(belly["next"]["known"])

    def test_forms(self):
        self.crawfish()
        self.pours(7)
        rows = self.ok("drift", "creek crawfish", "--csv").splitlines()
        self.assertTrue(rows[0].startswith("layer,batch,when,L,a,b"))
        self.assertEqual(len(rows), 8)
        self.assertEqual(len(rows[1].split(",")), len(rows[0].split(",")))
        html = self.folder / "drift.html"
        self.ok("drift", "creek crawfish", "--html", html)
        page = html.read_text()
        self.assertIn("<svg", page)
        self.assertEqual(page.count("<circle"), 7)
        self.assertNotIn("<script", page)

    def test_temperatures(self):
        self.crawfish()
        for i in range(10):
            spread = [2, 9, 4, 7, 1, 10, 3, 8, 5, 6][i]
            self.ok("pour", "creek crawfish", "--batch", i, "--new", "--layer", "back", "--cup", "brown=5", "--temperature", 340,
                    "--measured", "33,8,10", "--blend", spread / 2)
            self.ok("pour", "creek crawfish", "--batch", i, "--layer", "belly", "--cup", "white=5", "--temperature",
                    340 + spread)
        got = self.json("drift", "creek crawfish")["heat_blend"]
        self.assertEqual((got["n"], got["enough"], got["rho"]), (10, True, 1))
        self.assertIn("more blend", got["words"])
        drift = self.json("drift", "creek crawfish")["heat_drift"]
        self.assertFalse(drift["enough"])  # every batch is the same: nothing to correlate

    def test_within_uncertainty_is_not_drift(self):
        self.crawfish()
        self.pours(8)
        for i in range(4):
            self.ok("pour", "creek crawfish", "--batch", f"u{i}", "--new", "--layer", "back", "--cup", "brown=5", "--measured",
                    "35,8,10", "--uncertainty", "4")
        got = self.json("drift", "creek crawfish", "--check")
        self.assertEqual(got["layers"][0]["verdict"], "unsure")

    def test_repeatability_and_groups(self):
        self.crawfish()
        for i in range(8):
            for bait in (1, 2, 3):
                words = ["--new", "--cup", "brown=5"] if bait == 1 else []
                self.ok("pour", "creek crawfish", "--batch", i, "--layer", "back", *words, "--bait", bait, "--measured",
                        f"{33 + (i % 3) / 5 + bait / 4},8,10", "--good")
        layer = self.json("drift", "creek crawfish")["layers"][0]
        self.assertEqual(layer["batches"][0]["baits"], 3)
        self.assertEqual(layer["groups"]["size"], 3)
        mean_range = sum(b["bait_range_de00"] for b in layer["batches"]) / 8
        self.assertAlmostEqual(layer["groups"]["ranges"]["center"], mean_range, delta=0.01)
        # A2 for groups of 3 is 1.023 (Montgomery, appendix VI)
        means = layer["groups"]["means"]
        self.assertAlmostEqual(means["upper"] - means["center"], 1.023 * mean_range, delta=0.01)

    def test_refusals(self):
        self.refused(2, "no book", "drift", "x")
        self.crawfish()
        self.refused(2, "no pattern", "drift", "frog")
        self.refused(2, "needs a pattern", "drift")


class Advice(Shop):
    def test_the_books_shelf_and_targets(self):
        self.crawfish()
        invented = self.json("predict", "--recipe", "orange=4")
        self.fitted()
        fitted = self.json("predict", "--recipe", "orange=4")
        self.assertNotEqual(invented["lab"], fitted["lab"])
        got = self.json("advise", "--pattern", "creek crawfish", "--plugins", PLUGINS)
        self.assertEqual([layer["name"] for layer in got["layers"]], ["back", "belly"])
        self.assertEqual(got["layers"][0]["target"], [33, 8, 10])

    def test_a_batch_carries_its_measurement(self):
        self.crawfish()
        self.fitted()
        self.ok("pour", "creek crawfish", "--batch", "a", "--layer", "back", "--cup", "orange=12;brown=14;black=2",
                "--measured", "38,9,14")
        got = self.json("advise", "--pattern", "creek crawfish", "--batch", "a", "--plugins", PLUGINS)
        back = got["layers"][0]
        self.assertEqual((back["now"], back["measured"]), ([38, 9, 14], True))
        self.assertFalse(got["layers"][1]["measured"])
        self.ok("pour", "creek crawfish", "--batch", "a", "--layer", "back", "--add", "black=1")
        moved = self.json("advise", "--pattern", "creek crawfish", "--batch", "a", "--plugins", PLUGINS)["layers"][0]
        self.assertTrue(moved["measured"])
        self.assertLess(moved["now"][0], 38)  # darker, by the drop that was added

    def test_refusals(self):
        self.crawfish()
        self.ok("pattern", "add", "bare", "--layer", "back")
        self.refused(2, "no target", "advise", "--pattern", "bare")
        self.refused(2, "no pattern", "advise", "--pattern", "frog")
        self.refused(2, "no batch", "advise", "--pattern", "creek crawfish", "--batch", "z")


class Book(Shop):
    def test_care(self):
        self.crawfish()
        self.assertTrue(self.json("book", "check")["whole"])
        self.ok("book", "backup", self.folder / "copy.db")
        self.refused(2, "already there", "book", "backup", self.folder / "copy.db")
        self.ok("pattern", "remove", "creek crawfish")
        kept = self.json("book", "restore", self.folder / "copy.db")["kept"]
        self.ok("pattern", "show", "creek crawfish")
        self.assertEqual(json.loads(self.run_any("pattern", "list", "--json", "--book", kept, book=False)[1]), {"patterns": []})

    def test_export_import(self):
        self.crawfish()
        self.fitted()
        text = self.ok("book", "export")
        document = json.loads(text)
        self.assertEqual(document["dropwise_export"], 1)
        self.ok("book", "export", self.folder / "all.json")
        self.assertEqual((self.folder / "all.json").read_text(), text)
        self.refused(2, "rename one", "book", "import", self.folder / "all.json")
        self.book = self.folder / "other.db"
        self.ok("book", "import", self.folder / "all.json")
        self.assertEqual(self.ok("book", "export"), text)
        self.assertTrue(self.ok("book", "export", "--cgats").startswith("CGATS.17"))
        (self.folder / "bad.json").write_text(text.replace('"dropwise_export": 1', '"dropwise_export": 9'))
        self.refused(2, "newer", "book", "import", self.folder / "bad.json")

    def test_path_and_default_place(self):
        code, out, _ = self.run_any("book", "path", book=False)
        self.assertEqual((code, out), (0, f"{self.folder}/data/dropwise/book.db\n"))
        self.assertEqual(self.run_any("tone", "samples", book=False)[0], 0)
        self.assertTrue((self.folder / "data/dropwise/book.db").exists())

    def test_not_a_book(self):
        self.book.write_text("shopping list")
        self.refused(2, "not a book", "book", "check")
        self.refused(2, "not a book", "pattern", "add", "x", "--layer", "a")
        self.assertEqual(self.book.read_text(), "shopping list")

    def test_a_wrong_place_is_named(self):
        file = self.book
        self.book = self.folder
        self.refused(2, "is a folder", "book", "check")
        self.refused(2, "is a folder", "pattern", "add", "x", "--layer", "a")
        self.book = self.folder / "no such" / "book.db"
        self.refused(2, "no such is not there", "pattern", "add", "x", "--layer", "a")
        self.refused(2, "There is no book", "book", "check")
        self.assertFalse(self.book.parent.exists())
        self.book = file
        self.crawfish()
        self.refused(2, "is a folder", "book", "restore", self.folder)
        self.book = file / "book.db"  # a file is no folder either
        self.refused(2, "is not there", "pattern", "add", "x", "--layer", "a")

    def test_damage_is_found(self):
        self.crawfish()
        with sqlite3.connect(self.book) as db:
            db.execute("UPDATE layer SET position = 5 WHERE position = 1")
        db.close()
        code, out, err = self.run_any("book", "check")
        self.assertEqual((code, out), (2, ""))
        self.assertIn("not numbered without gaps", err)


if __name__ == "__main__":
    PLUGINS = sys.argv[3]
    unittest.main(argv=[sys.argv[0], *sys.argv[4:]])
