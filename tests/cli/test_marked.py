"""Photos in which all is marked: a gray patch, marks kept for another photo, advice by the layers marked.
test_marked.py PROGRAM SOURCE"""
import itertools
import json
import math
import os
import struct
import sys
import threading
import unittest
import zlib

from shop import SAMPLES, Shop

del sys.argv[1:]

GRAY_Y = 0.2
# Luminance factors of red, green and blue light (linear sRGB) of the board, the gray patch and two layers.
BOARD, PATCH, BACK, BELLY = (.45, .45, .45), (GRAY_Y,) * 3, (.10, .05, .03), (.50, .33, .16)
PLACES = {PATCH: (40, 40, 100, 80), BACK: (200, 60, 120, 60), BELLY: (200, 160, 120, 60)}
NEUTRAL = (1, 1, 1)
SPECK, SPECK_EVERY = 3, 9  # pixels: a ninth of a layer
BLUE, RED = (.05, .15, .8), (.8, .05, .1)


def encoded(linear):
    """IEC 61966-2-1, 16 bit."""
    value = 12.92 * linear if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055
    return struct.pack(">H", round(65535 * min(1, value)))


def photo(path, cast, flake=None, width=400, height=280):
    """The scene under a light (or exposure) that multiplies red, green and blue; specks of flake of a color in its layers."""
    def pixel(color):
        return b"".join(encoded(c * gain) for c, gain in zip(color, cast))
    rows = [[pixel(BOARD)] * width for _ in range(height)]
    for color, (x, y, w, h) in PLACES.items():
        for row in rows[y:y + h]:
            row[x:x + w] = [pixel(color)] * w
        if flake and color != PATCH:
            for i, j in itertools.product(range(0, w - 3, SPECK_EVERY), range(0, h - 3, SPECK_EVERY)):
                for row in rows[y + j:y + j + SPECK]:
                    row[x + i:x + i + SPECK] = [pixel(flake)] * SPECK
    raw = b"".join(b"\0" + b"".join(row) for row in rows)

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 16, 2, 0, 0, 0)) +
                     chunk(b"IDAT", zlib.compress(raw)) + chunk(b"IEND", b""))
    return path


def shape(color, inset=8):
    x, y, w, h = PLACES[color]
    return f"rect:{x + inset},{y + inset},{w - 2 * inset}x{h - 2 * inset}"


LAYERS = ("--layer", f"back={shape(BACK)}", "--layer", f"belly={shape(BELLY)}")
GRAY = ("--gray", shape(PATCH), "--gray-y", GRAY_Y)


class Gray(Shop):
    def labs(self, cast, *light, layers=LAYERS):
        said = self.json("read", photo(self.folder / "scene.png", cast), *layers, *light)
        self.assertEqual(said["light"]["method"], "gray" if light else "none")
        return {layer["name"]: layer["lab"] for layer in said["layers"]}

    def near(self, one, other, most):
        self.assertEqual(one.keys(), other.keys())
        for name in one:
            for a, b in zip(one[name], other[name]):
                self.assertAlmostEqual(a, b, delta=most)

    def test_the_patch_reads_as_the_gray_that_it_is(self):
        # CIE 15: L* = 116 Y^(1/3) - 16, and no chroma.
        patch = self.labs((.5, .6, .4), *GRAY, layers=("--layer", f"patch={shape(PATCH)}"))
        self.near(patch, {"patch": [116 * GRAY_Y ** (1 / 3) - 16, 0, 0]}, 0.1)

    def test_a_cast_is_taken_out(self):
        true = self.labs(NEUTRAL)
        self.near(self.labs(NEUTRAL, *GRAY), true, 0.05)
        for cast in ((.5, .6, .4), (1.2, 1, .6)):
            self.near(self.labs(cast, *GRAY), true, 0.1)
            self.assertGreater(math.dist(self.labs(cast)["belly"], true["belly"]), 5)

    def test_a_patch_that_cannot_serve(self):
        path = photo(self.folder / "scene.png", (6, 6, 6))
        self.refused(1, "clipped", "read", path, *GRAY, *LAYERS)
        self.refused(2, "gray", "read", path, "--gray", "rect:500,300,50x50", *LAYERS)


