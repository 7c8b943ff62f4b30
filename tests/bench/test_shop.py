"""How the shop works: its settings, what was done, a copy of the book, and the sample's bottles."""
import pathlib
import re
import subprocess
import tempfile

from bench import PROGRAM, Bench, BenchTest, main

# orange and brown by numbers, as tests/book/test_pours.c has them: chips of a maker's own
OWN_CHIPS = """recipe,thickness_mm,over,L,a,b
,3,black,18.96,-0.61,-2.32
,3,white,88.12,-0.35,0.46
orange=2,3,black,24.0,1.3,-0.2
orange=2,3,white,80.6,13.9,19.8
brown=2,3,black,20.6,-0.5,-1.7
brown=2,3,white,80.1,2.6,11.5
"""


class Settings(BenchTest):
    def test_shown_changed_and_back_to_what_is_usual(self):
        usual = self.bench.get("/api/settings").json
        self.assertEqual((usual["settings"]["units"], usual["set"]), ("us", []))
        got = self.bench.ask("PATCH", "/api/settings", {"volume": "3floz", "units": "metric"}).json
        self.assertEqual(sorted(got["set"]), ["units", "volume"])
        self.assertEqual(self.bench.get("/api/state").json["units"], "metric")
        pattern = self.bench.post("/api/patterns", {"name": "shad", "note": "", "layers": ["back"]}).json
        cup = self.bench.post("/api/work", {"pattern": pattern["id"]}).json["cups"][0]
        self.assertAlmostEqual(cup["volume_floz"], 3, 3)
        self.assertGreater(cup["capacity_floz"], 3)
        got = self.bench.ask("PATCH", "/api/settings", {"volume": None, "units": None}).json
        self.assertEqual(got, usual)
        self.assertEqual(self.bench.get("/api/state").json["units"], "us")

    def test_a_command_sees_them(self):
        self.bench.ask("PATCH", "/api/settings", {"max-bottles": "3"})
        self.assertIn("3", self.bench.command("settings", "max-bottles"))
        self.bench.ask("PATCH", "/api/settings", {"max-bottles": None})

    def test_what_makes_no_sense_changes_nothing(self):
        before = self.bench.get("/api/settings").json
        for part in ({"volume": "much"}, {"volume": 3}, {"colour": "red"}, {"max-bottles": "3", "step": "x"}):
            self.assert_refused(self.bench.ask("PATCH", "/api/settings", part), 400)
        self.assertEqual(self.bench.get("/api/settings").json, before)


class Copies(BenchTest):
    def test_the_copy_is_a_whole_book(self):
        self.bench.post("/api/patterns", {"name": "perch", "note": "", "layers": ["back"]})
        answer = self.bench.get("/api/backup")
        self.assertEqual(answer.status, 200)
        self.assertIn("attachment", answer.headers["content-disposition"])
        with tempfile.TemporaryDirectory() as folder:
            copy = pathlib.Path(folder) / "copy.db"
            copy.write_bytes(answer.bytes)
            for words in (["book", "check"], ["pattern", "show", "perch"]):
                done = subprocess.run([PROGRAM, *words, "--book", copy], capture_output=True, text=True)
                self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual([p.name for p in self.bench.book.parent.glob("*backup*")], [], "nothing is left behind")

    def test_history_has_both_doors(self):
        self.bench.post("/api/patterns", {"name": "gill", "note": "", "layers": ["back"]})
        self.bench.command("target", "set", "gill", "back", "--lab", "30,5,9")
        entries = self.bench.get("/api/history?most=2").json["entries"]
        self.assertEqual([e["door"] for e in entries], ["command", "page"])
        self.assertEqual([e["state"] for e in entries], ["done", "done"])
        self.assert_refused(self.bench.get("/api/history?most=0"), 400)

    def test_a_chart_has_numbers_on_both_axes(self):
        pattern = self.bench.post("/api/patterns", {"name": "roach", "note": "", "layers": ["back"]}).json
        self.bench.command("target", "set", "roach", "back", "--lab", "32,5,9")
        for batch, lab in (("first", "33,5,9"), ("second", "38,8,14")):
            self.bench.command("pour", "roach", "--layer", "back", "--batch", batch, "--new", "--cup", "brown=6", "--measured", lab)
        layer = self.bench.get(f"/api/patterns/{pattern['id']}/drift").json["layers"][0]
        words = re.findall(r"<text[^>]*>([^<]*)</text>", layer["svg"])
        self.assertTrue({"first", "second", "0"} <= set(words), words)
        up = sorted({float(word) for word in words if re.fullmatch(r"[\d.]+", word)})
        self.assertGreaterEqual(len(up), 3)
        self.assertLessEqual(up[-1] - up[-2], layer["batches"][1]["de00_target"], "the axis reaches what it shows")


