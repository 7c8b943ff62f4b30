"""The command line as scripts rely on it: exit codes, JSON, messages, values with a minus sign."""
import json
import math
import os
import pathlib
import re
import shutil
import struct
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree
import zlib

from png import png_rows

PROGRAM, SOURCE, PLUGINS = sys.argv[1], pathlib.Path(sys.argv[2]), sys.argv[3]
os.environ["XDG_DATA_HOME"] = "/nonexistent"  # the book of whoever runs the tests is none of their business


def run(*words, env=None):
    done = subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, timeout=60,
                          env={**os.environ, **(env or {})})
    return done.returncode, done.stdout, done.stderr


def run_json(*words):
    code, out, err = run(*words, "--json")
    assert code == 0, (words, code, err)
    return json.loads(out)


def sample(name):
    return SOURCE / "samples" / name


def card_text(head):
    """The chart of the samples as a CGATS card: the values that the library has for it."""
    source = (SOURCE / "core/card/grid24.c").read_text()
    source = source.split("#define EARLIER")[1].split("#define")[0]
    values = re.findall(r"\{(-?[\d.]+), (-?[\d.]+), (-?[\d.]+)\}", source)
    assert len(values) == 24
    ids = [f"{row}{column}" for row in "ABCD" for column in range(1, 7)]
    rows = "\n".join(f"{id_} {' '.join(v)}" for id_, v in zip(ids, values))
    return (f"CGATS.17\n{head}NUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
            f"NUMBER_OF_SETS 24\nBEGIN_DATA\n{rows}\nEND_DATA\n")


class Help(unittest.TestCase):
    def test_every_command_explains_itself_with_an_example(self):
        listed = run("--help")[1].split("Commands:\n")[1].split("\n\n")[0]
        commands = [line.split()[0] for line in listed.splitlines()]
        self.assertEqual(set(commands), {"find", "read", "drizzle", "compare", "predict", "advise", "blend", "pattern", "target", "tone", "bottle", "pour", "reading",
                                         "batch", "undo", "redo", "history", "drift", "book", "bench", "sheet", "plugins", "settings", "heat", "mold", "plan",
                                         "turn"})
        for command in commands:
            code, out, _ = run(command, "--help")
            self.assertEqual(code, 0, command)
            self.assertIn(f"dropwise {command}", out.split("Example:")[1])

    def test_no_command_and_unknown_ones(self):
        self.assertEqual(run()[0], 2)
        code, out, err = run("pour-me-a-beer")
        self.assertEqual((code, out), (2, ""))
        self.assertEqual(err.count("\n"), 1)

    def test_bench_without_its_program(self):
        with tempfile.TemporaryDirectory() as folder:
            alone = shutil.copy(PROGRAM, folder)
            done = subprocess.run([alone, "bench"], capture_output=True, text=True, timeout=60)
            self.assertEqual((done.returncode, done.stdout, done.stderr.count("\n")), (3, "", 1))
            self.assertIn("dropwise-bench", done.stderr)
            # Its help does not need it.
            self.assertEqual(subprocess.run([alone, "bench", "--help"], capture_output=True, timeout=60).returncode, 0)


