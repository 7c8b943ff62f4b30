"""Plugins by command: where they are found, and the numbers that they let the maker set."""
import json
import pathlib
import shutil
import sys
import unittest

from shop import Shop

PLUGINS, FAULTY = pathlib.Path(sys.argv[3]), pathlib.Path(sys.argv[4])


class Numbers(Shop):
    """apart keeps neighbors CIEDE2000 8 apart, unless it is told another figure."""

    CUPS = ["--cup", "back:orange=10", "--cup", "belly:orange=9"]

    def setUp(self):
        super().setUp()
        self.crawfish()

    def warns(self, *words):
        got = self.json("advise", "--pattern", "creek crawfish", "--plugin", "apart", *self.CUPS, *words)
        found = [w for layer in got["layers"] for advice in layer["advice"] for w in advice["warnings"]]
        return [w for w in found if "they run into one color" in w]

    def apart(self):
        listed = self.json("plugins")["plugins"]
        return next(p for p in listed if p["id"] == "apart" and p["usable"])["parameters"]

    def test_listed_with_range_and_words(self):
        least, = self.apart()
        self.assertEqual((least["name"], least["least"], least["most"], least["usual"], least["value"]), ("least", 2, 30, 8, 8))
        self.assertIn("neighboring layers", least["words"])
        self.assertIn("--set apart.least=8   2 to 30, usually 8: how far apart", self.ok("plugins"))

    def test_told_to_a_command(self):
        self.assertIn("below 8 they", self.warns()[0])
        self.assertIn("below 12 they", self.warns("--set", "apart.least=12")[0])
        self.assertIn("below 9 they", self.warns("--set", "apart.least=12", "--set", "apart.least=9")[0])
        for command in (["pour", "creek crawfish", "--advised"], ["sheet", "creek crawfish", "--next"]):
            self.refused(2, "Plugin apart takes a number from 2 to 30", *command, "--set", "apart.least=31")
            self.ok(*command, "--set", "apart.least=12")
        self.ok("drift", "creek crawfish", "--advise", "--set", "apart.least=12")

    def test_kept_in_the_book(self):
        self.assertEqual(self.json("settings", "apart.least"), {"settings": {"apart.least": "8"}, "set": []})
        got = self.json("settings", "apart.least", "12")
        self.assertEqual(got, {"settings": {"apart.least": "12"}, "set": ["apart.least"]})
        self.assertIn("below 12 they", self.warns()[0])
        self.assertEqual(self.apart()[0]["value"], 12)
        self.assertIn("below 10 they", self.warns("--set", "apart.least=10")[0])
        self.assertEqual(self.json("settings")["settings"]["apart.least"], "12")
        self.assertIn("apart.least  12", self.ok("settings"))
        self.assertIn("Took back: setting apart.least 12", self.ok("undo"))
        self.assertIn("below 8 they", self.warns()[0])
        self.ok("redo")
        # It travels with the book.
        export = self.folder / "all.json"
        export.write_text(self.ok("book", "export"))
        self.book = self.folder / "other.db"
        self.ok("book", "import", export)
        self.assertEqual(self.json("settings")["settings"]["apart.least"], "12")
        self.assertIn("(not set)", self.ok("settings", "apart.least", "--unset"))
        self.assertEqual(self.json("settings")["set"], [])

    def test_what_makes_no_sense_is_one_sentence(self):
        target = ["advise", "--target", "45,22,30"]
        for wrong, says in (("apart.least=1.9", "Plugin apart takes a number from 2 to 30 (usually 8) as least"), ("apart.least=much", 'not "much"'),
                            ("apart.least=nan", 'not "nan"'), ("apart.least=", 'not ""'), ("apart.most=3", "it has least"),
                            ("nearest.least=3", "nothing that can be set"), ("no-such.least=3", "no usable plugin 'no-such'"),
                            ("apart=3", "write ID.NAME"), ("apart.least", "ID.NAME=VALUE"), ("." * 300 + "=3", "ID.NAME=VALUE")):
            self.refused(2, says, *target, "--set", wrong)
        self.refused(2, "from 2 to 30", "settings", "apart.least", "31")
        self.refused(2, "no usable plugin", "settings", "no-such.least", "3")
        self.refused(2, "no usable plugin", "settings", "no-such.least", "--unset")
        self.assertEqual(self.json("settings")["set"], [])


class Blends(Shop):
    """A pattern that asks for clean blends: through every door, and into another book."""

    def setUp(self):
        super().setUp()
        self.ok("pattern", "add", "bluegill", "--layer", "back", "--layer", "belly")
        self.ok("target", "set", "bluegill", "back", "--lab", "30,5,-35")
        self.ok("target", "set", "bluegill", "belly", "--lab", "52,28,38")
        self.ok("pour", "bluegill", "--new", "--batch", "1", "--layer", "back", "--cup", "blue=12")
        self.ok("pour", "bluegill", "--batch", "1", "--layer", "belly", "--cup", "orange=16")

    def muddy(self):
        got = self.json("advise", "--pattern", "bluegill", "--batch", "1")
        return [a for layer in got["layers"] for a in layer["advice"] if "turn muddy" in " ".join(a["warnings"])]

    def test_asked_for_by_the_pattern(self):
        self.assertEqual(self.muddy(), [])
        self.assertFalse(self.json("pattern", "show", "bluegill")["clean_blends"])
        self.assertTrue(self.json("pattern", "blends", "bluegill", "clean")["clean_blends"])
        self.assertIn("clean blends wanted", self.ok("pattern", "show", "bluegill"))
        advice, = self.muddy()
        self.assertEqual(advice["plugin"], "blend")
        self.assertTrue(advice["add"])
        self.assertIn("Took back: blends of pattern bluegill: clean ones wanted", self.ok("undo"))
        self.assertEqual(self.muddy(), [])
        self.ok("redo")
        self.assertFalse(self.json("pattern", "blends", "bluegill", "any")["clean_blends"])
        self.refused(2, "clean, or any will do", "pattern", "blends", "bluegill", "muddy")

    def test_travels_with_the_pattern(self):
        self.ok("pattern", "blends", "bluegill", "clean")
        file = self.folder / "bluegill.json"
        self.ok("pattern", "export", "bluegill", file)
        self.ok("pattern", "import", file, "--as", "bluegill 2")
        self.assertTrue(self.json("pattern", "show", "bluegill 2")["clean_blends"])


