"""What every address answers, held to docs/bench-api.md and to the command line."""
import json
import os
import signal
import socket
import subprocess
import time

from bench import PROGRAM, SAMPLES, Bench, BenchTest, main


def command_line(*words):
    """Without a book: whatever lies in the home folder of who runs the tests is left alone."""
    done = subprocess.run([PROGRAM, *map(str, words), "--json"], capture_output=True, text=True, check=True,
                          env={**os.environ, "XDG_DATA_HOME": "/nonexistent"})
    return json.loads(done.stdout)


class State(BenchTest):
    def test_state_of_an_empty_book(self):
        state = self.bench.get("/api/state").json
        self.assertEqual(state["units"], "us")
        self.assertTrue(state["paired"])
        self.assertEqual(state["patterns"], [])
        self.assertIsNone(state["work"])
        self.assertTrue(state["shelf"]["invented"])
        self.assertGreaterEqual(len(state["cautions"]), 4)
        self.assertTrue(any(p["id"] == "nearest" and p["usable"] for p in state["plugins"]))
        for bottle in state["shelf"]["bottles"]:
            self.assertEqual([s["loading"] for s in bottle["swatches"]], [0.5, 2, 8])
            self.assertEqual(bottle["strength"], 1)

    def test_answers_are_not_kept_and_sealed(self):
        headers = self.bench.get("/api/state").headers
        self.assertEqual(headers["cache-control"], "no-store")
        self.assertEqual(headers["x-content-type-options"], "nosniff")
        self.assertEqual(headers["referrer-policy"], "no-referrer")
        policy = headers["content-security-policy"]
        for part in ("default-src 'none'", "script-src 'self'", "frame-ancestors 'none'", "base-uri 'none'"):
            self.assertIn(part, policy)
        self.assertNotIn("unsafe", policy)

    def test_head(self):
        answer = self.bench.ask("HEAD", "/api/state")
        self.assertEqual((answer.status, answer.bytes), (200, b""))