class Compare(unittest.TestCase):
    def test_published_pair(self):
        # Sharma, Wu, Dalal 2005, pair 1
        got = run_json("compare", "50,2.6772,-79.7751", "50,0,-82.7485")
        self.assertAlmostEqual(got["de00"], 2.0425, places=4)

    def test_minus_is_a_value(self):
        # The second color's L* is out of range: seen as a value, not as an option.
        code, _, err = run("compare", "50,-3,2", "-5,3,2")
        self.assertEqual(code, 2)
        self.assertIn("L* from 0 to 100", err)
        self.assertEqual(run("compare", "50,-3,-2", "50,-3,-2")[0], 0)

    def test_pairs_file(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "pairs.csv")
            path.write_text("name,L1,a1,b1,L2,a2,b2\n\"a, b\",50,2.6772,-79.7751,50,0,-82.7485\n")
            code, out, _ = run("compare", "--pairs", path)
            self.assertEqual(code, 0)
            self.assertEqual(out.splitlines()[0], "name,L1,a1,b1,L2,a2,b2,de00")
            self.assertTrue(out.splitlines()[1].startswith('"a, b",50,'))
            self.assertTrue(out.splitlines()[1].endswith(",2.0425"))
            path.write_text("L1,a1,b1,L2,a2\n1,2,3,4,5\n")
            code, _, err = run("compare", "--pairs", path)
            self.assertEqual(code, 2)
            self.assertIn("b2", err)


    def test_pairs_that_are_no_colors(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "pairs.csv")
            for bad in ("1e200,0,0", "50,301,0", "50,0,-301", "-11,0,0", "151,0,0"):
                for row in (f"{bad},50,0,0", f"50,0,0,{bad}"):
                    path.write_text(f"L1,a1,b1,L2,a2,b2\n50,0,0,51,0,0\n{row}\n")
                    code, out, err = run("compare", "--pairs", path)
                    self.assertEqual((code, out), (2, ""), row)
                    self.assertIn("pairs.csv, line 3:", err)
            path.write_text("L1,a1,b1,L2,a2,b2\n-10,300,-300,150,-300,300\n")
            self.assertEqual(run("compare", "--pairs", path)[0], 0)

    def test_pairs_go_in_again_as_they_came_out(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "pairs.csv")
            path.write_text("de00,L1,a1,b1,L2,a2,b2,DE00,note\n9,50,2.6772,-79.7751,50,0,-82.7485,8,x\n")
            _, first, _ = run("compare", "--pairs", path)
            self.assertEqual(first, "L1,a1,b1,L2,a2,b2,note,de00\n50,2.6772,-79.7751,50,0,-82.7485,x,2.0425\n")
            path.write_text(first)
            self.assertEqual(run("compare", "--pairs", path)[1], first)


class Predict(unittest.TestCase):
    def test_brown_dulls_orange(self):
        # Brown lowers both lightness and chroma of orange: common practice, no source.
        bright = run_json("predict", "--recipe", "orange=6", "--thickness", 10, "--over", "white")
        dulled = run_json("predict", "--recipe", "orange=6;brown=2", "--thickness", 10, "--over", "white")
        chroma = lambda lab: (lab[1] ** 2 + lab[2] ** 2) ** 0.5
        self.assertLess(dulled["lab"][0], bright["lab"][0])
        self.assertLess(chroma(dulled["lab"]), chroma(bright["lab"]))
        self.assertEqual(len(bright["xyz"]), 3)
        self.assertTrue(0 <= bright["see_through"] <= 1)

    def test_bad_input(self):
        for words in (["--recipe", "no-such=3"], ["--recipe", "orange=-1"], ["--recipe", "orange=6", "--over", "plaid"],
                      ["--recipe", "orange=6", "--thickness", "0"], []):
            code, out, err = run("predict", *words)
            self.assertEqual((code, out), (2, ""), words)
            self.assertEqual(err.count("\n"), 1)


