"""One journal at both doors: what the page did is named and taken back at the page and by command, and what a command did at the page;
a redo brings it back, and an export without the journal is then the one before, or after.

A deed at the page is (kind, words of its entry, what is asked of the server).  Those by command are test_journal.py's.
"""
import pathlib
import re
import sys

from bench import Bench, main, marks_of

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "book"))
import test_journal  # noqa: E402

P = test_journal.P


class Page:
    """What the deeds need of the page: its requests, and the work as it is now."""

    def __init__(self, bench):
        self.bench = bench
        self.pattern = self.work = None

    def look(self):
        state = self.bench.get("/api/state").json
        self.pattern = next((p["id"] for p in state["patterns"] if p["name"] == P), None)
        self.work = state["work"]
        return self.work

    def ask(self, method, path, body=None):
        answer = self.bench.ask(method, path, body if body is not None else {})
        if answer.status not in (200, 201, 204):
            raise AssertionError((method, path, body, answer.status, answer.bytes[:300]))
        return answer

    def on_pattern(self, method, rest="", body=None):
        self.ask(method, f"/api/patterns/{self.pattern}{rest}", body)

    def on_work(self, rest, **body):
        self.ask("POST", f"/api/work/{self.work['id']}/{rest}", {"seen": self.work["seen"], **body})

    def patch_work(self, **body):
        self.ask("PATCH", f"/api/work/{self.work['id']}", {"seen": self.work["seen"], **body})

    def into_cup(self, what, layer, **body):
        seen = next(cup["seen"] for cup in self.work["cups"] if cup["layer"] == layer)
        self.ask("POST", f"/api/work/{self.work['id']}/{what}", {"layer": layer, "seen": seen, **body})

    def turn(self, way, entry):
        """The work that is shown then may be another, or none."""
        return self.ask("POST", f"/api/{way}", {"entry": entry}).json["words"]


