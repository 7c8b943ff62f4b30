"""A book of its own for every test of the command line."""
import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest

PROGRAM, SOURCE = sys.argv[1], pathlib.Path(sys.argv[2])
SAMPLES = SOURCE / "samples"


class Shop(unittest.TestCase):
    """A book of its own for every test."""

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp())
        self.book = self.folder / "book.db"

    def tearDown(self):
        shutil.rmtree(self.folder)

    def run_any(self, *words, book=True):
        more = ["--book", str(self.book)] if book else []
        done = subprocess.run([PROGRAM, *map(str, words), *more], capture_output=True, text=True, timeout=120,
                              env={**os.environ, "XDG_DATA_HOME": str(self.folder / "data")})
        return done.returncode, done.stdout, done.stderr

    def ok(self, *words):
        code, out, err = self.run_any(*words)
        self.assertEqual(code, 0, (words, err))
        return out

    def json(self, *words):
        return json.loads(self.ok(*words, "--json"))

    def refused(self, code, part, *words):
        got, out, err = self.run_any(*words)
        self.assertEqual((got, out), (code, ""), (words, err))
        self.assertEqual(err.count("\n"), 1, err)
        self.assertIn(part, err)

    def crawfish(self):
        self.ok("pattern", "add", "creek crawfish", "--layer", "back", "--layer", "belly")
        self.ok("target", "set", "creek crawfish", "back", "--lab", "33,8,10")
        self.ok("target", "set", "creek crawfish", "belly", "--lab", "67,7,20")

    def fitted(self):
        self.ok("bottle", "chips", SAMPLES / "chips.csv")
        self.ok("bottle", "fit")