class Photos(BenchTest):
    def setUp(self):
        self.photo = self.bench.post("/api/samples/crawfish-1").json
        self.card = {"card": self.photo["marks"]["card"]}
        self.address = "/api/photos/" + self.photo["id"]

    def test_sample_and_upload_are_the_same_photo(self):
        answer = self.bench.upload(SAMPLES / "crawfish-1.jpg")
        self.assertEqual(answer.status, 201)
        self.assertEqual(answer.json["id"], self.photo["id"])
        kept = sorted(p.name for p in self.bench.photos.iterdir() if p.suffix == ".jpg")
        self.assertIn(self.photo["id"] + ".jpg", kept)
        self.assertEqual([p for p in self.bench.photos.iterdir() if "incoming" in p.name], [])

    def test_layers_read_as_the_command_line_reads_them(self):
        read = command_line("read", SAMPLES / "crawfish-1.jpg", "--marks", SAMPLES / "crawfish-1.marks.json")
        for layer in read["layers"]:
            got = self.bench.post(self.address + "/measure", {"marks": self.card, "shape": layer["shape"]}).json
            for ours, theirs in zip(got["lab"], layer["lab"]):
                self.assertAlmostEqual(ours, theirs, delta=0.02)
            self.assertAlmostEqual(got["uncertainty_de00"], layer["uncertainty_de00"], delta=0.02)
            self.assertEqual(got["pixels"], layer["pixels"])
        light = self.bench.post(self.address + "/light", self.card).json["light"]
        self.assertEqual(light["method"], read["light"]["method"])
        self.assertAlmostEqual(light["residual_de00"]["mean"], read["light"]["residual_de00"]["mean"], delta=0.02)

    def test_classes_cover_the_region(self):
        got = self.bench.post(self.address + "/measure",
                              {"marks": self.card, "shape": "ellipse:560,257,60x10", "classes": True}).json
        runs = got["classes"]["runs"]
        counts = [0] * 6
        for kind, length in zip(runs[::2], runs[1::2]):
            counts[kind] += length
        self.assertEqual(sum(counts), got["classes"]["w"] * got["classes"]["h"])
        self.assertEqual(sum(counts[1:]), got["pixels"])
        self.assertAlmostEqual(counts[1] / got["pixels"], got["shares"]["kept"], delta=0.001)

    def test_a_quick_look_is_near_and_says_how_coarse_it_is(self):
        for shape in ("rect:300,200,600x300", "ellipse:560,300,400x180", "poly:300,200;900,220;850,480;320,470"):
            ask = {"marks": self.card, "shape": shape, "classes": True}
            whole = self.bench.post(self.address + "/measure", ask).json
            quick = self.bench.post(self.address + "/measure", ask | {"quick": True}).json
            step = quick["classes"]["step"]
            self.assertGreater(step, whole["classes"]["step"])
            self.assertLess(quick["pixels"], 61000)
            self.assertAlmostEqual(quick["pixels"] * step ** 2 / whole["pixels"], 1, delta=0.05)
            away = sum((a - b) ** 2 for a, b in zip(quick["lab"], whole["lab"])) ** 0.5
            self.assertLess(away, 1)

    def test_light_without_card_and_by_gray(self):
        none = self.bench.post(self.address + "/light", {}).json
        self.assertEqual((none["light"]["method"], none["grid"]), ("none", []))
        self.assertTrue(none["light"]["warnings"])

    def test_wrong_corners_are_refused_with_the_grid(self):
        answer = self.bench.post(self.address + "/light",
                                 {"card": {"set": "grid24", "corners": [10, 10, 90, 10, 90, 60, 10, 60]}})
        self.assert_refused(answer, 422)
        self.assertEqual(len(answer.json["grid"]), 24)

    def test_found_as_the_command_line_finds_it(self):
        found = command_line("find", SAMPLES / "crawfish-1.jpg", "--layers", 3)
        got = self.bench.post(self.address + "/find", {"layers": 3}).json
        self.assertEqual(got["card"], found["card"])
        self.assertEqual(got["baits"], found["baits"])
        # By the card marked by hand: nothing is searched, the same is read.
        marked = self.bench.post(self.address + "/find", {"layers": 3, "marks": self.card}).json
        self.assertEqual(marked["light"]["method"], got["light"]["method"])
        back = self.bench.post(self.address + "/find", {"layers": 3, "back": "lower"}).json["baits"][0]["layers"]
        self.assertAlmostEqual(back[0]["lab"][0], got["baits"][0]["layers"][2]["lab"][0], delta=1)
        for wrong in ({"layers": 9}, {"layers": "x"}, {"pattern": 1.5}, {"back": "left"}, {"targets": [[1, 2]]}, {"targets": 1},
                      {"layers": 2, "targets": [[50, 0, 0]] * 3}, {"marks": {"card": {"set": "no such"}}}):
            self.assert_refused(self.bench.post(self.address + "/find", wrong), 400)

    def test_sizes_in_mm_by_the_card_s_width(self):
        self.assertNotIn("length_mm", self.bench.post(self.address + "/find", {"layers": 3}).json["baits"][0])
        self.assertEqual(self.bench.ask("PATCH", "/api/settings", {"card-width": "52"}).status, 200)
        got, = self.bench.post(self.address + "/find", {"layers": 3}).json["baits"]
        found, = command_line("find", SAMPLES / "crawfish-1.jpg", "--layers", 3, "--card-width", 52)["baits"]
        self.assertAlmostEqual(got["length_mm"], found["length_mm"], delta=0.2)
        self.assertEqual([blend["width_mm"] > 0 for blend in got["blends"]], [True, True])
        self.bench.ask("PATCH", "/api/settings", {"card-width": None})

    def test_a_swirl_is_found_in_the_light_that_is_marked(self):
        self.bench.post("/api/patterns", {"name": "mud", "layers": ["one", "two"], "swirl": True})
        swirl = self.bench.post(self.address + "/swirl", {"pattern": "mud", "marks": self.card}).json
        self.assertEqual((swirl["light"]["method"], len(swirl["baits"])), ("grid24", 1))
        wrong = {"card": {"corners": [10, 10, 90, 10, 90, 60, 10, 60]}}
        self.assert_refused(self.bench.post(self.address + "/swirl", {"pattern": "mud", "marks": wrong}), 422)

    def test_found_by_a_pattern(self):
        self.bench.post("/api/patterns", {"name": "upside", "note": "", "layers": ["pale", "orange", "dark <1>"]})
        pattern = next(p for p in self.bench.get("/api/state").json["patterns"] if p["name"] == "upside")
        address = f"/api/patterns/{pattern['id']}"

        def found(**more):
            return self.bench.post(self.address + "/find", {"pattern": pattern["id"], **more})
        open_back = found().json["baits"][0]
        self.assertFalse(open_back["back_known"])
        self.assertIn("how the bait lies", " ".join(open_back["warnings"]))
        self.assertEqual(self.bench.post(address + "/targets", {"layer": "dark <1>", "lab": [32, 5, 9]}).status, 200)
        bait = found().json["baits"][0]
        self.assertEqual([layer["name"] for layer in bait["layers"]], ["pale", "orange", "dark <1>"])
        self.assertEqual((bait["back_known"], bait["warnings"]), (True, []))
        self.assertEqual(bait["layers"][2]["lab"], open_back["layers"][0]["lab"])
        for wrong in ({"layers": 2}, {"targets": [[50, 0, 0]] * 3}):
            self.assert_refused(found(**wrong), 400)
        self.assertEqual(self.bench.ask("DELETE", address).status, 204)

    def test_a_card_pointed_at_roughly_is_laid_on_its_patches(self):
        true = self.card["card"]["corners"]
        side = max(abs(true[2] - true[0]), abs(true[3] - true[1]))
        rough = [v + side * d for v, d in zip(true, (.03, -.03, -.02, .03, .03, .02, -.03, .02))]
        for corners in (rough, rough[:6], rough[4:] + rough[:4], rough[2:] + rough[:2]):
            got = self.bench.post(self.address + "/card", {"corners": corners}).json
            self.assertTrue(got["settled"])
            for ours, theirs in zip(got["corners"], true):
                self.assertAlmostEqual(ours, theirs, delta=0.005 * side)
        away = self.bench.post(self.address + "/card", {"corners": [20, 20, 120, 20, 120, 80]}).json
        self.assertEqual(away, {"corners": [20, 20, 120, 20, 120, 80, 20, 80], "settled": False})
        for wrong in ({}, {"corners": [1]}, {"corners": ["x"] * 8}, {"corners": true, "set": "/etc/passwd"}):
            self.assert_refused(self.bench.post(self.address + "/card", wrong), 400)

    def test_a_mark_on_the_board_is_noticed_once_the_photo_was_searched(self):
        belly = self.bench.post(self.address + "/find", {"layers": 3}).json["baits"][0]["layers"][2]["shape"]
        for shape, hit in (("rect:1200,60,80x60", True), ("rect:30,850,60x60", True), (belly, False)):
            got = self.bench.post(self.address + "/measure", {"marks": self.card, "shape": shape}).json
            self.assertEqual(got["on_board"], hit, shape)

    def test_pictures(self):
        preview = self.bench.get(self.address + "/preview?side=400")
        self.assertEqual(preview.headers["content-type"], "image/jpeg")
        self.assertTrue(preview.bytes.startswith(b"\xff\xd8\xff"))
        again = self.bench.get(self.address + "/preview?side=400")
        self.assertEqual(again.bytes, preview.bytes)
        crop = self.bench.get(self.address + "/crop?x=480&y=240&w=160&h=40&side=160")
        self.assertTrue(crop.bytes.startswith(b"\xff\xd8\xff"))
        self.assert_refused(self.bench.get(self.address + "/crop?x=9000&y=0&w=10&h=10"), 422)
        self.assert_refused(self.bench.get(self.address + "/preview?side=many"), 400)

    def test_requests_that_make_no_sense(self):
        measure = self.address + "/measure"
        self.assert_refused(self.bench.post(measure, {"marks": self.card}), 400)
        self.assert_refused(self.bench.post(measure, {"marks": self.card, "shape": "circle:1"}), 400)
        self.assert_refused(self.bench.post(measure, {"marks": self.card, "shape": "rect:9000,9000,20x20"}), 422)
        self.assert_refused(self.bench.post(measure, {"marks": self.card, "shape": "rect:500,250,3x3"}), 422)
        named = {"card": {"set": "/etc/passwd", "corners": [0] * 8}}
        self.assertNotIn("root", self.assert_refused(self.bench.post(self.address + "/light", named), 400))
        self.assert_refused(self.bench.post("/api/photos/" + "0" * 64 + "/light", {}), 404)
        self.assert_refused(self.bench.post("/api/samples/unknown"), 404)

    def test_photos_outlive_the_bench(self):
        self.bench.stop()
        self.assertEqual([p for p in self.bench.photos.iterdir() if p.suffix == ".spool"], [])
        self.bench.start()
        self.assertEqual(self.bench.post(self.address + "/light", self.card).status, 200)