DEEDS = [
    ("pattern", "pattern frog added", lambda p: p.ask("POST", "/api/patterns", {"name": "frog", "note": "", "layers": ["flank"]})),
    ("pattern", "name of a pattern: was creek crawfish, is mud crawfish",
     lambda p: p.on_pattern("PATCH", body={"name": "mud crawfish"})),
    ("pattern", "note on pattern creek crawfish", lambda p: p.on_pattern("PATCH", body={"note": "for muddy water"})),
    ("pattern", "see-through of the belly of creek crawfish",
     lambda p: p.on_pattern("PATCH", body={"see_through": {"belly": 0.4}})),
    ("pattern", "pattern creek crawfish removed, with its batches", lambda p: p.on_pattern("DELETE")),
    ("target", "target 60.00,5.00,18.00, was 67.00,7.00,20.00 for the belly of creek crawfish",
     lambda p: p.on_pattern("POST", "/targets", {"layer": "belly", "lab": [60, 5, 18]})),
    ("bench", "creek crawfish laid on the bench", lambda p: p.ask("POST", "/api/work", {"pattern": p.pattern})),
    ("bench", "bench creek crawfish: renamed", lambda p: p.patch_work(name="tonight's")),
    ("bench", "bench creek crawfish: marks moved", lambda p: p.patch_work(marks=marks_of("crawfish-1", "back"))),
    ("bench", "bench creek crawfish: photo put away", lambda p: p.patch_work(photo=None)),
    ("bench", "bench creek crawfish: looked at in another slab", lambda p: p.patch_work(slab={"thickness_mm": 8, "over": "white"})),
    ("bench", "creek crawfish taken off the bench", lambda p: p.ask("DELETE", f"/api/work/{p.work['id']}")),
    ("drops", "30 drops of brown into the back of batch 3 of creek crawfish",
     lambda p: p.into_cup("pour", "back", add={"brown": 30})),
    ("drops", "0.5 fl oz of clear base, 2 drops of orange into the belly of batch 3 of creek crawfish",
     lambda p: p.into_cup("pour", "belly", add={"orange": 2}, add_clear_floz=0.5)),
    ("correction", "orange in the back of batch 3 of creek crawfish: was 12, is 3",
     lambda p: p.into_cup("cup", "back", drops={"orange": 3})),
    ("correction", "orange in the back of batch 3 of creek crawfish: was 12, is 20, "
     "brown in the back of batch 3 of creek crawfish: was 0, is 4",
     lambda p: p.into_cup("cup", "back", drops={"orange": 20, "brown": 4})),
    ("correction", "capacity (fl oz) in the back of batch 3 of creek crawfish: was 5, is 8, "
     "clear base (fl oz) in the back of batch 3 of creek crawfish: was 4, is 6",
     lambda p: p.into_cup("cup", "back", volume_floz=6, capacity_floz=8)),
    ("correction", "clear base (fl oz) in the back of batch 3 of creek crawfish: was 4, is 3.5",
     lambda p: p.into_cup("cup", "back", volume_floz=3.5)),
    ("pour", "temperature (F) 340 at minute 12 of the back of batch 3 of creek crawfish",
     lambda p: p.into_cup("heat", "back", temperature_f=340, minute=12)),
    ("pour", "reheated at minute 14 of the belly of batch 3 of creek crawfish",
     lambda p: p.into_cup("heat", "belly", minute=14, reheat=True)),
    ("reading", "back read as 31.88,4.97,8.90, belly read as 66.99,6.94,20.14 in batch 3 of creek crawfish",
     lambda p: p.on_work("measured", cups_seen=p.work["cups_seen"], bait=2)),
    ("good", "a batch of creek crawfish closed and called good", lambda p: p.on_work("finish", good=True, note="windy")),
    ("good", "batch 3 of creek crawfish marked good", lambda p: p.ask("PATCH", f"/api/batches/{p.work['batch']}", {"good": True})),
    ("batch", "batch 3 of creek crawfish given a note",
     lambda p: p.ask("PATCH", f"/api/batches/{p.work['batch']}", {"note": "windy"})),
    ("bottle", "bottle teal added",
     lambda p: p.ask("POST", "/api/shelf", {"id": "teal", "title": "Teal", "role": "color", "drop_ml": 0.05})),
    ("bottle", "drop size of bottle white", lambda p: p.ask("PATCH", "/api/shelf/white", {"drop_ml": 0.04})),
    ("bottle", "title of bottle white", lambda p: p.ask("PATCH", "/api/shelf/white", {"title": "Bright white"})),
    ("bottle", "bottle white removed", lambda p: p.ask("DELETE", "/api/shelf/white")),
    ("lot", "lot B of white opened", lambda p: p.ask("POST", "/api/shelf/white/lot", {"name": "B"})),
    ("correction", "chip 3: was orange=0.5 over black, 3 mm: 20.19,-0.29,-1.19, is orange=0.6,brown=1 over black, 2.5 mm: "
     "20.19,-0.29,-1.19", lambda p: p.ask("PATCH", "/api/chips/3", {"recipe": "orange=0.6,brown=1", "thickness_mm": 2.5})),
    ("chip", "chip orange=0.5 over black, 3 mm: 20.19,-0.29,-1.19 removed", lambda p: p.ask("DELETE", "/api/chips/3")),
    ("mold", "mold craw added", lambda p: p.ask("POST", "/api/molds", {"name": "craw", "cavities": 4, "bait_volume": "9ml"})),
    ("setting", "setting volume 3floz", lambda p: p.ask("PATCH", "/api/settings", {"volume": "3floz"})),
    ("setting", "setting apart.least 12", lambda p: p.ask("PATCH", "/api/plugins/apart", {"values": {"least": 12}})),
]
# By command, beside those of test_journal.py: what the page has no door for.
COMMANDS = [
    ("mold", "mold craw added", ("mold", "add", "craw", "--cavities", 4, "--bait-volume", "9ml")),
    ("mold", "mold old: 82 of 250 ml left after 4 fills",
     ("mold", "learn", "old", "--filled", "250ml", "--left", "82ml", "--fills", 4)),
    ("setting", "setting volume 3floz", ("settings", "volume", "3floz")),
    ("setting", "setting heat-limit 5F", ("settings", "heat-limit", "5F")),
]