class Blend(unittest.TestCase):
    def test_ends_are_what_predict_gives(self):
        got = run_json("blend", "--cup", "back:orange=24;brown=8", "--cup", "blue=12")
        self.assertEqual([layer["name"] for layer in got["layers"]], ["back", "layer 2"])
        for layer, recipe in zip(got["layers"], ("orange=6;brown=2", "blue=3")):  # 4 fl oz in each cup
            alone = run_json("predict", "--recipe", recipe)
            self.assertEqual(layer["lab"], alone["lab"])
            self.assertEqual(layer["see_through"], alone["see_through"])
        (blend,) = got["blends"]
        self.assertEqual(blend["between"], ["back", "layer 2"])
        self.assertEqual([step["share"] for step in blend["steps"]], [0.25, 0.5, 0.75])
        # Loadings are per volume of base, so equal parts hold half the drops of each.
        half = run_json("predict", "--recipe", "orange=3;brown=1;blue=1.5")
        self.assertEqual(blend["steps"][1]["lab"], half["lab"])

    def test_colors_and_measured_cups(self):
        got = run_json("blend", "--cup", "back:blue=8", "--measured", "30,-6,-30", "--color", "belly:60,25,50")
        self.assertEqual(got["layers"][0]["lab"], [30, -6, -30])
        self.assertEqual(got["layers"][1]["lab"], [60, 25, 50])
        self.assertEqual([layer["estimated"] for layer in got["layers"]], [False, True])
        self.assertTrue(any("color alone" in words for words in got["warnings"]))

    def picture(self, *words):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "bait.svg")
            code, _, err = run("blend", *words, "--svg", path)
            self.assertEqual(code, 0, err)
            return xml.etree.ElementTree.parse(path).getroot()

    def test_picture_of_every_outline(self):
        for outline in ("crawfish", "swimbait", "jerkbait", "stick", "frog"):
            root = self.picture("--cup", "orange=24", "--cup", "brown=8", "--cup", "white=4", "--outline", outline, "--shares", "40,20,40")
            self.assertEqual(root.tag, "{http://www.w3.org/2000/svg}svg")
            ids = [e.get("id") for e in root.iter() if e.get("id")]
            self.assertEqual(len(ids), len(set(ids)))
            text = xml.etree.ElementTree.tostring(root, encoding="unicode")
            for name in set(re.findall(r"#(bait-\w+)", text)):
                self.assertIn(name, ids)
            self.assertNotIn("nan", text)

    def test_picture_as_pixels(self):
        # The same colors as in the SVG: a layer's own, in the middle of each of its stripes, and what lets light through.
        cups = ["--cup", "brown=60;white=60", "--cup", "blue=1", "--shares", "50,50", "--outline", "stick"]
        with tempfile.TemporaryDirectory() as folder:
            svg, png = (pathlib.Path(folder, f"bait.{end}") for end in ("svg", "png"))
            self.assertEqual(run("blend", *cups, "--svg", svg, "--png", png)[0], 0)
            rows = png_rows(png)
            rects = [e.get("fill") for e in xml.etree.ElementTree.parse(svg).getroot().iter("{http://www.w3.org/2000/svg}rect")]
        self.assertEqual((len(rows[0]), len(rows)), (1200, 800))
        pixels = lambda x, y: rows[y][x]  # noqa: E731
        back = [int(rects[1][i:i + 2], 16) for i in (1, 3, 5)]
        self.assertLess(max(abs(a - b) for a, b in zip(pixels(300, 158), back)), 25)  # shaded as the body is round
        ground = [int(rects[0][i:i + 2], 16) for i in (1, 3, 5)]
        self.assertEqual(list(pixels(2, 2)), ground)
        self.assertGreater(max(abs(a - b) for a, b in zip(pixels(600, 240), pixels(600, 640))), 60)  # the clear belly, light and dark
        self.assertLess(max(abs(a - b) for a, b in zip(pixels(300, 158), pixels(300, 558))), 20)  # the solid back, but for its thin rim

    def test_picture_shows_what_lets_light_through(self):
        # The back's own color, over the light bottom and over the dark one.
        def apart(recipe):
            root = self.picture("--cup", recipe, "--cup", "orange=24")
            rects = [e.get("fill") for e in root.iter("{http://www.w3.org/2000/svg}rect")]
            self.assertEqual(len(rects), 4)  # bottom and back, light and dark
            light, dark = ([int(fill[i:i + 2], 16) for i in (1, 3, 5)] for fill in rects[1::2])
            return max(abs(a - b) for a, b in zip(light, dark))

        self.assertLess(apart("brown=60;white=60"), 3)
        self.assertGreater(apart("blue=1"), 60)

    def test_picture_refused(self):
        cups = ["--cup", "orange=24", "--cup", "brown=8"]
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "bait.svg")
            for words in (["--outline", "worm"], ["--shares", "50"], ["--shares", "50,60"], ["--shares", "0,100"], ["--shares", "a,b"]):
                code, out, err = run("blend", *cups, "--svg", path, *words)
                self.assertEqual((code, out, err.count("\n")), (2, "", 1), words)
                self.assertFalse(path.exists())
            self.assertEqual(run("blend", *cups, "--outline", "frog")[0], 2)
            for words in (["--svg", path, "--bait", "1"], ["--svg", path, "--outline", "frog", "--outline-from", "x.jpg"], ["--advised"],
                          ["--outline-from", "x.jpg"], ["--png", path, "--outline-from", pathlib.Path(folder, "none.jpg")]):
                code, out, err = run("blend", *cups, *words)
                self.assertEqual((code, out, err.count("\n")), (2, "", 1), (words, err))
                self.assertFalse(path.exists())
            self.assertEqual(run("blend", *cups, "--svg", pathlib.Path(folder, "no", "bait.svg"))[0], 3)

    def test_overpowering_is_named_and_evened(self):
        got = run_json("blend", "--cup", "back:orange=16;white=24", "--cup", "belly:blue=2")
        blend = got["blends"][0]
        self.assertEqual(blend["overpowers"], "back")
        self.assertTrue(blend["even"]["add"] or blend["even"]["add_clear_floz"])
        _, text, _ = run("blend", "--cup", "back:orange=16;white=24", "--cup", "belly:blue=2")
        self.assertIn("back drowns belly", text)

    def test_bad_input(self):
        for words in (["--cup", "orange=6"], [], ["--cup", "orange=6", "--cup", "no-such=3"], ["--cup", "orange=6", "--color", "1,2"],
                      ["--color", "50,0,0", "--measured", "50,0,0", "--cup", "orange=6"], ["--cup", "a:", "--cup", "orange=-3"],
                      ["--cup", "orange=6"] * 9, ["--pattern", "x", "--cup", "orange=6"], ["--cup", "orange=6", "--cup", "red=6", "--volume", "0"]):
            code, out, err = run("blend", *words)
            self.assertEqual((code, out, err.count("\n")), (2, "", 1), words)