class Ends(BenchTest):
    def test_leftovers_of_a_crash_go_and_a_second_bench_is_no_harm(self):
        photo = self.bench.post("/api/samples/crawfish-1").json["id"]
        spool = self.bench.photos / f"{photo}.spool"
        self.assertTrue(spool.exists())
        second = Bench(book=self.bench.book)
        try:
            self.assertTrue(spool.exists(), "the first bench's spool was taken away")
            self.assertEqual(second.post(f"/api/photos/{photo}/light", {}).status, 200)
        finally:
            second.close()
        self.assertEqual(self.bench.post(f"/api/photos/{photo}/light", {}).status, 200)
        self.bench.process.kill()
        self.bench.process.wait()
        for name in ("incoming-abcdef", "spool-abcdef"):
            (self.bench.photos / name).write_bytes(b"x")
        self.bench.process.stdout.close()
        self.bench.process.stderr.close()
        self.bench.start()
        self.assertEqual(sorted(p.suffix or p.name for p in self.bench.photos.iterdir()), [".jpg", "lock"])

    def test_control_c(self):
        bench = Bench()
        bench.process.send_signal(signal.SIGINT)
        self.assertEqual(bench.process.wait(20), 0)
        bench.process.stdout.close()
        bench.process.stderr.close()
        bench.folder.cleanup()

    def test_ends_at_once_though_somebody_waits_for_news(self):
        bench = Bench()
        pattern = bench.post("/api/patterns", {"name": "p", "layers": ["a"]}).json["id"]
        work = bench.post("/api/work", {"pattern": pattern}).json
        waiting = socket.create_connection(("127.0.0.1", bench.port), timeout=10)
        waiting.sendall(f"GET /api/work/{work['id']}?after=1 HTTP/1.1\r\nHost: 127.0.0.1:{bench.port}\r\n\r\n".encode())
        time.sleep(0.5)
        began = time.monotonic()
        bench.stop()
        self.assertLess(time.monotonic() - began, 5)
        waiting.close()
        bench.folder.cleanup()