class Doors(test_journal.Book):
    def setUp(self):
        super().setUp()
        self.bench = Bench(book=self.book)
        self.page = Page(self.bench)

    def tearDown(self):
        self.bench.close()
        super().tearDown()

    def lay_out(self):
        """A work with a photo, marks and drops."""
        self.page.look()
        self.page.ask("POST", "/api/work", {"pattern": self.page.pattern})
        photo = self.bench.post("/api/samples/crawfish-1").json["id"]
        self.page.look()
        self.page.patch_work(photo=photo, marks=marks_of("crawfish-1", "back", "belly"))
        self.page.look()
        self.page.into_cup("pour", "back", add={"orange": 12})

    def held(self, before, after, entry):
        """At each door in turn: taken back it is as before, brought back as after."""
        words = entry["words"]
        for back, on in ((self.page_turn, self.page_turn), (self.command_turn, self.page_turn), (self.page_turn, self.command_turn)):
            self.assertEqual(back("undo", entry["id"]), words)
            self.assertEqual(self.export(), before)
            self.assertEqual(on("redo", entry["id"]), words)
            self.assertEqual(self.export(), after)
        self.ok("book", "check")

    def page_turn(self, way, entry):
        work = self.page.look()
        if work:
            self.assertEqual(work[way]["entry"], entry)  # named first
        return self.page.turn(way, entry)

    def command_turn(self, way, entry):
        del entry
        return self.json(way)[{"undo": "undone", "redo": "redone"}[way]]["words"]

    def step(self, door, kind, words, deed):
        before = self.export()
        deed()
        after, entry = self.export(), self.last()
        self.assertNotEqual(after, before)
        self.assertEqual((entry["door"], entry["kind"]), (door, kind), entry)
        self.assertRegex(entry["words"], f"^{words}$")
        self.held(before, after, entry)
        return entry["id"]

    def test_deeds_at_the_page(self):
        self.lay_out()
        for kind, words, deed in DEEDS:
            with self.subTest(words):
                self.page.look()
                entry = self.step("page", kind, re.escape(words), lambda: deed(self.page))
                self.page.turn("undo", entry)

    def test_deeds_by_command(self):
        for kind, words, deed in test_journal.DEEDS + COMMANDS:
            with self.subTest(words):
                entry = self.step("command", kind, re.escape(words), lambda: self.ok(*self.words_of(deed)))
                self.page.turn("undo", entry)

    def test_chips_and_what_was_fitted_of_them(self):
        body = self.bench.sample_chips()
        self.step("page", "chip", f"{len(body['chips'])} chips added", lambda: self.page.ask("POST", "/api/chips", body))
        self.step("page", "fit", r"bottles fitted to \d+ chips", lambda: self.page.ask("POST", "/api/fit"))
        self.step("page", "bottle", "the sample's bottles taken away", lambda: self.page.ask("DELETE", "/api/samples/chips-1"))

    def test_base_added_later_counts_in_what_is_corrected(self):
        self.lay_out()
        self.page.look()
        self.page.into_cup("pour", "back", add={}, add_clear_floz=0.5)
        for floz, was in ((4.75, 4.5), (4.25, 4.75)):
            self.page.look()
            self.step("page", "correction", re.escape(f"clear base (fl oz) in the back of batch 3 of {P}: was {was}, is {floz}"),
                      lambda: self.page.into_cup("cup", "back", volume_floz=floz))
            self.assertEqual(self.page.look()["cups"][0]["volume_floz"], floz)

    def test_a_correction_runs_no_cup_over(self):
        self.lay_out()
        before = self.export()
        for body in ({"drops": {"orange": 9000}}, {"drops": {"orange": 12, "white": 9000}}, {"volume_floz": 5.5}):
            work = self.page.look()
            answer = self.bench.post(f"/api/work/{work['id']}/cup", {"layer": "back", "seen": work["cups"][0]["seen"], **body})
            self.assertEqual(answer.status, 422, answer.bytes)
            self.assertIn("run over", answer.json["error"])
        self.assertEqual(self.export(), before)

    def test_an_import(self):
        exported = self.other_export()
        self.step("command", "import", ".* rows taken in from .*shad.json", lambda: self.ok("book", "import", exported))

    def test_another_entry_than_the_one_named_is_not_touched(self):
        self.lay_out()
        named = self.page.look()["undo"]["entry"]
        self.ok("settings", "volume", "3floz")
        before = self.export()
        for way in ("undo", "redo"):
            self.assertEqual(self.bench.post(f"/api/{way}", {"entry": named}).status, 422)
        self.assertEqual(self.export(), before)


main()