class Sample(BenchTest):
    def setUp(self):
        self.own = Bench()

    def tearDown(self):
        self.own.close()

    def fit_sample(self):
        self.assertEqual(self.own.post("/api/chips", self.own.sample_chips()).status, 201)
        answer = self.own.post("/api/fit")
        self.assertEqual(answer.status, 200, answer.bytes)
        return answer.json["shelf"]["bottles"]

    def test_its_bottles_are_labelled_and_go_in_one_act(self):
        before = self.own.get("/api/state").json["shelf"]
        self.assert_refused(self.own.ask("DELETE", "/api/samples/chips-1", {}), 404)
        fitted = self.fit_sample()
        self.assertTrue(all(b["sample"] and not b["invented"] for b in fitted))
        shelf = self.own.ask("DELETE", "/api/samples/chips-1", {}).json
        self.assertTrue(shelf["invented"])
        self.assertEqual(shelf["bottles"], before["bottles"])
        last = self.own.get("/api/history?most=1").json["entries"][0]
        self.assertEqual(last["words"], "the sample's bottles taken away")
        self.own.post("/api/undo", {"entry": last["id"]})
        self.assertEqual(self.own.get("/api/state").json["shelf"]["bottles"], fitted)

    def test_chips_of_ones_own_stay(self):
        self.fit_sample()
        csv = self.own.book.parent / "own.csv"
        csv.write_text(OWN_CHIPS)
        self.own.command("bottle", "chips", csv)
        labelled = {b["id"]: b["sample"] for b in self.own.get("/api/state").json["shelf"]["bottles"]}
        self.assertEqual([labelled[b] for b in ("orange", "brown", "white")], [False, False, True])
        shelf = self.own.ask("DELETE", "/api/samples/chips-1", {}).json
        self.assertEqual(sorted(b["id"] for b in shelf["bottles"]), ["brown", "orange"])
        self.assertEqual([b["chips"] for b in shelf["bottles"]], [2, 2])

    def test_white_is_told_from_clear_by_what_lies_under_it(self):
        swatches = {b["id"]: b["swatches"][-1] for b in self.own.get("/api/state").json["shelf"]["bottles"]}
        white = swatches["white"]
        self.assertLess(white["lab_over_black"][0], white["lab"][0])
        self.assertGreater(white["lab_over_black"][0], swatches["orange"]["lab_over_black"][0])

    def test_a_fit_in_the_middle_of_a_batch_silences_no_advice(self):
        pattern = self.own.post("/api/patterns", {"name": "craw", "note": "", "layers": ["back"]}).json
        self.own.post(f"/api/patterns/{pattern['id']}/targets", {"layer": "back", "lab": [32, 5, 9]})
        work = self.own.post("/api/work", {"pattern": pattern["id"]}).json
        body = {"layer": "back", "seen": work["cups"][0]["seen"], "add": {"melon-green": 5, "orange": 3}}
        work = self.own.post(f"/api/work/{work['id']}/pour", body).json
        self.fit_sample()
        answer = self.own.post("/api/advise", {"pattern": "craw", "batch": work["batch_name"]}).json
        self.assertEqual([layer["name"] for layer in answer["layers"]], ["back"])
        self.assertTrue(answer["layers"][0]["advice"])


if __name__ == "__main__":
    main()