class Advise(unittest.TestCase):
    def test_reachable_target(self):
        target = run_json("predict", "--recipe", "orange=4;brown=1", "--thickness", 10, "--over", "gray")["lab"]
        got = run_json("advise", "--target", ",".join(map(str, target)), "--cup", "orange=12;brown=2", "--volume", 4,
                       "--plugins", PLUGINS)
        layer = got["layers"][0]
        best = layer["advice"][0]
        self.assertLessEqual(best["predicted_de00"], 1.0)
        nearest = min(a["predicted_de00"] for a in layer["advice"])
        self.assertLessEqual(best["predicted_de00"], nearest + 0.51)  # within what can be told apart
        self.assertEqual(len(best["add"]), min(len(a["add"]) for a in layer["advice"]
                                               if a["predicted_de00"] <= nearest + 0.5))
        self.assertTrue(all(drops == int(drops) and drops > 0 for drops in best["add"].values()))

    def test_out_of_reach_is_said(self):
        # A vivid blue can't be made from a cup full of brown.
        got = run_json("advise", "--target", "40,10,-60", "--cup", "brown=60", "--volume", 4, "--capacity", 4.2,
                       "--plugins", PLUGINS, "--plugin", "nearest")
        layer = got["layers"][0]
        for advice in layer["advice"]:
            self.assertGreater(advice["predicted_de00"], 3)
            self.assertTrue(advice["warnings"], advice)

    def test_without_a_cup_it_is_a_fresh_recipe(self):
        # The bait's own color must not change the recipe for a cup that starts from clear base.
        target = ["--target", "46.7,23,25.7", "--plugins", PLUGINS, "--plugin", "nearest"]
        plain = run_json("advise", *target)
        measured = run_json("advise", *target, "--measured", "51.8,30.6,33.9")
        self.assertEqual(plain["layers"][0]["advice"][0]["add"], measured["layers"][0]["advice"][0]["add"])
        self.assertTrue(any("fresh cup" in text for text in measured["warnings"]))

    def test_milliliters_in_and_out(self):
        # One US fluid ounce is 29.5735 ml (NIST Handbook 44, appendix C), so 118.294 ml are 4.
        cup = ["advise", "--target", "46.4,23,26", "--cup", "orange=28;brown=12", "--plugins", PLUGINS]
        us = run_json(*cup, "--volume", 4, "--capacity", 5)
        metric = run_json(*cup, "--volume", 118.29412, "--capacity", 147.86765, "--metric")
        self.assertEqual(us["layers"], metric["layers"])
        _, out, _ = run(*cup, "--volume", 118.29412, "--metric")
        self.assertIn("118 ml", out)
        self.assertNotIn("fl oz", out)
        code, _, err = run(*cup, "--volume", 50000, "--metric")
        self.assertEqual(code, 2)
        self.assertIn("ml, not", err)

    def test_a_right_bait_without_its_cup(self):
        _, out, _ = run("advise", "--target", "46.4,23,26", "--measured", "46.5,23,26", "--plugins", PLUGINS)
        self.assertIn("The bait is right: it is 0.1 from its target, too little to correct. Pour the same again.", out)
        for word in ("Add", "then", "off by", "fresh cup is", "recipe"):
            self.assertNotIn(word, out)

    def test_invented_bottles_are_told(self):
        told = "The bottles on the shelf are invented, so these drops are a rough guide."
        for words in (["predict", "--recipe", "orange=6"],
                      ["advise", "--target", "46.4,23,26", "--plugins", PLUGINS]):
            _, out, _ = run(*words)
            self.assertEqual(out.splitlines()[0], "! " + told)
            self.assertEqual(run_json(*words)["warnings"].count(told), 1)
        with tempfile.TemporaryDirectory() as folder:
            html = pathlib.Path(folder, "a.html")
            run("advise", "--target", "46.4,23,26", "--plugins", PLUGINS, "--html", html)
            self.assertIn(told, html.read_text())
            self.assertIn("over gray", html.read_text())

    def test_dulling_a_cup_needs_no_target(self):
        got = run_json("advise", "--cup", "orange=20", "--dull", 25, "--plugins", PLUGINS)["layers"][0]
        chroma = lambda lab: (lab[1] ** 2 + lab[2] ** 2) ** 0.5
        self.assertAlmostEqual(chroma(got["target"]) / chroma(got["now"]), 0.75, delta=0.005)
        self.assertIn("brown", got["advice"][0]["add"])
        self.assertLess(got["advice"][0]["predicted_de00"], got["now_de00"] / 4)
        code, _, err = run("advise", "--dull", 25, "--plugins", PLUGINS)
        self.assertEqual(code, 2)
        self.assertIn("no target", err)

    def test_words_for_light_and_what_is_behind(self):
        _, out, _ = run("predict", "--recipe", "orange=6", "--over", "white")
        self.assertIn("thick over white", out)
        self.assertIn("where 0 is clear and 1 is solid", out)
        _, out, _ = run("advise", "--target", "45,-25,15", "--cup", "melon-green=8", "--see-through", 0.3,
                        "--plugins", PLUGINS)
        self.assertIn("thick over gray: what lets light through shows that, too.", out)
        self.assertNotIn("contrast ratio", out)

    def test_one_layer_of_a_pattern(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "targets.json")
            path.write_text(json.dumps({"patterns": [{"name": "p", "layers": [
                {"name": name, "lab": [40 + i, 20, 20]} for i, name in enumerate(["back", "middle", "belly"])]}]}))
            one = ["advise", "--targets", path, "--plugins", PLUGINS, "--layer"]
            got = run_json(*one, "belly", "--cup", "white=3")
            self.assertEqual([layer["name"] for layer in got["layers"]], ["belly"])
            code, _, err = run(*one, "tail")
            self.assertEqual(code, 2)
            self.assertIn("back, middle, belly", err)
            code, _, err = run("advise", "--target", "50,0,0", "--layer", "belly", "--plugins", PLUGINS)
            self.assertEqual(code, 2)
            self.assertIn("--pattern", err)

    def test_a_hopeless_cup(self):
        cup = ["advise", "--target", "67,7,20", "--cup", "white=20;brown=30", "--plugins", PLUGINS]
        ways = run_json(*cup)["layers"][0]["instead"]
        self.assertEqual([way["way"] for way in ways], ["part", "fresh"])
        _, out, _ = run(*cup)
        self.assertIn("Start a fresh cup: 4 fl oz clear base, ", out)
        self.assertIn("drops a cup may have, the 50 in it counted", out)
        self.assertLess(out.index("Start a new cup with"), out.index("Add +"))
        self.assertIn(" ml of this one, ", run(*cup, "--metric")[1])

    def test_template_waits_to_be_named(self):
        _, out, _ = run("plugins", "--plugins", PLUGINS)
        self.assertEqual(out.count("asked only when named (--plugin)"), 1)
        listed = {p["id"]: p["only_named"] for p in run_json("plugins", "--plugins", PLUGINS)["plugins"]}
        self.assertEqual([id for id, only in listed.items() if only], ["template"])

    def test_as_many_bottles_as_allowed_still_get_advice(self):
        cup = ["--cup", "orange=28;brown=12", "--max-bottles", 2, "--plugins", PLUGINS]
        got = run_json("advise", "--target", "46.4,23,26", "--measured", "40,16,20", *cup)["layers"][0]["advice"][0]
        self.assertLessEqual(set(got["add"]), {"orange", "brown"})
        self.assertLess(got["predicted_de00"], 5)

    def test_a_large_cup_gets_its_drops(self):
        # 8 fl oz: twice what 4 need, and the same colors.
        cup = ["--cup", "orange=48;brown=14", "--volume", 8, "--plugins", PLUGINS]
        goal = ",".join(map(str, run_json("predict", "--recipe", "orange=6;brown=3.25")["lab"]))
        self.assertLess(run_json("advise", "--target", goal, *cup)["layers"][0]["advice"][0]["predicted_de00"], 1)
        got = run_json("advise", "--target", goal, *cup, "--max-drops", 62)["layers"][0]["advice"][0]
        self.assertIn("the 62 in it counted", " ".join(got["warnings"]))

    def test_unknown_plugin(self):
        code, _, err = run("advise", "--target", "50,0,0", "--plugin", "no-such", "--plugins", PLUGINS)
        self.assertEqual(code, 2)
        self.assertIn("no-such", err)

    def test_cautions_are_shown(self):
        _, out, _ = run("advise", "--target", "45,22,30", "--cup", "orange=12", "--plugins", PLUGINS)
        self.assertIn("maker's data sheet", out)