class Folders(Shop):
    def makers(self):
        folder = self.folder / "data" / "dropwise" / "plugins"
        folder.mkdir(parents=True, exist_ok=True)
        return folder

    def found(self, *words):
        return {p["path"]: p for p in self.json("plugins", *words)["plugins"]}

    def test_the_makers_own_beside_the_built_in(self):
        before = self.found()
        self.assertIn(str(PLUGINS / "nearest.so"), before)
        own = shutil.copy(PLUGINS / "template.so", self.makers() / "template.so")
        got = self.found()
        self.assertEqual(set(got), set(before) | {str(own)})
        # Of two with one id the first found is used: the maker's own before the built-in.
        self.assertTrue(got[str(own)]["usable"])
        built_in = got[str(PLUGINS / "template.so")]
        self.assertFalse(built_in["usable"])
        self.assertEqual(built_in["why"], f"template.so has the id 'template', which {own} has already; the first one found is used.")
        self.assertIn("which " + str(own) + " has already", self.ok("plugins"))

    def test_given_folders_come_first_and_add(self):
        first, second = self.folder / "first", self.folder / "second"
        for folder in (first, second, self.makers()):
            folder.mkdir(exist_ok=True)
            shutil.copy(PLUGINS / "template.so", folder / "template.so")
        shutil.copy(PLUGINS / "template.so", second / "another.so")
        got = self.found("--plugins", first, "--plugins", second)
        usable = [path for path, p in got.items() if p["id"] == "template" and p["usable"]]
        self.assertEqual(usable, [str(first / "template.so")])
        self.assertEqual(sum(p["id"] == "template" for p in got.values()), 5)
        self.assertTrue(got[str(PLUGINS / "nearest.so")]["usable"])

    def test_a_folder_that_is_not_there_is_told(self):
        got = self.json("plugins", "--plugins", self.folder / "none")
        self.assertIn("can't be read", got["warnings"][0])
        self.assertIn("can't be read", self.ok("plugins", "--plugins", self.folder / "none"))
        self.assertTrue(self.json("plugins")["sealed"])
        self.assertEqual(self.json("plugins")["warnings"], [])  # the maker's own need not be there

    def test_what_others_may_change_is_refused(self):
        own = pathlib.Path(shutil.copy(PLUGINS / "template.so", self.makers() / "template.so"))
        own.chmod(0o777)
        self.assertIn("Anyone on this machine can change template.so", self.found()[str(own)]["why"])


class Check(Shop):
    """The contract test by command."""

    def test_one_that_keeps_it(self):
        got = self.json("plugins", "--check", PLUGINS / "apart.so")
        self.assertEqual((got["id"], got["passed"], got["path"]), ("apart", True, str(PLUGINS / "apart.so")))
        names = [c["name"] for c in got["checks"]]
        self.assertEqual(names[0], "it loads")
        self.assertLessEqual({"out of reach", "three layers, its numbers at their least", "three layers, its numbers at their most"},
                             set(names))
        self.assertEqual(len(set(names)), len(names))
        self.assertTrue(all(c["passed"] and c["why"] == "" for c in got["checks"]))
        out = self.ok("plugins", "--check", PLUGINS / "template.so")
        self.assertIn("template: One careful drop (a plugin to copy), version 1.0\n  passed  it loads\n", out)
        self.assertTrue(out.endswith("checks passed.\n"))

    def test_one_that_breaks_it(self):
        for name, says in (("half_drop", "proposals refused; the first adds"), ("crash", "crashed"), ("lies", "was off by"),
                           ("no_claim", "gave no prediction"), ("empty_words", "says nothing"), ("says_failed", "reports that it failed")):
            code, out, err = self.run_any("plugins", "--check", FAULTY / f"{name}.so")
            self.assertEqual(code, 1, name)
            self.assertIn("passed  it loads", out)
            self.assertIn("FAILED  three layers\n", out)
            self.assertIn(says, out)
            self.assertRegex(err, r"^dropwise: \d+ of \d+ checks failed\.\n$")
            code, out, _ = self.run_any("plugins", "--check", FAULTY / f"{name}.so", "--json")
            got = json.loads(out)
            self.assertEqual((code, got["passed"]), (1, False))
            self.assertTrue(any(says in c["why"] and not c["passed"] for c in got["checks"]), name)

    def test_one_that_is_none(self):
        text = self.folder / "text.so"
        text.write_text("no library")
        code, out, err = self.run_any("plugins", "--check", text)
        self.assertEqual(code, 1)
        self.assertIn("FAILED  it loads\n", out)
        self.assertIn("can't be opened as a plugin", out)
        self.assertEqual(err, "dropwise: 1 of 1 checks failed.\n")
        self.refused(2, "There is no file", "plugins", "--check", self.folder / "none.so")
        self.refused(2, "takes options only", "plugins", "--check", text, "more")


if __name__ == "__main__":
    del sys.argv[1:]
    unittest.main()
