"""Work, patterns, batches, drift, the shelf and sheets: what lies on the bench lives in the book."""
import json
import shutil
import threading
import time

from bench import SAMPLES, Bench, BenchTest, main, marks_of


class Book(BenchTest):
    serial = 0

    def pattern(self, layers=("back", "middle", "belly")):
        Book.serial += 1
        answer = self.bench.post("/api/patterns", {"name": f"pattern {Book.serial}", "note": "n", "layers": list(layers)})
        self.assertEqual(answer.status, 201, answer.bytes)
        return answer.json

    def work(self, pattern=None):
        answer = self.bench.post("/api/work", {"pattern": (pattern or self.pattern())["id"]})
        self.assertEqual(answer.status, 201, answer.bytes)
        return answer.json

    def change(self, work, **part):
        answer = self.bench.ask("PATCH", f"/api/work/{work['id']}", {"seen": work["seen"], **part})
        self.assertEqual(answer.status, 200, answer.bytes)
        return answer.json

    def into_cup(self, what, work, layer, **part):
        """The answer of a request about one cup of the work as it was seen."""
        seen = [cup["seen"] for cup in work["cups"] if cup["layer"] == layer]
        return self.bench.post(f"/api/work/{work['id']}/{what}", {"layer": layer, "seen": (seen or ["0"])[0], **part})

    def pour(self, work, layer, add, clear=0):
        answer = self.into_cup("pour", work, layer, add=add, add_clear_floz=clear)
        self.assertEqual(answer.status, 200, answer.bytes)
        return answer.json

    def correct(self, work, layer, **part):
        answer = self.into_cup("cup", work, layer, **part)
        self.assertEqual(answer.status, 200, answer.bytes)
        return answer.json

    def step(self, way, work):
        answer = self.bench.post(f"/api/{way}", {"entry": work[way]["entry"], "work": work["id"]})
        self.assertEqual(answer.status, 200, answer.bytes)
        self.assertEqual(answer.json["words"], work[way]["words"])  # what was named is what was done
        return answer.json["work"]


class Patterns(Book):
    def test_made_changed_listed_removed(self):
        pattern = self.pattern()
        self.assertEqual([l["name"] for l in pattern["layers"]], ["back", "middle", "belly"])
        self.assertTrue(all(l["target"] is None and l["see_through"] is None for l in pattern["layers"]))
        address = f"/api/patterns/{pattern['id']}"
        got = self.bench.ask("PATCH", address, {"name": "renamed", "note": "two", "see_through": {"belly": 0.4}}).json
        self.assertEqual((got["name"], got["note"], got["layers"][2]["see_through"]), ("renamed", "two", 0.4))
        self.assertIn("renamed", [p["name"] for p in self.bench.get("/api/state").json["patterns"]])
        self.assert_refused(self.bench.ask("PATCH", address, {"see_through": {"belly": 4}}), 400)
        self.assert_refused(self.bench.ask("PATCH", address, {"name": ""}), 422)
        self.assertEqual(self.bench.ask("DELETE", address, {}).status, 204)
        self.assert_refused(self.bench.ask("DELETE", address, {}), 404)

    def test_same_name_and_wrong_layers(self):
        name = self.pattern()["name"]
        self.assert_refused(self.bench.post("/api/patterns", {"name": name, "layers": ["a"]}), 422)
        for layers in ([], ["a"] * 9, [1], "back", None, ["a", "a"], [""]):
            self.assert_refused(self.bench.post("/api/patterns", {"name": f"x{layers}", "layers": layers}), 400, 422)

    def test_targets_and_their_past(self):
        pattern = self.pattern()
        photo = self.bench.post("/api/samples/crawfish-1").json["id"]
        address = f"/api/patterns/{pattern['id']}/targets"
        for lab in ([30, 10, 12], [31, 10, 12]):
            got = self.bench.post(address, {"layer": "back", "lab": lab, "uncertainty_de00": 0.6, "photo": photo,
                                            "detail": {"shape": "rect:1,1,9x9"}}).json
        back = got["layers"][0]
        self.assertEqual((back["target"], back["target_how"], back["uncertainty_de00"]), ([31, 10, 12], "from a photo", 0.6))
        past = self.bench.get(address + "?layer=back").json["targets"]
        self.assertEqual([t["lab"] for t in past], [[31, 10, 12], [30, 10, 12]])
        self.assertEqual((past[0]["photo"], past[0]["detail"]), (photo, {"shape": "rect:1,1,9x9"}))
        self.assert_refused(self.bench.post(address, {"layer": "tail", "lab": [1, 2, 3]}), 404)
        self.assert_refused(self.bench.post(address, {"layer": "back", "lab": [1, 2]}), 400)
        self.assert_refused(self.bench.post(address, {"layer": "back", "lab": [1, 2, 3], "photo": "0" * 64}), 404)
        self.assert_refused(self.bench.get(address), 400)

    def test_a_layer_name_with_a_blank(self):
        pattern = self.pattern(["upper back", "belly"])
        address = f"/api/patterns/{pattern['id']}/targets"
        self.bench.post(address, {"layer": "upper back", "lab": [40, 0, 0]})
        self.assertEqual(len(self.bench.get(address + "?layer=upper%20back").json["targets"]), 1)