class Plugins(unittest.TestCase):
    def test_listed(self):
        ids = {p["id"] for p in run_json("plugins", "--plugins", PLUGINS)["plugins"] if p["usable"]}
        self.assertTrue({"nearest", "browning", "template"} <= ids, ids)

    def test_found_beside_the_program(self):
        ids = {p["id"] for p in run_json("plugins")["plugins"]}
        self.assertIn("nearest", ids)


class Output(unittest.TestCase):
    def test_a_full_disk_is_not_success(self):
        with open("/dev/full", "w") as full:
            done = subprocess.run([PROGRAM, "compare", "50,0,0", "51,0,0"], stdout=full, stderr=subprocess.PIPE)
        self.assertEqual(done.returncode, 3)
        self.assertEqual(done.stderr.count(b"\n"), 1)

    def test_no_escape_codes_in_a_pipe(self):
        self.assertNotIn("\033", run("compare", "50,0,0", "51,0,0")[1])


class Read(unittest.TestCase):
    def test_a_sample_photo(self):
        marks = ["--marks", sample("crawfish-1.marks.json")]
        got = run_json("read", sample("crawfish-1.jpg"), *marks)
        self.assertEqual((got["photo"]["width"], got["photo"]["height"]), (1400, 1000))
        self.assertEqual((got["light"]["method"], got["light"]["patches"]), ("grid24", 24))
        self.assertGreater(got["light"]["left_out_de00"]["max"], got["light"]["left_out_de00"]["mean"])
        self.assertEqual([layer["name"] for layer in got["layers"]], ["back", "middle", "belly"])
        for layer in got["layers"]:
            self.assertAlmostEqual(sum(layer["shares"].values()), 1, delta=0.001)
            self.assertTrue(layer["shape"])
        _, out, _ = run("read", sample("crawfish-1.jpg"), *marks)
        for layer in got["layers"]:
            self.assertIn(f"{layer['lab'][0]:.2f}", out)
        self.assertNotIn("Doubt is", out)
        twice = [sample("crawfish-1.jpg")] * 2
        self.assertEqual(run("read", *twice, *marks, "--more")[1].count("Doubt is one standard deviation"), 1)

    def test_no_card_is_not_a_perfect_light(self):
        with tempfile.TemporaryDirectory() as folder:  # a marks file tells all that is marked: no card is looked for
            marks = pathlib.Path(folder, "marks.json")
            marks.write_text(json.dumps({"layers": [{"name": "a", "shape": "rect:700,500,60x60"}]}))
            got = run_json("read", sample("crawfish-1.jpg"), "--marks", marks)
        self.assertEqual(got["light"]["residual_de00"], {"mean": None, "max": None})
        self.assertEqual(got["light"]["left_out_de00"], {"mean": None, "max": None})
        self.assertGreater(got["light"]["uncertainty_de00"], 5)

    def test_a_card_that_nobody_marked(self):
        for name in ("crawfish-1", "crawfish-2", "baitfish-1"):
            marks = json.loads(sample(name + ".marks.json").read_text())
            layers = [word for layer in marks["layers"] for word in ("--layer", f"{layer['name']}={layer['shape']}")]
            by_hand = run_json("read", sample(name + ".jpg"), "--marks", sample(name + ".marks.json"))
            found = run_json("read", sample(name + ".jpg"), *layers)
            width = math.dist(marks["card"]["corners"][:2], marks["card"]["corners"][2:4])
            for a, b in zip(found["card"]["corners"], marks["card"]["corners"]):
                self.assertLess(abs(a - b), 0.02 * width)
            for a, b in zip(found["layers"], by_hand["layers"]):
                self.assertLess(math.dist(a["lab"], b["lab"]), 0.2)

    def test_a_card_that_is_not_there(self):
        with tempfile.TemporaryDirectory() as folder:
            photo = pathlib.Path(folder, "plain.png")
            row = b"\0" + bytes(range(40, 240)) * 3
            chunks = [(b"IHDR", struct.pack(">IIBBBBB", 200, 150, 8, 2, 0, 0, 0)), (b"IDAT", zlib.compress(row * 150)), (b"IEND", b"")]
            photo.write_bytes(b"\x89PNG\r\n\x1a\n" + b"".join(
                struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in chunks))
            code, out, err = run("read", photo, "--layer", "a=rect:20,20,60x60")
            self.assertEqual(code, 0)
            self.assertIn("Light: none", out)
            self.assertIn("No card was found", err)
            self.assertEqual(err.count("\n"), 1)

    def test_names_from_outside(self):
        with tempfile.TemporaryDirectory() as folder:
            photo = pathlib.Path(folder, "fl\udce4che.jpg")
            shutil.copy(sample("crawfish-1.jpg"), photo)
            got = run_json("read", photo, "--layer", "B\u00e4uche=rect:700,500,60x60")
            self.assertTrue(got["photo"]["path"].endswith("fl\ufffdche.jpg"))
            self.assertEqual(got["layers"][0]["name"], "B\u00e4uche")
            for name in ("ab\udcff", "a\nb", "a\x1b[1m"):
                code, out, err = run("read", photo, "--layer", f"{name}=rect:700,500,60x60", "--json")
                self.assertEqual((code, out), (2, ""), name)
                self.assertEqual(err.count("\n"), 1)
                self.assertIn("control character", err)

    def test_a_card_title_cut_in_a_character(self):
        # The title has room for 23 bytes in the light's method; here the 23rd begins a character.
        with tempfile.TemporaryDirectory() as folder:
            card = pathlib.Path(folder, "card.txt")
            text = card_text(f'DESCRIPTOR "{"x" * 22}\u00e4\u00f6"\n')
            card.write_text(text, encoding="utf-8")
            got = run_json("read", sample("crawfish-1.jpg"), "--marks", sample("crawfish-1.marks.json"), "--card-set", card)
            self.assertEqual(got["light"]["method"], "x" * 22)

    def test_a_long_path(self):
        with tempfile.TemporaryDirectory() as folder:
            deep = pathlib.Path(folder, *["\u00e4" * 100] * 4)
            deep.mkdir(parents=True)
            photo = deep / "photo.jpg"
            shutil.copy(sample("crawfish-1.jpg"), photo)
            self.assertGreater(len(str(photo).encode()), 800)
            got = run_json("read", photo, "--layer", "a=rect:700,500,60x60")
            self.assertEqual(got["photo"]["path"], str(photo))

    def test_options_that_would_do_nothing(self):
        layer = ["--layer", "a=rect:700,500,60x60"]
        for words, said in ((["--card-set", "none.txt"], "none.txt"), (["--gray-y", "0.5"], "--gray-y"),
                            (["--gray", "rect:700,500,60x60", "--card-set", "grid24"], "--card-set"),
                            (["--marks", sample("crawfish-1.marks.json"), "--gray-y", "0.5"], "--gray-y")):
            code, out, err = run("read", sample("crawfish-1.jpg"), *layer, *words)
            self.assertEqual((code, out), (2, ""), words)
            self.assertIn(said, err)

    def test_the_card_set_given_wins_over_the_marks(self):
        with tempfile.TemporaryDirectory() as folder:
            marks, card = pathlib.Path(folder, "m.json"), pathlib.Path(folder, "card.txt")
            saved = json.loads(sample("crawfish-1.marks.json").read_text())
            saved["card"]["set"] = str(pathlib.Path(folder, "gone.txt"))
            marks.write_text(json.dumps(saved))
            card.write_text(card_text('DESCRIPTOR "mine"\n'))
            self.assertIn("gone.txt", run("read", sample("crawfish-1.jpg"), "--marks", marks)[2])
            got = run_json("read", sample("crawfish-1.jpg"), "--marks", marks, "--card-set", card)
            self.assertEqual(got["light"]["method"], "mine")

    def test_one_photo_that_fails_costs_no_other(self):
        good, layer = sample("crawfish-1.jpg"), ["--layer", "a=rect:1300,900,60x60"]
        with tempfile.TemporaryDirectory() as folder:
            gone, bad = pathlib.Path(folder, "gone.jpg"), pathlib.Path(folder, "bad.jpg")
            bad.write_bytes(b"hello world")
            code, out, err = run("read", good, gone, bad, sample("crawfish-2.jpg"), *layer, "--json")
            self.assertEqual([pathlib.Path(r["photo"]["path"]).name for r in json.loads(out)["readings"]],
                             ["crawfish-1.jpg", "crawfish-2.jpg"])
            self.assertEqual(code, run("read", gone, *layer)[0])
            lines = err.splitlines()
            self.assertEqual(len(lines), 2, err)
            self.assertIn("gone.jpg", lines[0])
            self.assertIn("bad.jpg", lines[1])
            code, out, err = run("read", gone, bad, *layer, "--json")
            self.assertEqual((code, out, err.count("\n")), (2, "", 2))
            # What fails for its marks names its photo; wrong marks are told once.
            small = sample("chips-1.jpg")
            _, out, err = run("read", good, small, "--layer", "a=rect:5000,5000,60x60")
            self.assertEqual(out, "")
            self.assertIn("crawfish-1.jpg", err.splitlines()[0])
            self.assertIn("chips-1.jpg", err.splitlines()[1])
            self.assertEqual(run("read", good, small, "--layer", "a=rect")[2].count("\n"), 1)

    def test_a_gray_outside_the_photo(self):
        _, _, err = run("read", sample("crawfish-1.jpg"), "--gray", "rect:5000,5000,60x60", "--layer", "a=rect:700,500,60x60")
        self.assertIn("gray", err)

    def test_a_report_into_the_own_output(self):
        # A link of our own to this program's output, as /dev/stdout is one.
        with tempfile.TemporaryDirectory() as folder:
            link, page = pathlib.Path(folder, "link"), pathlib.Path(folder, "page.html")
            link.symlink_to("/proc/self/fd/1")
            with open(page, "w") as out:
                code = subprocess.run([PROGRAM, "read", sample("crawfish-1.jpg"), "--layer", "a=rect:700,500,60x60",
                                       "--html", link], stdout=out, timeout=60).returncode
            self.assertEqual(code, 0)
            self.assertTrue(link.is_symlink())
            text = page.read_text()
            self.assertTrue(text.startswith("<!doctype html>"))
            self.assertIn("Light: grid24", text.split("</html>")[1])

    def test_bad_photos(self):
        with tempfile.TemporaryDirectory() as folder:
            bad = pathlib.Path(folder, "bad.jpg")
            for content in (b"", b"\xff\xd8\xff\xe0", b"hello world", b"\x89PNG\r\n\x1a\n" + b"\0" * 50):
                bad.write_bytes(content)
                code, out, err = run("read", bad, "--layer", "a=rect:0,0,20x20")
                self.assertEqual((code, out), (2, ""), content)
                self.assertEqual(err.count("\n"), 1, err)
            code, _, err = run("read", pathlib.Path(folder, "none.jpg"), "--layer", "a=rect:0,0,20x20")
            self.assertEqual(code, 2)
            self.assertIn("none.jpg", err)

    def test_wrong_marks(self):
        for layer in ("rect:0,0,20x20", "a=rect:0,0", "a=circle:1,2,3", "a=rect:0,0,-5x4", "=rect:0,0,20x20"):
            self.assertEqual(run("read", "x.jpg", "--layer", layer)[0], 2, layer)


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0]], verbosity=1)