class Mixing(BenchTest):
    CUP = {"name": "back", "target": [35, 20, 22], "measured": [42, 26, 34], "volume_floz": 4,
           "capacity_floz": 5, "drops": {"orange": 12, "brown": 2}}

    def test_advice_is_the_command_lines(self):
        got = self.bench.post("/api/advise", {"layers": [self.CUP]}).json["layers"][0]
        line = command_line("advise", "--target", "35,20,22", "--measured", "42,26,34", "--cup",
                            "orange=12;brown=2", "--volume", "4", "--capacity", "5", "--plugins",
                            PROGRAM.parent / "plugins")["layers"][0]
        self.assertEqual([(a["plugin"], a["add"], a["predicted"]) for a in got["advice"]],
                         [(a["plugin"], a["add"], a["predicted"]) for a in line["advice"]])
        self.assertTrue(got["advice"] and got["now_words"])
        self.assertEqual(got["advice"][0]["see_through"], got["advice"][0]["predicted_see_through"])

    def test_prediction_is_the_command_lines(self):
        got = self.bench.post("/api/predict", {"drops": {"orange": 24, "brown": 8}, "volume_floz": 4,
                                               "slab": {"thickness_mm": 6, "over": "white"}}).json
        line = command_line("predict", "--recipe", "orange=6;brown=2", "--thickness", "6", "--over", "white")
        self.assertEqual(got["lab"], line["lab"])
        self.assertEqual(got["see_through"], line["see_through"])

    def test_a_plugins_numbers(self):
        def apart(answer):
            return next(p for p in answer.json["plugins"] if p["id"] == "apart")["parameters"][0]

        def warned(**more):
            cups = [self.CUP | {"name": name, "measured": None, "drops": {"orange": n}} for name, n in (("back", 10), ("belly", 9))]
            layers = self.bench.post("/api/advise", {"layers": cups, **more}).json["layers"]
            return " ".join(w for layer in layers for a in layer["advice"] for w in a["warnings"])

        self.assertEqual({k: v for k, v in apart(self.bench.get("/api/state")).items() if k != "words"},
                         {"name": "least", "least": 2, "most": 30, "usual": 8, "value": 8})
        self.assertIn("below 8 they run into one color", warned())
        change = lambda values: self.bench.ask("PATCH", "/api/plugins/apart", {"values": values})
        self.assertEqual(apart(change({"least": 11}))["value"], 11)
        self.assertEqual(apart(self.bench.get("/api/state"))["value"], 11)
        self.assertIn("below 11 they run into one color", warned())
        for wrong in ({"least": 1}, {"least": "8"}, {"most": 3}, {"least": 9, "most": 3}, [], None):
            self.assert_refused(change(wrong), 400)
        self.assert_refused(self.bench.ask("PATCH", "/api/plugins/nearest", {"values": {"least": 3}}), 400)
        self.assertEqual(apart(self.bench.get("/api/state"))["value"], 11)
        self.assertEqual(apart(change({"least": None}))["value"], 8)

    def test_swirl_of_a_pattern(self):
        made = self.bench.post("/api/patterns", {"name": "mud", "layers": ["one", "two"], "swirl": True})
        self.assertEqual((made.status, made.json["swirl"]), (201, True))
        at = f"/api/patterns/{made.json['id']}"
        for wrong, status in (("yes", 400), (1, 400), ([], 400), ([50, "x"], 400), ([50], 422), ([60, 60], 422), ([30, 30, 40], 422)):
            self.assert_refused(self.bench.ask("PATCH", at, {"swirl": wrong}), status)
        shares = self.bench.ask("PATCH", at, {"swirl": [60, 40]}).json
        self.assertEqual([layer["share"] for layer in shares["layers"]], [0.6, 0.4])
        plain = self.bench.ask("PATCH", at, {"swirl": False}).json
        self.assertEqual((plain["swirl"], [layer["share"] for layer in plain["layers"]]), (False, [None, None]))
        alone = self.bench.post("/api/patterns", {"name": "alone", "layers": ["one"]}).json
        self.assertFalse(alone["swirl"])
        self.assert_refused(self.bench.ask("PATCH", f"/api/patterns/{alone['id']}", {"swirl": True}), 422)
        nowhere = "0" * 64
        self.assert_refused(self.bench.post(f"/api/photos/{nowhere}/swirl", {"pattern": alone["id"]}), 400)
        for body, status in (({"pattern": alone["id"], "photos": []}, 400), ({"pattern": alone["id"], "photos": ["../../x"]}, 400),
                             ({"pattern": alone["id"], "photos": [nowhere] * 4}, 400), ({"pattern": alone["id"], "photos": [nowhere]}, 404),
                             ({"pattern": alone["id"], "photos": [nowhere], "keep": {"batch": 0}}, 400)):
            self.assert_refused(self.bench.post("/api/turn", body), status)

    def test_clean_blends(self):
        pattern = self.bench.post("/api/patterns", {"name": "bluegill", "layers": ["back", "belly"]}).json
        self.assertFalse(pattern["clean_blends"])
        at = f"/api/patterns/{pattern['id']}"
        for wrong in ("yes", 1, []):
            self.assert_refused(self.bench.ask("PATCH", at, {"clean_blends": wrong}), 400)
        self.assertTrue(self.bench.ask("PATCH", at, {"clean_blends": True}).json["clean_blends"])
        cups = [self.CUP | {"name": name, "measured": None, "drops": drops}
                for name, drops in (("back", {"blue": 12}), ("belly", {"orange": 16}))]
        got = self.bench.post("/api/advise", {"layers": cups, "pattern": "bluegill"}).json["layers"]
        self.assertTrue(any("turn muddy" in w for layer in got for a in layer["advice"] for w in a["warnings"]))
        self.assertFalse(self.bench.ask("PATCH", at, {"clean_blends": False}).json["clean_blends"])

    def test_requests_that_make_no_sense(self):
        for change in ({"target": [1, 2]}, {"target": ["a", 1, 2]}, {"target": [500, 0, 0]}, {"name": ""},
                       {"drops": {"nothing": 1}}, {"drops": {"orange": -1}}, {"drops": {"orange": "x"}},
                       {"volume_floz": 0}, {"volume_floz": 1e9}, {"see_through": 2}):
            self.assert_refused(self.bench.post("/api/advise", {"layers": [self.CUP | change]}), 400, 422)
        for body in ({}, {"layers": []}, {"layers": [self.CUP] * 9}, {"layers": 5}, {"layers": [5]}):
            self.assert_refused(self.bench.post("/api/advise", body), 400)
        self.assert_refused(self.bench.post("/api/predict", {"drops": {"nothing": 1}}), 400)


if __name__ == "__main__":
    main()
