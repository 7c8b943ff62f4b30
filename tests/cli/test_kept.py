"""No pour lost or doubled: a book that is named is a file, and what the book holds is said even where the answer
can't be written."""
import os
import resource
import shutil
import subprocess
import sys
import unittest

from shop import PROGRAM, SAMPLES, Shop


class Places(Shop):
    """A name that SQLite would take for a book that vanishes."""

    def test_an_empty_name_is_refused(self):
        for words in (["pattern", "add", "p", "--layer", "a"], ["pattern", "list"], ["book", "path"],
                      ["advise", "--target", "50,0,0"], ["bench", "--port", "0"]):
            for given in (["--book", ""], ["--book="]):
                code, out, err = self.run_any(*words, *given, book=False)
                self.assertEqual((code, out, err.count("\n")), (2, "", 1), (words, err))
                self.assertIn("variable of the shell", err)

    def test_an_empty_copy_is_refused(self):
        self.ok("pattern", "add", "p", "--layer", "a")
        for verb in ("backup", "restore"):
            code, out, err = self.run_any("book", verb, "")
            self.assertNotEqual(code, 0)
            self.assertEqual((out, err.count("\n")), ("", 1), err)
        self.assertIn("p", self.ok("pattern", "list"))

    def test_names_are_files(self):
        for name in (":memory:", "file:x.db", "file::memory:?cache=shared", "file:y.db?mode=memory", "a%41?b#c.db",
                     "-book.db"):
            book = ["--book=" + name]
            done = self.here("pattern", "add", "p", "--layer", "a", *book)
            self.assertEqual((done.returncode, done.stderr), (0, ""), name)
            self.assertTrue((self.folder / name).is_file(), name)
            self.assertIn("p:", self.here("pattern", "list", *book).stdout)
            # On a read-only file and folder, where the log can't be made.
            self.assertIn("whole", self.here("book", "check", *book).stdout)

    @unittest.skipIf(os.geteuid() == 0, "root writes everywhere")
    def test_names_are_files_in_a_folder_that_is_read_only(self):
        self.here("pattern", "add", "p", "--layer", "a", "--book=:memory:")
        self.folder.chmod(0o500)
        try:
            self.assertIn("p:", self.here("pattern", "list", "--book=:memory:").stdout)
        finally:
            self.folder.chmod(0o700)

    def test_an_empty_data_folder_is_none(self):
        for env, code in (({"XDG_DATA_HOME": "", "HOME": str(self.folder)}, 0), ({"XDG_DATA_HOME": "", "HOME": ""}, 2)):
            done = self.here("pattern", "add", "p", "--layer", "a", env=env)
            self.assertEqual(done.returncode, code, done.stderr)
        self.assertTrue((self.folder / ".local/share/dropwise/book.db").is_file())

    def here(self, *words, env=None):
        return subprocess.run([PROGRAM, *words], capture_output=True, text=True, timeout=120, cwd=self.folder,
                              env={**os.environ, "XDG_DATA_HOME": str(self.folder / "data"), **(env or {})})


def full():
    return open("/dev/full", "w")


def closed():
    return None


def gone():
    """A pipe whose reader has gone."""
    reading, writing = os.pipe()
    os.close(reading)
    return os.fdopen(writing, "w")