class Words(Book):
    def test_a_target_in_words(self):
        pattern = self.pattern()
        got = self.bench.post(f"/api/patterns/{pattern['id']}/targets", {"layer": "back", "lab": [32, 5, 9]}).json
        self.assertIn("brown", got["layers"][0]["words"])
        self.assertNotIn("words", got["layers"][1])


class Work(Book):
    def test_begun_with_empty_cups(self):
        pattern = self.pattern()
        work = self.work(pattern)
        self.assertEqual([(c["layer"], c["volume_floz"], c["capacity_floz"], c["drops"], c["measured"]) for c in work["cups"]],
                         [(n, 4, 5, {}, None) for n in ("back", "middle", "belly")])
        self.assertEqual((work["pattern"], work["photo"]), (pattern["id"], None))
        self.assertIsInstance(work["batch"], int)  # open, with nothing in it yet
        state = self.bench.get("/api/state").json
        self.assertEqual(state["work"]["id"], work["id"])
        self.assertEqual(state["works"][0]["name"], work["name"])
        self.assert_refused(self.bench.post("/api/work", {"pattern": 999999}), 404)
        self.assert_refused(self.bench.post("/api/work", {}), 400, 404)

    def test_changes_are_of_what_was_seen(self):
        work = self.work()
        marks = marks_of("crawfish-1")
        photo = self.bench.post("/api/samples/crawfish-1").json["id"]
        later = self.change(work, photo=photo, marks=marks, slab={"thickness_mm": 8, "over": "white"}, name="mine")
        self.assertEqual((later["photo"], later["marks"], later["name"]), (photo, marks, "mine"))
        self.assertGreater(later["revision"], work["revision"])
        stale = self.bench.ask("PATCH", f"/api/work/{work['id']}", {"seen": work["seen"], "name": "late"})
        self.assert_refused(stale, 409)
        self.assertEqual(stale.json["name"], "mine")
        self.assertEqual(stale.json["revision"], later["revision"])
        self.assertIsNone(self.change(later, photo=None)["photo"])
        # Drops in a cup, a target: nothing that a mark could be lost by.
        seen = self.pour(work, "back", {"orange": 1})
        self.assertEqual(self.change(seen, name="on")["cups"][0]["drops"], {"orange": 1})

    def test_changes_that_make_no_sense(self):
        work = self.work()
        for part in ({"photo": "0" * 64}, {"photo": 5}, {"marks": 5}, {"marks": {"card": {"set": "x"}}},
                     {"slab": {"thickness_mm": 0}}, {"name": ""}, {"name": "x" * 500}):
            answer = self.bench.ask("PATCH", f"/api/work/{work['id']}", {"seen": work["seen"], **part})
            self.assert_refused(answer, 400, 422)
        for part in ({"drops": {"nothing": 1}}, {"drops": {"orange": -1}}, {"drops": []}, {"drops": {"orange": "two"}},
                     {"volume_floz": -1}, {"capacity_floz": 0}):
            self.assert_refused(self.into_cup("cup", work, "back", **part), 400, 404, 422)
        self.assert_refused(self.into_cup("cup", work, "tail", drops={}), 404)
        self.assert_refused(self.bench.post(f"/api/work/{work['id']}/cup", {"layer": "back", "drops": {}}), 400)
        self.assert_refused(self.bench.ask("PATCH", f"/api/work/{work['id']}", {"name": "x"}), 400)
        self.assert_refused(self.bench.ask("PATCH", "/api/work/999999", {"seen": "0" * 16}), 404)
        self.assertEqual(self.bench.get(f"/api/work/{work['id']}").json["revision"], work["revision"])

    def test_sixty_steps_back_and_on(self):
        first = work = self.work()
        for i in range(60):
            work = self.change(work, name=f"step {i}")
        for i in reversed(range(59)):
            work = self.step("undo", work)
            self.assertEqual(work["name"], f"step {i}")
        work = self.step("undo", work)
        self.assertEqual(work["name"], first["name"])
        for i in range(60):
            work = self.step("redo", work)
            self.assertEqual(work["name"], f"step {i}")
        self.assertIsNone(work["redo"])
        self.assertGreater(work["revision"], first["revision"])
        stale = {"entry": first["undo"]["entry"], "work": work["id"]}
        self.assert_refused(self.bench.post("/api/undo", stale), 422)  # it is not the last any more
        self.assert_refused(self.bench.post("/api/redo", {}), 422)

    def test_laying_a_pattern_on_the_bench_is_a_step_too(self):
        work = self.work()
        self.assertIsNone(self.step("undo", work))
        self.assert_refused(self.bench.get(f"/api/work/{work['id']}"), 404)
        self.assertEqual(self.bench.post("/api/redo", {"work": work["id"]}).json["work"]["cups"], work["cups"])

    def test_waiting_for_news(self):
        work = self.work()
        got = []
        waiter = threading.Thread(target=lambda: got.append(
            self.bench.get(f"/api/work/{work['id']}?after={work['revision']}")))
        waiter.start()
        time.sleep(0.5)
        self.assertEqual(got, [])
        began = time.monotonic()
        self.change(work, name="news")
        waiter.join(10)
        self.assertLess(time.monotonic() - began, 1)
        self.assertEqual(got[0].json["name"], "news")
        self.assertEqual(self.bench.get(f"/api/work/{work['id']}?after=0").json["name"], "news")
        self.assert_refused(self.bench.get(f"/api/work/{work['id']}?after=x"), 400)

    def test_no_news_is_204(self):
        work = self.work()
        began = time.monotonic()
        answer = self.bench.get(f"/api/work/{work['id']}?after={work['revision']}")
        self.assertEqual((answer.status, answer.bytes), (204, b""))
        self.assertGreater(time.monotonic() - began, 15)

    def test_tabs_race_and_one_wins(self):
        work = self.work()
        answers = []

        def tab(name):
            answers.append(self.bench.ask("PATCH", f"/api/work/{work['id']}", {"seen": work["seen"], "name": name}))

        tabs = [threading.Thread(target=tab, args=(f"tab {i}",)) for i in range(8)]
        for t in tabs:
            t.start()
        for t in tabs:
            t.join()
        self.assertEqual(sorted(a.status for a in answers), [200] + [409] * 7)

    def test_pours(self):
        work = self.pour(self.work(), "back", {"orange": 12, "brown": 2})
        work = self.pour(work, "back", {"brown": 3}, 0.5)
        cup = work["cups"][0]
        self.assertEqual((cup["drops"], cup["volume_floz"]), ({"orange": 12, "brown": 5}, 4.5))
        self.assertEqual([(e.get("bottle"), e.get("drops", e.get("clear_floz"))) for e in cup["log"]],
                         [("orange", 12), ("brown", 2), (None, 0.5), ("brown", 3)])
        self.assertRegex(cup["log"][0]["when"], r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$")
        undone = self.step("undo", work)
        self.assertEqual(undone["cups"][0]["drops"], {"orange": 12, "brown": 2})
        for layer, part in (("tail", {"add": {"orange": 1}}), ("back", {"add": {}}), ("back", {"add": {"orange": -1}}),
                            ("back", {"add": {}, "add_clear_floz": 3}), ("back", {"add": {"orange": 9999}})):
            self.assert_refused(self.into_cup("pour", undone, layer, **part), 400, 404, 422)
        self.assertEqual(self.bench.get(f"/api/work/{work['id']}").json["cups"], undone["cups"])
        self.assertEqual(self.bench.ask("DELETE", f"/api/work/{work['id']}", {}).status, 204)

    def test_two_tabs_and_a_command_pour_into_one_cup(self):
        pattern = self.pattern()
        work = self.pour(self.work(pattern), "back", {"brown": 10})
        one = self.pour(work, "back", {"orange": 1})
        again = self.into_cup("pour", work, "back", add={"orange": 1})  # the other tab, or the same tap twice
        self.assert_refused(again, 409)
        self.assertEqual(again.json["cups"], one["cups"])
        command = json.loads(self.bench.command("pour", pattern["name"], "--layer", "back", "--add", "white=2", "--json"))
        now = self.bench.get(f"/api/work/{work['id']}").json
        drops = {"brown": 10, "orange": 1, "white": 2}
        self.assertEqual(now["cups"][0]["drops"], drops)
        self.assertEqual(command["layers"][0]["cup"], drops)
        batch = self.bench.get(f"/api/batches/{now['batch']}").json
        self.assertEqual(batch["cups"][0]["drops"], drops)
        self.assertIn("white", now["undo"]["words"])  # the command's entry is named here, and taken back here
        self.assertEqual(self.step("undo", now)["cups"], one["cups"])


    def test_a_command_fills_the_cups_that_stand_ready_on_the_page(self):
        pattern = self.pattern()
        work = self.work(pattern)
        self.bench.command("pour", pattern["name"], "--layer", "back", "--cup", "brown=4", "--volume", "3")
        now = self.bench.get(f"/api/work/{work['id']}").json
        self.assertEqual(now["batch"], work["batch"])
        self.assertEqual((now["cups"][0]["drops"], now["cups"][0]["volume_floz"]), ({"brown": 4}, 3))
        self.assertEqual(self.step("undo", now)["cups"], work["cups"])


class Measured(Book):
    def measured(self, work, **more):
        return self.bench.post(f"/api/work/{work['id']}/measured", {"seen": work["seen"], "cups_seen": work["cups_seen"], **more})

    def test_the_whole_round(self):
        pattern = self.pattern()
        read = {}
        for name in ("crawfish-1", "crawfish-2"):
            photo = self.bench.post(f"/api/samples/{name}") if name == "crawfish-1" else self.bench.upload(SAMPLES / f"{name}.jpg")
            read[name] = photo.json["id"]
        work = self.work(pattern)
        self.assert_refused(self.measured(work), 422)  # no photo
        for layer, add in (("back", {"brown": 10}), ("middle", {"orange": 8, "brown": 2}), ("belly", {"white": 3})):
            work = self.pour(work, layer, add)
        work = self.change(work, photo=read["crawfish-1"])
        self.assert_refused(self.measured(work), 422)  # no marks
        work = self.change(work, marks=marks_of("crawfish-1"))
        answer = self.measured(work)
        self.assertEqual(answer.status, 200, answer.bytes)
        work = answer.json
        batch = work["batch"]
        self.assertIsInstance(batch, int)
        for cup in work["cups"]:
            self.assertEqual(len(cup["read"][0]["lab"]), 3)
            # Drops that can't give the color: said, and never shown as measured.
            self.assertEqual(cup["measured"] is None, "set_aside" in cup)
            self.assertEqual(cup["measured"] is not None, "measured_uncertainty_de00" in cup)

        kept = self.bench.get(f"/api/batches/{batch}").json
        self.assertEqual(kept["photo"], read["crawfish-1"])
        self.assertEqual(kept["marks"]["layers"], marks_of("crawfish-1")["layers"])
        self.assertEqual([(c["layer"], c["drops"]) for c in kept["cups"]],
                         [("back", {"brown": 10}), ("middle", {"orange": 8, "brown": 2}), ("belly", {"white": 3})])
        self.assertEqual([r["lab"] for r in kept["readings"]], [c["read"][0]["lab"] for c in work["cups"]])

        work = self.pour(work, "back", {"brown": 1})  # corrected, and looked at again
        self.assertIsNone(work["cups"][0]["measured"])
        work = self.change(work, photo=read["crawfish-2"], marks=marks_of("crawfish-2"))
        work = self.measured(work).json
        self.assertEqual(work["batch"], batch)
        self.assertEqual(self.bench.get(f"/api/batches/{batch}").json["cups"][0]["drops"], {"brown": 11})

        done = self.bench.post(f"/api/work/{work['id']}/finish", {"seen": work["seen"], "good": True, "note": "fine"}).json
        self.assertEqual((done["finished_batch"], done["photo"]), (batch, None))
        self.assertEqual(done["good_layers"], ["back", "middle", "belly"])
        self.assertNotEqual(done["batch"], batch)  # the next one is open
        self.assertTrue(all(c["drops"] == {} and c["measured"] is None and c["log"] == [] for c in done["cups"]))
        kept = self.bench.get(f"/api/batches/{batch}").json
        self.assertEqual((kept["good"], kept["good_layers"], kept["note"]), (True, ["back", "middle", "belly"], "fine"))
        patched = self.bench.ask("PATCH", f"/api/batches/{batch}", {"good": False, "note": "not so"}).json
        self.assertEqual((patched["good"], patched["note"]), (False, "not so"))
        self.assert_refused(self.bench.get("/api/batches/99999"), 404)
        self.assert_refused(self.bench.post(f"/api/work/{work['id']}/finish", {"seen": done["seen"]}), 422)

        state = self.bench.get("/api/state").json
        self.assertEqual([p["batches"] for p in state["patterns"] if p["id"] == pattern["id"]], [2])

    OTHER = ("photos", "benches")  # a picture kept aside is nobody's deed; marks are looked at apart

    def kept(self):
        """Everything that the book holds of batches and what they taught."""
        text = self.bench.command("book", "export", "--no-journal")
        return {title: rows for title, rows in json.loads(text).items() if title not in self.OTHER}

    def undo(self, work):
        return self.step("undo", work)

    def laid(self, pattern, name="crawfish-1"):
        photo = self.bench.post(f"/api/samples/{name}") if name == "crawfish-1" else self.bench.upload(SAMPLES / f"{name}.jpg")
        work = self.pour(self.work(pattern), "back", {"brown": 10})
        return self.change(work, photo=photo.json["id"], marks=marks_of(name))

    def same_work(self, one, other):
        for key in set(one) - {"revision", "updated", "redo"}:
            self.assertEqual(one[key], other[key], key)

    def test_a_step_back_brings_back_what_the_same_photo_said_before(self):
        work = self.laid(self.pattern())
        measured = self.measured(work).json
        once, batch = self.kept(), measured["batch"]
        there = lambda: [r["lab"] for r in self.bench.get(f"/api/batches/{batch}").json["readings"]]
        before = there()
        self.assertEqual(len(before), 3)
        moved = marks_of("crawfish-1")
        moved["layers"][0]["shape"] = moved["layers"][1]["shape"]
        again = self.measured(self.change(measured, marks=moved)).json
        self.assertEqual(len(there()), 3)  # read again, the same photo counts once
        self.assertNotEqual(there(), before)
        self.undo(again)
        self.assertEqual(there(), before)
        self.assertEqual(self.kept(), once)

    def test_a_step_back_takes_readings_out_of_the_book(self):
        pattern = self.pattern()
        first = self.laid(pattern)
        empty = self.kept()
        measured = self.measured(first).json
        once = self.kept()
        self.assertEqual(len(once["readings"]), len(empty["readings"]) + 3)
        self.assertGreater(len(once["strengths"]), len(empty["strengths"]))  # the brown learned from it
        more = self.pour(measured, "back", {"brown": 1})
        other = self.bench.upload(SAMPLES / "crawfish-2.jpg").json["id"]
        more = self.change(more, photo=other, marks=marks_of("crawfish-2"))
        again = self.measured(more).json
        self.assertEqual(len(self.kept()["additions"]), len(once["additions"]) + 1)

        back = self.undo(again)
        self.assertEqual(self.kept()["readings"], once["readings"])
        self.same_work(back, more)
        for _ in range(2):  # the photo, the pour
            back = self.undo(back)
        self.assertEqual(self.kept(), once)
        back = self.undo(back)
        self.assertEqual(self.kept(), empty)
        self.same_work(back, first)
        self.assertEqual(self.measured(back).status, 200)  # and the same can be done anew

    def test_a_step_back_opens_a_batch_again(self):
        pattern = self.pattern()
        before = self.measured(self.laid(pattern)).json
        kept = self.kept()
        done = self.bench.post(f"/api/work/{before['id']}/finish", {"seen": before["seen"], "good": True, "note": "fine"}).json
        self.assertNotEqual(self.kept(), kept)
        back = self.undo(done)
        self.same_work(back, before)
        self.assertEqual(self.kept(), kept)
        self.same_work(self.step("redo", back), done)

    def test_a_step_of_another_door_is_named_before_it_is_taken_back(self):
        pattern = self.pattern()
        work = self.measured(self.laid(pattern)).json
        kept = self.kept()
        name = self.bench.get(f"/api/batches/{work['batch']}").json["name"]
        self.bench.command("pour", pattern["name"], "--batch", name, "--layer", "back", "--measured", "40,10,20")
        self.assert_refused(self.bench.post("/api/undo", {"entry": work["undo"]["entry"], "work": work["id"]}), 422)
        now = self.bench.get(f"/api/work/{work['id']}").json
        self.assertNotEqual(now["undo"], work["undo"])
        self.undo(now)
        self.assertEqual(self.kept(), kept)

    def test_what_was_written_down_wrong(self):
        photo = self.bench.post("/api/samples/crawfish-1").json["id"]
        work = self.pour(self.work(), "back", {"brown": 10})
        work = self.change(work, photo=photo, marks=marks_of("crawfish-1"))
        work = self.measured(work).json
        same = self.correct(work, "back", drops={"brown": 10}, volume_floz=4)
        self.assertEqual(same["undo"], work["undo"])  # changing nothing is no entry
        work = self.correct(work, "back", drops={"brown": 7}, volume_floz=3.5)  # nothing comes out of a cup
        self.assertRegex(work["undo"]["words"], "was 4, is 3.5, brown in the .*: was 10, is 7$")
        work = self.measured(work).json
        kept = self.bench.get(f"/api/batches/{work['batch']}").json
        back = kept["cups"][0]
        self.assertEqual((back["drops"], back["volume_floz"], len(back["log"])), ({"brown": 7}, 3.5, 1))
        self.assertEqual(len(kept["readings"]), 3)  # the same photo of the same cup, not twice
        work = self.correct(work, "back", drops={"orange": 2, "brown": 0})
        self.assertEqual(work["cups"][0]["drops"].get("orange"), 2)
        self.assertEqual(work["cups"][0]["drops"].get("brown", 0), 0)
        self.assertEqual(self.step("undo", work)["cups"][0]["drops"], {"brown": 7})

    def finish(self, work):
        answer = self.bench.post(f"/api/work/{work['id']}/finish", {"seen": work["seen"]})
        self.assertEqual(answer.status, 200, answer.bytes)
        return answer.json

    def test_a_mark_moved_and_measured_again(self):
        work = self.laid(self.pattern())
        right, wrong = work["marks"], json.loads(json.dumps(work["marks"]))
        shapes = [layer["shape"] for layer in right["layers"]]
        for layer, shape in zip(wrong["layers"], shapes[::-1]):
            layer["shape"] = shape
        work = self.measured(self.change(work, marks=wrong)).json
        work = self.measured(self.change(work, marks=right)).json
        kept = self.bench.get(f"/api/batches/{work['batch']}").json
        self.assertEqual([r["lab"] for r in kept["readings"]], [c["read"][0]["lab"] for c in work["cups"]])

    def test_a_cup_found_to_be_larger(self):
        work = self.measured(self.laid(self.pattern())).json
        work = self.pour(self.correct(work, "back", capacity_floz=10), "back", {}, clear=3)
        work = self.measured(work).json
        back = self.bench.get(f"/api/batches/{work['batch']}").json["cups"][0]
        self.assertEqual((back["volume_floz"], back["capacity_floz"]), (7, 10))
        self.finish(work)

    def test_a_bottle_taken_off_the_shelf_while_a_cup_holds_it(self):
        bench = Bench()
        try:
            self.bench, shared = bench, self.bench
            work = self.measured(self.pour(self.laid(self.pattern()), "belly", {"orange": 2})).json
            learned = self.kept()["strengths"]
            for bottle in ("brown", "orange"):
                self.assertEqual(bench.ask("DELETE", f"/api/shelf/{bottle}", {}).status, 200)
            work = self.correct(work, "back", drops=work["cups"][0]["drops"])
            drops = work["cups"][0]["drops"] | {"purple-no-one-has": 1}
            self.assertIn("purple-no-one-has", self.assert_refused(self.into_cup("cup", work, "back", drops=drops), 400))
            self.assert_refused(self.into_cup("pour", work, "back", add={"brown": 1}), 400)  # it is not at hand
            work = self.pour(work, "back", {"white": 1})
            self.assertEqual(work["cups"][0]["drops"], {"brown": 10, "white": 1})
            page = bench.get(f"/sheet/{work['id']}").bytes.decode()
            self.assertIn("Brown", page)
            self.assertIn("Orange", page)
            work = self.measured(work).json
            self.assertNotEqual(self.kept()["strengths"], learned)  # a cup predicted as it was goes on teaching
            done = self.finish(work)
            kept = bench.get(f"/api/batches/{done['finished_batch']}").json
            self.assertEqual([c["drops"] for c in kept["cups"]], [{"brown": 10, "white": 1}, {}, {"orange": 2}])
        finally:
            self.bench = shared
            bench.close()

    def test_what_looks_wrong_is_asked_about_before_it_is_kept(self):
        work = self.laid(self.pattern())
        photo = f"/api/photos/{work['photo']}"
        self.assertEqual(self.bench.post(photo + "/find", {"layers": 3}).status, 200)
        board = {**work["marks"], "layers": [{"name": "belly", "shape": "rect:1200,60,80x60"}]}
        asked = self.measured(self.change(work, marks=board), ask=True)
        self.assert_refused(asked, 422)
        self.assertEqual([d["layer"] for d in asked.json["doubts"]], ["belly"])
        work = self.bench.get(f"/api/work/{work['id']}").json
        self.assertEqual([c["read"] for c in work["cups"]], [[], [], []])
        # The bait's own layers of cups that hold nothing are no question; blue drops for an orange layer are.
        work = self.change(work, marks=marks_of("crawfish-1"))
        work = self.pour(work, "middle", {"blue": 12})
        asked = self.measured(work, ask=True)
        self.assert_refused(asked, 422)
        self.assertEqual([d["layer"] for d in asked.json["doubts"]], ["middle"])
        work = self.bench.get(f"/api/work/{work['id']}").json
        self.assertEqual([c["read"] for c in work["cups"]], [[], [], []])
        work = self.measured(work).json
        self.assertEqual([len(c["read"]) for c in work["cups"]], [1, 1, 1])

    def test_several_baits_of_one_photo(self):
        work = self.laid(self.pattern())
        layers = work["marks"]["layers"]
        moved = [{"name": l["name"], "shape": l["shape"]} for l in layers]
        work = self.measured(work, baits=[layers, moved]).json
        batch = self.bench.get(f"/api/batches/{work['batch']}").json
        self.assertEqual(sorted(r["bait"] for r in batch["readings"]), [1, 1, 1, 2, 2, 2])
        self.assertEqual(self.measured(work, bait=0).status, 400)
        for wrong in ([], "x", [[]], [[{"name": "back"}]]):
            self.assertIn(self.measured(work, baits=wrong).status, (400, 422), wrong)

    def test_marks_of_other_names(self):
        photo = self.bench.post("/api/samples/crawfish-1").json["id"]
        work = self.change(self.work(self.pattern(["top", "bottom"])), photo=photo, marks=marks_of("crawfish-1"))
        self.assertIn('has no layer "back"; its layers are top, bottom', self.assert_refused(self.measured(work), 422))
        work = self.change(self.work(self.pattern(["back", "belly"])), photo=photo, marks=marks_of("crawfish-1"))
        self.assertIn('has no layer "middle"', self.assert_refused(self.measured(work), 422))

    def test_drift(self):
        pattern = self.pattern()
        for layer, lab in (("back", [32, 5, 9]), ("middle", [46, 23, 26]), ("belly", [67, 7, 20])):
            self.bench.post(f"/api/patterns/{pattern['id']}/targets", {"layer": layer, "lab": lab})
        empty = self.bench.get(f"/api/patterns/{pattern['id']}/drift")
        self.assertEqual(empty.status, 200, empty.bytes)
        photo = self.bench.post("/api/samples/crawfish-1").json["id"]
        for _ in range(2):
            work = self.pour(self.work(pattern), "back", {"brown": 10})
            work = self.change(work, photo=photo, marks=marks_of("crawfish-1"))
            self.assertEqual(self.measured(work).status, 200)
        drift = self.bench.get(f"/api/patterns/{pattern['id']}/drift").json
        back = drift["layers"][0]
        self.assertEqual(len(back["batches"]), 2)
        self.assertTrue(all(b["photo"] == photo and b["batch"] for b in back["batches"]))
        self.assertTrue(back["svg"].startswith("<svg"))
        line = json.loads(self.bench.command("drift", pattern["name"], "--json"))
        self.assertEqual([b["de00_target"] for b in back["batches"]],
                         [b["de00_target"] for b in line["layers"][0]["batches"]])
        self.assert_refused(self.bench.get("/api/patterns/99999/drift"), 404)

    def test_photos_that_the_command_line_read(self):
        pattern = self.pattern()
        here = self.bench.book.parent / "elsewhere.jpg"
        shutil.copy(SAMPLES / "crawfish-3.jpg", here)
        self.bench.command("target", "set", pattern["name"], "back", "--photo", here, "--marks", SAMPLES / "crawfish-3.marks.json")
        photo = self.bench.get(f"/api/patterns/{pattern['id']}/targets?layer=back").json["targets"][0]["photo"]
        self.assertEqual(self.bench.get(f"/api/photos/{photo}/preview").status, 404)
        kept = here.read_bytes()
        here.write_bytes(kept + b"x")
        self.assertIn("no longer", self.bench.get(f"/api/photos/{photo}").json["error"])
        here.write_bytes(kept)
        answer = self.bench.get(f"/api/photos/{photo}")
        self.assertEqual((answer.status, answer.json["id"]), (200, photo))
        self.assertEqual(self.bench.get(f"/api/photos/{photo}/preview").status, 200)
        self.assertEqual(self.bench.get("/api/photos/" + "0" * 64).status, 404)

    def test_nothing_is_lost_when_the_bench_ends(self):
        work = self.pour(self.work(), "belly", {"white": 2})
        self.bench.stop()
        self.bench.start()
        self.assertEqual(self.bench.get(f"/api/work/{work['id']}").json, work)


class Shelf(Book):
    def test_bottles(self):
        got = self.bench.ask("PATCH", "/api/shelf/orange", {"drop_ml": 0.045}).json  # of the starter shelf
        self.assertIn(("orange", 0.045), [(b["id"], b["drop_ml"]) for b in got["bottles"]])
        got = self.bench.post("/api/shelf/orange/lot", {"name": "spring"}).json
        self.assertIn(("orange", "spring"), [(b["id"], b["lot"]) for b in got["bottles"]])
        answer = self.bench.post("/api/shelf", {"id": "rust", "title": "Rust", "role": "color", "drop_ml": 0.04})
        self.assertEqual(answer.status, 201)
        rust = [b for b in answer.json["bottles"] if b["id"] == "rust"][0]
        self.assertEqual((rust["title"], rust["drop_ml"], rust["known"], rust["swatches"]), ("Rust", 0.04, False, []))
        got = self.bench.ask("PATCH", "/api/shelf/rust", {"title": "Old rust", "drop_ml": 0.06}).json
        self.assertIn(("Old rust", 0.06), [(b["title"], b["drop_ml"]) for b in got["bottles"]])
        bounds = got["drop_ml"]
        for ml in (bounds["min"], bounds["max"]):
            self.assertEqual(self.bench.ask("PATCH", "/api/shelf/rust", {"drop_ml": ml}).status, 200)
        self.assertEqual([b["id"] for b in got["bottles"]], ["rust"])  # the starter shelf goes with the first own bottle
        got = self.bench.ask("PATCH", "/api/shelf/rust", {"like": "brown"}).json
        self.assertEqual([(b["id"], b["known"], b["invented"], len(b["swatches"])) for b in got["bottles"]], [("rust", True, True, 3)])
        self.assert_refused(self.bench.post("/api/shelf", {"id": "rust"}), 422)
        got = self.bench.ask("DELETE", "/api/shelf/rust", {}).json
        self.assertNotIn("rust", [b["id"] for b in got["bottles"]])
        for part in ({"id": "Rust!"}, {"id": "x", "drop_ml": 0}, {"id": "x", "drop_ml": bounds["max"] * 1.01},
                     {"id": "x", "drop_ml": bounds["min"] * 0.99}, {"id": "x", "role": "shiny"}, {}):
            self.assert_refused(self.bench.post("/api/shelf", part), 400, 422)
        self.assert_refused(self.bench.post("/api/shelf", {"id": "x", "like": "plaid"}), 404)
        self.assert_refused(self.bench.ask("PATCH", "/api/shelf/nothing", {"title": "x"}), 404)

    def corrects_and_removes(self, bench):
        """A chip of the list, each change one entry that undo takes back."""
        before = bench.get("/api/chips").json["chips"]
        said = json.loads(bench.command("bottle", "chips", "list", "--json"))
        self.assertEqual(before, said["chips"])
        one = next(c for c in before if c["recipe"])
        where = f"/api/chips/{one['id']}"

        def undo(words):
            last = json.loads(bench.command("history", "--most", 1, "--json"))["entries"][0]
            self.assertIn(words, last["words"])
            self.assertEqual(last["door"], "page")
            self.assertEqual(bench.post("/api/undo", {"entry": last["id"]}).status, 200)
            self.assertEqual(bench.get("/api/chips").json["chips"], before)

        same = bench.ask("PATCH", where, {key: one[key] for key in ("recipe", "thickness_mm", "over", "lab")})
        self.assertEqual((same.status, same.json["chips"]), (200, before))
        changed = bench.ask("PATCH", where, {"thickness_mm": 2.5, "over": 0.3, "lab": [50, 1, 2]}).json["chips"]
        now = next(c for c in changed if c["id"] == one["id"])
        self.assertEqual((now["recipe"], now["thickness_mm"], now["over"], now["lab"]), (one["recipe"], 2.5, 0.3, [50, 1, 2]))
        undo(f"chip {one['id']}: was {one['words']}")
        self.assertEqual(len(bench.ask("DELETE", where, {}).json["chips"]), len(before) - 1)
        undo("removed")
        self.assert_refused(bench.ask("PATCH", where, {"recipe": "teel=1"}), 400)
        self.assert_refused(bench.ask("PATCH", where, {"lab": "dark"}), 400)
        self.assert_refused(bench.ask("PATCH", "/api/chips/9999", {"over": "white"}), 404)
        self.assert_refused(bench.ask("DELETE", "/api/chips/9999", {}), 404)
        self.assertEqual(bench.get("/api/chips").json["chips"], before)

    def test_chips_and_fit(self):
        bench = Bench()
        try:
            self.assert_refused(bench.post("/api/fit"), 422)
            body = bench.sample_chips()
            chips = body["chips"]
            answer = bench.post("/api/chips", body)
            self.assertEqual(answer.status, 201, answer.bytes)
            self.assertEqual(len(answer.json["chips"]), len(chips))
            fitted = bench.post("/api/fit")
            self.assertEqual(fitted.status, 200, fitted.bytes)
            self.assertLess(fitted.json["report"]["mean_de00"], 2)
            self.assertFalse(fitted.json["shelf"]["invented"])
            self.assertTrue(any(b["known"] and b["chips"] and not b["invented"] for b in fitted.json["shelf"]["bottles"]))
            self.corrects_and_removes(bench)
            wrong = chips[0] | {"recipe": "orange=two"}
            for part in ({"chips": []}, {"chips": [wrong]}, {"chips": [chips[0] | {"shape": 5}]}, {"photo": "x"},
                         {"chips": [chips[0] | {"recipe": 'a"\n1,2'}]}):
                self.assert_refused(bench.post("/api/chips", body | part), 400, 422)
        finally:
            bench.close()


class Sheets(Book):
    def test_sheet_of_a_work(self):
        pattern = self.pattern(["back <b>", "belly"])
        self.bench.post(f"/api/patterns/{pattern['id']}/targets", {"layer": "belly", "lab": [67, 7, 20]})
        work = self.pour(self.work(pattern), "belly", {"white": 3, "brown": 1})
        answer = self.bench.get(f"/sheet/{work['id']}")
        self.assertEqual(answer.headers["content-type"], "text/html; charset=utf-8")
        page = answer.bytes.decode()
        for part in ("back &lt;b&gt;", "belly", "White (invented)", "4.00 fl oz", "Order in the bait", "Hot plastisol", "/sheet/style.css"):
            self.assertIn(part, page)
        for part in ("<script", "style=", "<b>"):
            self.assertNotIn(part, page)
        style = self.bench.get("/sheet/style.css")
        self.assertEqual(style.headers["content-type"], "text/css; charset=utf-8")
        self.assertIn("@media print", style.bytes.decode())
        self.assert_refused(self.bench.get("/sheet/99999"), 404)

        out = self.bench.book.parent / "sheet.html"
        for words in ([pattern["name"]], ["--work", work["id"]]):
            self.bench.command("sheet", *words, "--html", out, "--metric")
            self.assertIn("118 ml", out.read_text())
        empty = self.pattern()
        self.assertEqual(self.bench.command("sheet", empty["name"], "--html", out, code=2).count("\n"), 1)


if __name__ == "__main__":
    main()
