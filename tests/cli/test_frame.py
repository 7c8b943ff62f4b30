"""The frame of the command line: help, options before the command, standard input and output as files."""
import json
import subprocess
import sys
import unittest

from shop import PROGRAM, SAMPLES, SOURCE, Shop


def plain(*words, text=None):
    done = subprocess.run([PROGRAM, *map(str, words)], input=text, capture_output=True, text=True, timeout=120)
    return done.returncode, done.stdout, done.stderr


class Help(unittest.TestCase):
    def test_help_of_a_command(self):
        for command in ("pour", "drift", "book"):
            self.assertEqual(plain("help", command), plain(command, "--help"))
        self.assertEqual(plain("help"), plain("--help"))
        code, out, err = plain("help", "purr")
        self.assertEqual((code, out, err.count("\n")), (2, "", 1))
        self.assertIn('"pour"', err)

    def test_exit_codes_are_told(self):
        for words in (["--help"], ["pour", "--help"]):
            out = plain(*words)[1]
            for part in ("Exit: 0 done", "1 the answer is no", "2 wrong use", "3 the machine failed"):
                self.assertIn(part, out, words)

    def test_version(self):
        self.assertEqual(plain("-V"), plain("--version"))
        self.assertRegex(plain("-V")[1], r"^dropwise \d+\.\d+\.\d+\n$")

    def test_what_is_printed_must_arrive(self):
        for words in (["-V"], ["--help"], ["help", "pour"]):
            with open("/dev/full", "w") as full:
                done = subprocess.run([PROGRAM, *words], stdout=full, stderr=subprocess.PIPE, timeout=60)
            self.assertEqual((done.returncode, done.stderr.count(b"\n")), (3, 1), words)


class Options(Shop):
    def test_before_the_command(self):
        self.crawfish()
        book = ["--book", str(self.book)]
        for words in ([*book, "pattern", "show", "creek crawfish"], [f"--book={self.book}", "pattern", "show", "creek crawfish"]):
            self.assertEqual(plain(*words)[1], self.ok("pattern", "show", "creek crawfish"))
        got = plain("--json", *book, "--metric", "pattern", "list")[1]
        self.assertEqual(json.loads(got), self.json("pattern", "list"))
        # The last one given counts, as behind the command.
        self.assertEqual(plain("--book", "/nonexistent/x.db", "pattern", "list", *book)[0], 0)
        code, out, err = plain("--layer", "back", "pour")
        self.assertEqual((code, out, err.count("\n")), (2, "", 1))
        self.assertIn("behind the command", err)
        self.assertIn("command is missing", plain(*book)[2])

    def test_an_option_is_no_value(self):
        self.crawfish()
        self.refused(2, "--cup needs a value", "pour", "creek crawfish", "--layer", "back", "--cup", "--volume", "4")
        self.ok("pour", "creek crawfish", "--layer", "back", "--cup=orange=3", "--note", "-5 degrees that day")
        self.ok("pour", "creek crawfish", "--note=--metric was meant")

    def test_numbers_with_a_minus_sign_are_values(self):
        self.assertEqual(plain("compare", "-1,2,3", "50,0,0")[0], 2)
        self.assertIn("L* from 0 to 100", plain("compare", "-1,2,3", "50,0,0")[2])
        self.crawfish()
        self.refused(2, "did you mistype", "pour", "creek crawfish", "--layer", "back", "--cup", "orange=3", "--temperature", "-5")


class Streams(Shop):
    def test_pairs(self):
        # Sharma, Wu, Dalal 2005, pair 1
        text = "L1,a1,b1,L2,a2,b2\n50,2.6772,-79.7751,50,0,-82.7485\n"
        code, out, err = plain("compare", "--pairs", "-", text=text)
        self.assertEqual((code, err), (0, ""))
        self.assertTrue(out.splitlines()[1].endswith(",2.0425"))
        self.assertEqual(plain("compare", "--pairs", "-", text="L1,a1\n1,2\n")[0], 2)

    def test_marks(self):
        photo, marks = SAMPLES / "crawfish-1.jpg", SAMPLES / "crawfish-1.marks.json"
        want = plain("read", photo, "--marks", marks, "--json")
        self.assertEqual(plain("read", photo, "--marks", "-", "--json", text=marks.read_text()), want)
        code, out, _ = plain("read", photo, "--marks", marks, "--save-marks", "-")
        self.assertEqual((code, set(json.loads(out))), (0, {"card", "layers"}))

    def test_chips_and_books(self):
        chips = (SAMPLES / "chips.csv").read_text()
        book = ["--book", str(self.book)]
        self.assertIn("Kept 62 chips", plain("bottle", "chips", "-", *book, text=chips)[1])
        export = self.ok("book", "export", "-")
        self.assertEqual(export, self.ok("book", "export"))
        self.book.unlink()
        self.assertEqual(plain("book", "import", "-", *book, text=export)[0], 0)
        self.assertEqual(self.ok("book", "export"), export)

    def test_reports(self):
        self.crawfish()
        self.ok("pour", "creek crawfish", "--layer", "back", "--cup", "orange=12", "--measured", "33,8,12")
        for words in (["sheet", "creek crawfish"], ["drift", "creek crawfish"],
                      ["read", SAMPLES / "crawfish-1.jpg", "--marks", SAMPLES / "crawfish-1.marks.json"],
                      ["advise", "--target", "45,22,30", "--plugins", SOURCE / "none"]):
            out = self.ok(*words, "--html", "-")
            self.assertTrue(out.startswith("<!doctype html>"), words)
            self.assertTrue(out.rstrip().endswith("</html>"), words)
            self.refused(2, "can't both go", *words, "--html", "-", "--json")
        self.refused(2, "A book is a file", "pattern", "list", "--book", "-")


class Sheet(Shop):
    def test_as_text(self):
        self.crawfish()
        self.ok("pour", "creek crawfish", "--layer", "back", "--cup", "orange=12,brown=4")
        self.ok("pour", "creek crawfish", "--batch", "1", "--layer", "belly", "--cup", "white=3", "--volume", "2")
        out = self.ok("sheet", "creek crawfish")
        for part in ("1  back: 4 fl oz clear base in a cup of 5 fl oz", "12 drops", "(0.60 ml)", "2  belly: 2 fl oz",
                     "Order in the bait: 1 back, 2 belly", "Overheated PVC"):
            self.assertIn(part, out)
        self.assertIn("1  back: 118 ml", self.ok("sheet", "creek crawfish", "--metric"))
        got = self.json("sheet", "creek crawfish")
        self.assertEqual([(c["layer"], c["volume_floz"], c["drops"]) for c in got["cups"]],
                         [("back", 4, {"orange": 12, "brown": 4}), ("belly", 2, {"white": 3})])


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0]], verbosity=1)