class Kept(Shop):
    def test_marks_of_a_gray_serve_another_photo(self):
        marks = self.folder / "marks.json"
        first = self.json("read", photo(self.folder / "one.png", (.5, .6, .4)), *GRAY, *LAYERS, "--save-marks", marks)
        kept = json.loads(marks.read_text())
        self.assertEqual(kept["gray"], {"shape": shape(PATCH), "y": GRAY_Y})
        self.assertEqual([(layer["name"], layer["shape"]) for layer in kept["layers"]], [("back", shape(BACK)), ("belly", shape(BELLY))])
        again = self.json("read", self.folder / "one.png", "--marks", marks)
        self.assertEqual(again, first)
        other = self.json("read", photo(self.folder / "two.png", (1.2, 1, .6)), "--marks", marks)
        for one, two in zip(first["layers"], other["layers"]):
            for a, b in zip(one["lab"], two["lab"]):
                self.assertAlmostEqual(a, b, delta=0.1)

    def test_one_reading_of_the_file(self):
        """A pipe gives its content once: who reads it again waits for ever, or gets another."""
        path, marks = photo(self.folder / "one.png", (.5, .6, .4)), self.folder / "marks.json"
        alone = self.json("read", path, *GRAY, *LAYERS, "--save-marks", marks)
        text, pipe = marks.read_text(), self.folder / "pipe"
        os.mkfifo(pipe)
        for n in (1, 2):
            threading.Thread(target=pipe.write_text, args=(text,)).start()
            said = self.json("read", *[path] * n, "--marks", pipe)
            self.assertEqual(said.get("readings", [said]), [alone] * n)

    def test_pipes_without_another_end(self):
        path, loop, got = photo(self.folder / "one.png", NEUTRAL), self.folder / "loop", []
        pipes = [self.folder / name for name in ("marks", "pattern", "unread")]
        for pipe in pipes:
            os.mkfifo(pipe)
        runs = [threading.Thread(target=lambda words: got.append(self.run_any(*words)), args=(words,)) for words in (
            ("read", path, "--marks", pipes[0]), ("pattern", "import", pipes[1]),
            ("read", path, *LAYERS, "--save-marks", pipes[2]))]
        for run in runs:
            run.start()
        for run in runs:
            run.join()
        self.assertEqual(sorted((code, err.split(" is ")[-1]) for code, _, err in got),
                         [(2, "a pipe that nobody writes to.\n")] * 2 + [(3, "a pipe that nobody reads.\n")])
        loop.symlink_to(loop)
        for words in (("read", path, "--marks", loop), ("read", loop, *LAYERS), ("pattern", "import", loop)):
            self.refused(2, "symbolic links", *words)

    def test_each_photo_by_its_own_chips(self):
        words = []
        for name, color, strength in (("one", BACK, 2), ("two", BELLY, 8)):
            marks = {"gray": {"shape": shape(PATCH), "y": GRAY_Y}, "layers": [
                {"name": "chip", "shape": shape(color), "recipe": f"orange={strength}", "thickness_mm": 3, "over": "white"}]}
            (self.folder / name).write_text(json.dumps(marks))
            words += ["--photo", photo(self.folder / f"{name}.png", (1, 1, .9 + strength / 100)), "--marks", self.folder / name]
        self.ok("bottle", "chips", *words)
        kept = self.json("bottle", "chips", "list")["chips"]
        self.assertEqual(sorted(chip["recipe"] for chip in kept), ["orange=2", "orange=8"])

    def test_marks_of_a_card(self):
        before, marks = SAMPLES / "crawfish-1.marks.json", self.folder / "marks.json"
        first = self.json("read", SAMPLES / "crawfish-1.jpg", "--marks", before, "--save-marks", marks)
        was, kept = json.loads(before.read_text()), json.loads(marks.read_text())
        self.assertEqual((kept["card"], kept["layers"]), (was["card"], was["layers"]))
        self.assertEqual(self.json("read", SAMPLES / "crawfish-1.jpg", "--marks", marks), first)


