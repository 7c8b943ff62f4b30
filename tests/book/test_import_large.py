"""An export of more rows than the work that one look-up may take.  test_import_large.py PROGRAM"""
import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

PROGRAM = sys.argv.pop(1)
ROWS = 800_000  # at some 130 steps of its machine each, beyond the 100 million that SQLite is given for a statement


class Large(unittest.TestCase):
    def run_book(self, *words):
        done = subprocess.run([PROGRAM, "book", *map(str, words), "--book", str(self.folder / "book.db")],
                              capture_output=True, text=True)
        self.assertEqual(done.returncode, 0, done.stderr)
        return done.stdout

    def test_every_row_is_taken_in(self):
        with tempfile.TemporaryDirectory() as folder:
            self.folder = pathlib.Path(folder)
            subprocess.run([PROGRAM, "settings", "step", "half", "--book", str(self.folder / "book.db")], check=True,
                           stdout=subprocess.DEVNULL)
            shape = json.loads(self.run_book("export", "--no-journal"))
            (self.folder / "book.db").unlink()
            path = self.folder / "large.json"
            with open(path, "w") as out:
                when = "2026-01-01T00:00:00Z"
                pattern = {"id": 1, "name": "p", "note": "", "created": when, "unwanted": "", "clean_blends": None, "swirl": None}
                layer = {"id": 1, "pattern": 1, "position": 0, "name": "back", "see_through": None, "tone": None, "share": None}
                batch = {"id": 1, "pattern": 1, "name": "1", "poured": when, "good": 0, "note": "", "blend_mm": None}
                cup = {"id": 1, "batch": 1, "layer": 1, "volume_floz": 4, "capacity_floz": 5, "temperature_f": None}
                pour = {"id": 1, "cup": 1, "additions": 0, "thickness_mm": 10, "backing": 0.5, "predicted_l": None,
                        "predicted_a": None, "predicted_b": None, "poured": when}
                photo = {"id": 1, "sha256": "0" * 64, "path": "a.jpg", "width": 9, "height": 9, "taken": "", "added": when,
                         "preview": None}
                look = {"id": 1, "photo": 1, "marks": {}, "light": {}, "looked": when}
                shape.update(patterns=[pattern], layers=[layer], batches=[batch], cups=[cup], pours=[pour], photos=[photo],
                             looks=[look], readings=["HERE"])
                before, after = json.dumps(shape).split('"HERE"')
                out.write(before)
                row = ('"batch":1,"layer":1,"pour":1,"look":1,"bait":0,"shape":"","l":1,"a":0,"b":0,"uncertainty":1,"spread":0,'
                       f'"kept":null,"gloss":null,"flake":null,"taken":"{when}","share":null,"share_doubt":null,"replaces":')
                for i in range(1, ROWS + 1):
                    out.write(f'{"," if i > 1 else ""}{{"id":{i},{row}{"null" if i == 1 else 1}}}')
                out.write(after)
            self.assertIn(f"Took {ROWS + 8} entries in", self.run_book("import", path))


unittest.main()
