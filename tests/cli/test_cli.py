"""The command line as scripts rely on it: exit codes, JSON, messages, values with a minus sign."""
import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest

PROGRAM, SOURCE, PLUGINS = sys.argv[1], pathlib.Path(sys.argv[2]), sys.argv[3]
os.environ["XDG_DATA_HOME"] = "/nonexistent"  # the book of whoever runs the tests is none of their business
COMMANDS = ["read", "compare", "predict", "advise", "plugins"]


def run(*words, env=None):
    done = subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, timeout=60,
                          env={**os.environ, **(env or {})})
    return done.returncode, done.stdout, done.stderr


def run_json(*words):
    code, out, err = run(*words, "--json")
    assert code == 0, (words, code, err)
    return json.loads(out)


class Help(unittest.TestCase):
    def test_every_command_explains_itself_with_an_example(self):
        for command in COMMANDS:
            code, out, _ = run(command, "--help")
            self.assertEqual(code, 0)
            self.assertIn(f"pourtone {command}", out.split("Example:")[1])

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
            self.assertIn("pourtone-bench", done.stderr)
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


class Advise(unittest.TestCase):
    def test_reachable_target(self):
        target = run_json("predict", "--recipe", "orange=4;brown=1", "--thickness", 10, "--over", "gray")["lab"]
        got = run_json("advise", "--target", ",".join(map(str, target)), "--cup", "orange=12;brown=2", "--volume", 4,
                       "--plugins", PLUGINS)
        layer = got["layers"][0]
        best = layer["advice"][0]
        self.assertLessEqual(best["predicted_de00"], 1.0)
        self.assertEqual(sorted(a["predicted_de00"] for a in layer["advice"]),
                         [a["predicted_de00"] for a in layer["advice"]])
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
        self.assertIn("fresh cup", measured["warnings"][0])

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