class Advised(Shop):
    """advise --photo: what the marked layers are told to become."""

    CUPS = ("--cup", "back:orange=12,brown=4", "--cup", "belly:white=6,yellow=3")

    def advised(self, *words):
        return self.json("advise", "--pattern", "creek crawfish", *self.CUPS, *words)["layers"]

    def setUp(self):
        super().setUp()
        self.crawfish()

    def test_stands_on_what_read_tells(self):
        path = photo(self.folder / "scene.png", (.5, .6, .4))
        read = self.json("read", path, *GRAY, *LAYERS)["layers"]
        advised = self.advised("--photo", path, *GRAY, *LAYERS)
        self.assertEqual([layer["name"] for layer in advised], ["back", "belly"])
        for seen, told, target in zip(read, advised, ([33, 8, 10], [67, 7, 20])):
            self.assertTrue(told["measured"])
            self.assertEqual((told["now"], told["target"]), (seen["lab"], target))

    def test_what_is_added_leads_nearer(self):
        path = photo(self.folder / "scene.png", NEUTRAL)
        for layer in self.advised("--photo", path, *GRAY, *LAYERS):
            self.assertFalse(layer["leave"])
            self.assertLess(layer["advice"][0]["predicted_de00"], layer["now_de00"])

    def test_one_layer_of_the_photo(self):
        path = photo(self.folder / "scene.png", NEUTRAL)
        both = self.advised("--photo", path, *GRAY, *LAYERS)
        one = self.json("advise", "--pattern", "creek crawfish", "--layer", "belly", *self.CUPS[2:], "--photo", path, *GRAY,
                        *LAYERS)["layers"]
        self.assertEqual([layer["name"] for layer in one], ["belly"])
        self.assertEqual(one[0]["now"], both[1]["now"])

    def test_a_layer_that_is_not_marked(self):
        path = photo(self.folder / "scene.png", NEUTRAL)
        self.refused(2, '"belly"', "advise", "--pattern", "creek crawfish", "--photo", path, *GRAY, *LAYERS[:2])


class Flake(Shop):
    """A layer's flake beside its target's, both from photos."""

    def compared(self, target, bait):
        self.ok("pattern", "add", "p", "--layer", "back", "--layer", "belly")
        marks = self.folder / "marks.json"
        self.ok("read", photo(self.folder / "target.png", NEUTRAL, target), *GRAY, *LAYERS, "--save-marks", marks)
        self.ok("target", "set", "p", "--photo", self.folder / "target.png", "--marks", marks)
        self.ok("pour", "p", "--layer", "back", "--cup", "brown=4", "--batch", "1", "--new")
        said = self.json("read", photo(self.folder / "bait.png", NEUTRAL, bait), *GRAY, *LAYERS, "--pattern", "p", "--batch", "1")
        self.assertEqual([flake["layer"] for flake in said["flake"]], ["back", "belly"])
        return said["flake"], said["layers"]

    def test_more(self):
        flake, layers = self.compared(None, BLUE)
        for one, layer in zip(flake, layers):
            self.assertAlmostEqual(layer["shares"]["flake"], (SPECK / SPECK_EVERY) ** 2, delta=.03)
            self.assertIn("More flake than the target", one["words"])

    def test_less(self):
        for one in self.compared(BLUE, None)[0]:
            self.assertIn("Less flake than the target", one["words"])

    def test_of_another_color(self):
        for one in self.compared(BLUE, RED)[0]:
            self.assertRegex(one["words"], "as much as the target's .*; its color is off by .*purple")
            self.assertGreater(one["de00"], 20)

    def test_of_the_same_color(self):
        for one in self.compared(BLUE, BLUE)[0]:
            self.assertIn("of the same color", one["words"])


if __name__ == "__main__":
    unittest.main()
