"""A sheet of chips in a photo: its rows are found before anybody says what they are.  test_sheet.py PROGRAM SOURCE RENDERER"""
import pathlib
import re
import subprocess
import sys

from bench import SAMPLES, BenchTest, main

SHEET = sys.argv[3]
# What the renderer lays out: tests/simulator, and its rows as tests/cli/test_found.py has them.
ROWS = [("orange", [0, 1, 2, 4, 8]), ("brown", [1, 2, 4, 8]), ("white", [1, 2, 4, 8]), ("blue", [1, 2, 4, 8])]


class Sheet(BenchTest):
    def found(self, path):
        photo = self.bench.upload(path).json["id"]
        return photo, self.bench.post(f"/api/photos/{photo}/sheet").json

    def rendered(self):
        path = pathlib.Path(self.bench.folder.name) / "sheet.jpg"
        subprocess.run([SHEET, path, "3", "1200"], check=True, capture_output=True)
        return path

    def test_the_rows_and_the_chips_that_a_command_takes(self):
        path = self.rendered()
        photo, got = self.found(path)
        self.assertEqual([len(row) for row in got["rows"]], [5, 4, 4, 4, 3])
        self.assertEqual(got["why"], "")
        chips = []
        for (bottle, loadings), row in zip(ROWS, got["rows"]):
            for loading, chip in zip(loadings, row):
                for over in ("black", "white"):
                    chips.append({"recipe": f"{bottle}={loading}" if loading else "", "thickness_mm": 3, "over": over, "shape": chip[over]})
        marks = {"card": {"set": "grid24", **got["card"]}}
        self.assertEqual(self.bench.post("/api/chips", {"photo": photo, "marks": marks, "chips": chips}).status, 201)
        kept = {(chip["recipe"], chip["over"]): chip["lab"] for chip in self.bench.get("/api/chips").json["chips"]}
        self.bench.command("book", "check")
        # The same sheet by command, into another book: the same chips with the same colors.
        other = type(self.bench)()
        try:
            rows = [f"{bottle}={','.join(map(str, loadings))}" for bottle, loadings in ROWS] + ["orange=3;brown=2/orange=3;white=2/blue=3;white=2"]
            other.command("bottle", "chips", "--photo", path, *[word for row in rows for word in ("--row", row)])
            told = {(chip["recipe"], chip["over"]): chip["lab"] for chip in other.get("/api/chips").json["chips"]}
        finally:
            other.close()
        # The card's corners come to the page to hundredths of a pixel: a fraction of the 0.5 that a reading is unsure by.
        for chip, lab in kept.items():
            for one, two in zip(lab, told[chip]):
                self.assertAlmostEqual(one, two, delta=0.2, msg=chip)

    def test_no_sheet_is_said(self):
        _, got = self.found(SAMPLES / "crawfish-1.jpg")
        self.assertEqual(got["rows"], [])
        self.assertRegex(got["why"], r"^[A-Z].*\.$")
        self.assertIsNone(re.search("/tmp|spool", got["why"]))

    def test_refused(self):
        self.assert_refused(self.bench.post(f"/api/photos/{'0' * 64}/sheet"), 404)


main()