class Kept(Shop):
    """Each writing command, with an answer that can't be written."""

    def setUp(self):
        super().setUp()
        self.crawfish()
        self.fitted()

    def unheard(self, output, *words):
        """Exit code and message of a command whose answer goes nowhere."""
        words = [PROGRAM, *map(str, words), "--book", str(self.book)]
        out = output()
        if out is None:
            words, out = ["sh", "-c", 'exec "$@" >&-', "sh", *words], subprocess.DEVNULL
        done = subprocess.run(words, stdout=out, stderr=subprocess.PIPE, text=True, timeout=120)
        if out != subprocess.DEVNULL:
            out.close()
        return done.returncode, done.stderr

    def said(self, what, *words, output=full):
        for more in ([], ["--json"]):
            shutil.copy(self.book, self.folder / "before.db")
            before = self.ok("book", "export")
            code, err = self.unheard(output, *words, *more)
            self.assertEqual(code, 3, (words, err))
            self.assertTrue(err.startswith(f"dropwise: {what}; only its report could not be written: "), err)
            self.assertTrue(err.endswith("Do not enter it again.\n"), err)
            self.assertNotIn("nothing was changed", err)
            self.assertNotEqual(self.ok("book", "export"), before, words)
            shutil.copy(self.folder / "before.db", self.book)

    def test_pours(self):
        pour = ["pour", "creek crawfish", "--batch", "1", "--layer", "back", "--cup", "orange=12;brown=4"]
        for output in (full, closed, gone):
            self.said("The pour was kept", *pour, "--measured", "33,8,12", output=output)
        self.said("The pour was kept", "pour", "creek crawfish", "--advised")
        self.ok(*pour, "--measured", "33,8,12")
        self.said("The pour was kept", "pour", "creek crawfish", "--layer", "back", "--add", "brown=1")
        self.said("The pour was kept", "pour", "creek crawfish", "--good")
        self.said("The last entry was taken back", "undo")
        self.ok("undo")
        self.said("An entry was brought back", "redo")

    def test_photos(self):
        marks = ["--marks", SAMPLES / "crawfish-1.marks.json"]
        self.ok("pattern", "add", "p", "--layer", "back", "--layer", "middle", "--layer", "belly")
        self.ok("pour", "p", "--batch", "1", "--layer", "back", "--cup", "orange=12")
        self.said("The readings were kept", "read", SAMPLES / "crawfish-1.jpg", *marks, "--pattern", "p", "--batch", "1")
        self.said("The target was kept", "target", "set", "p", "back", "--photo", SAMPLES / "crawfish-1.jpg", *marks)

    def test_marks_that_cannot_be_saved_leave_the_book_as_it_was(self):
        self.ok("pattern", "add", "p", "--layer", "back", "--layer", "middle", "--layer", "belly")
        self.ok("pour", "p", "--batch", "1", "--layer", "back", "--cup", "orange=12")
        before = self.ok("book", "export")
        code, out, err = self.run_any("read", SAMPLES / "crawfish-1.jpg", "--marks", SAMPLES / "crawfish-1.marks.json",
                                      "--pattern", "p", "--batch", "1", "--save-marks", self.folder / "no" / "m.json")
        self.assertEqual((code, out), (3, ""), err)
        self.assertEqual(self.ok("book", "export"), before)

    def test_aims(self):
        self.said("The pattern was kept", "pattern", "add", "q", "--layer", "a")
        for change in (["rename", "creek crawfish", "bluegill"], ["note", "creek crawfish", "n"],
                       ["see-through", "creek crawfish", "back", "0.5"]):
            self.said("The change was kept", "pattern", *change)
        self.said("The pattern was removed", "pattern", "remove", "creek crawfish")
        self.said("The target was kept", "target", "set", "creek crawfish", "back", "--lab", "30,1,2")
        self.said("The references were kept", "tone", "add", "own", "--lab", "50,1,2")
        self.said("The sample tones were kept", "tone", "samples")
        self.ok("tone", "samples")
        self.said("The tone was removed", "tone", "remove", "sample: crawfish belly")

    def test_bottles(self):
        self.ok("bottle", "remove", "blue")  # the same chips, or the same fit, again would change nothing
        self.said("The chips were kept", "bottle", "chips", SAMPLES / "chips.csv")
        self.said("The fit was kept", "bottle", "fit")
        self.said("The bottle was kept", "bottle", "add", "teal")
        self.said("The lot was kept", "bottle", "lot", "orange", "2")
        self.said("The drop size was kept", "bottle", "drop", "orange", "--per-ml", "25")
        self.said("The bottle was taken off the shelf", "bottle", "remove", "orange")

    def test_whole_books(self):
        export, backup = self.folder / "all.json", self.folder / "backup.db"
        self.ok("book", "export", export)
        self.ok("book", "backup", backup)
        self.book.unlink()
        code, err = self.unheard(full, "book", "import", export)
        self.assertEqual((code, err.startswith("dropwise: The entries were taken in; only")), (3, True), err)
        self.assertIn("creek crawfish", self.ok("pattern", "list"))
        self.book.unlink()
        code, err = self.unheard(full, "book", "restore", backup)
        self.assertEqual((code, err.startswith("dropwise: The backup was put in place; only")), (3, True), err)
        self.assertIn("creek crawfish", self.ok("pattern", "list"))

    def test_a_color_that_cannot_be_predicted_costs_no_pour(self):
        # 10,000 drops in 0.01 fl oz: a million drops per fl oz, beyond what is predicted.
        self.ok("pour", "creek crawfish", "--batch", "9", "--layer", "back", "--cup", "orange=10000", "--volume", "0.01",
                "--capacity", "1000", "--measured", "33,8,12")
        layer = self.json("pour", "creek crawfish", "--batch", "9", "--layer", "back", "--note", "n")["layers"][0]
        self.assertEqual((layer["cup"], layer["predicted"]), ({"orange": 10000}, None))

    def test_what_only_reads_says_nothing_of_keeping(self):
        code, err = self.unheard(full, "pattern", "list")
        self.assertEqual(code, 3)
        self.assertNotIn("kept", err)
        code, err = self.unheard(full, "advise", "--help")
        self.assertEqual((code, err.count("\n")), (3, 1), err)


class Limits(Shop):
    """A limit on the size of files is a disk that is full."""

    def limited(self, size, *words):
        done = subprocess.run([PROGRAM, *map(str, words), "--book", str(self.book)], capture_output=True, text=True, timeout=120,
                              preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (size, size)))
        return done.returncode, done.stdout, done.stderr

    def test_a_file_beyond_the_limit_is_an_error_and_leaves_nothing(self):
        self.crawfish()
        self.fitted()
        before = self.ok("book", "export")
        names = sorted(path.name for path in self.folder.iterdir())
        for words in (("book", "export", self.folder / "all.json"), ("book", "backup", self.folder / "copy.db"),
                      ("pour", "creek crawfish", "--layer", "back", "--cup", "brown=9"), ("bottle", "fit")):
            code, out, err = self.limited(4096, *words)
            self.assertEqual((code, out), (3, ""), (words, err))
            self.assertEqual(err.count("\n"), 1, err)
            self.assertEqual(self.ok("book", "export"), before)
            left = sorted(path.name for path in self.folder.iterdir() if not path.name.endswith(("-wal", "-shm")))
            self.assertEqual(left, [name for name in names if not name.endswith(("-wal", "-shm"))])

    def test_a_csv_without_its_last_end_may_be_cut(self):
        chips = self.folder / "chips.csv"
        whole = (SAMPLES / "chips.csv").read_text()
        chips.write_text(whole.rstrip("\n"))
        self.assertIn("may be cut", self.ok("bottle", "chips", chips))
        pairs = self.folder / "pairs.csv"
        pairs.write_text("L1,a1,b1,L2,a2,b2\n50,0,0,51,0,0")
        self.assertIn("may be cut", self.run_any("compare", "--pairs", pairs, book=False)[2])
        pairs.write_text("L1,a1,b1,L2,a2,b2\n50,0,0,51,0,0\n")
        self.assertEqual(self.run_any("compare", "--pairs", pairs, book=False)[2], "")


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0]], verbosity=1)
