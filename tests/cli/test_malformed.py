"""A thousand and more files and words that are not what they should be, the same ones each time: cut, with bits turned,
with numbers beyond all bounds, wrong UTF-8, nested, with keys missing or of another type. Each that is refused is refused
in one sentence that names the file, with the exit code for unusable input, and changes nothing. What happens to be usable
still is counted apart."""
import collections
import json
import pathlib
import random
import re
import subprocess
import sys
import unittest

from shop import SAMPLES, SOURCE, Shop

SEED_WRITERS = sys.argv[3:]  # of JPEG, PNG, HEIC: with --write DIR they write small photos
SEEDS = SOURCE / "tests/fuzz/seeds"
LEAST = 1000
BROKEN = "broken-input"
REMARK = r"(dropwise: No card was found in [^\n]+\.\n)?"  # of a photo where no card is marked, before it is read

HUGE = [b"1e999", b"-1e308", b"NaN", b"Infinity", b"99999999999999999999999", b"-0", b"1e-400", b"0x10", b"--1", b"\xc2\xb2"]
BROKEN_UTF8 = [b"\xff\xfe", b"\xc3", b"\xed\xa0\x80", b"\xf8\x88\x80\x80\x80", b"\x00", b"\xc0\xaf"]
OTHER_VALUES = [None, True, -1, 1e300, "", "x" * 5000, [], {}, [[[[]]]], "\u0085", 0.5]


# ---- ways to break a file ---------------------------------------------------------------------------------------

def cut(whole):
    return [whole[:len(whole) * i // 13] for i in range(13)]


def turned_bits(whole, dice, n, first=None):
    """Bits turned, half of them near the start, where heads are."""
    out = []
    for i in range(n):
        broken = bytearray(whole)
        for _ in range(1 + i % 5):
            broken[dice.randrange(min(first or len(whole), len(whole)) if i % 2 else len(whole))] ^= 1 << dice.randrange(8)
        out.append(bytes(broken))
    return out


def put_in(whole, dice, pieces):
    return [whole[:at] + piece + whole[at:] for piece in pieces for at in [dice.randrange(1, len(whole))]]


def other_numbers(whole, dice, n):
    places = list(re.finditer(rb"-?\d+(\.\d+)?", whole))
    out = []
    for i in range(n):
        at = dice.choice(places)
        out.append(whole[:at.start()] + HUGE[i % len(HUGE)] + whole[at.end():])
    return out


def text_ways(whole, dice):
    return (cut(whole) + turned_bits(whole, dice, 20) + put_in(whole, dice, BROKEN_UTF8) + other_numbers(whole, dice, 30)
            + [b"\xef\xbb\xbf", b"\n" * 1000, b"\x89PNG\r\n\x1a\n", b",,,,\n" * 200, whole + whole])


def spots(value, found):
    for key in list(value) if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else []:
        found.append((value, key))
        spots(value[key], found)
    return found


def json_ways(whole, dice):
    out = cut(whole)[1:] + turned_bits(whole, dice, 12) + put_in(whole, dice, BROKEN_UTF8) + other_numbers(whole, dice, 20)
    out += [b"", b"[" * 3000, b'{"a":' * 3000, b"[]", b"null", b'"text"', b"{}", b'{"a":1,"a":1}', whole + b"}"]
    for i in range(40):
        document = json.loads(whole)
        holder, key = dice.choice(spots(document, []))
        if i % 4 == 0:
            del holder[key]
        elif i % 4 == 1 and isinstance(holder, dict):
            holder["unknown"] = holder.pop(key)
        else:
            holder[key] = OTHER_VALUES[i % len(OTHER_VALUES)]
        out.append(json.dumps(document).encode())
    return out


def photo_ways(whole, dice):
    absurd = [whole[:at] + b"\xff" * 4 + whole[at + 4:] for at in range(0, 120, 4)]
    return cut(whole) + turned_bits(whole, dice, 30, first=200) + absurd


def book_ways(whole, dice):
    wide = [whole[:at] + b"\xff" * 8 + whole[at + 8:] for at in range(16, 104, 4)]
    torn = [whole[:at] + bytes(4096) + whole[at + 4096:] for at in range(0, min(len(whole), 40 * 4096), 4096)]
    return cut(whole) + turned_bits(whole, dice, 20, first=100) + wide + torn


WORDS = (["", "=", "=3", "orange", "orange=", "orange=x", "orange=-1", "orange=1e9", "orange=nan", "orange=3,", "orange=3;;",
          "orange=3,orange=4", "nobody=3", "orange=3=4", "orange=0x10", "\u202eorange=3", "orange=3 brown=x", "orange" * 60 + "=1"],
         ["", "1", "1,2", "1,2,3,4", "a,b,c", "nan,0,0", "inf,0,0", "1e999,0,0", "1;2;3", "50,,0", "50,0,0,", " ", "0x1,0,0",
          "50.0.0,1,2", "\u0663,1,2"],
         ["", "back", "back=", "=rect:1,1,5x5", "back=rect:", "back=rect:1,1", "back=rect:1,1,5", "back=rect:1,1,0x5",
          "back=rect:1,1,-5x5", "back=rect:nan,1,5x5", "back=rect:1e999,1,5x5", "back=ellipse:1,1,0x1", "back=poly:1,1",
          "back=poly:1,1;2,2", "back=poly:" + "1,1;" * 600 + "2,2", "back=circle:1,1,3", "back=rect:99999,99999,5x5",
          "b" * 99 + "=rect:1,1,5x5", "back=rect:1,1,5x5x5"])


class Malformed(Shop):
    def setUp(self):
        super().setUp()
        self.crawfish()
        self.fitted()
        self.photos = self.folder / "photos"
        self.photos.mkdir()
        for writer in SEED_WRITERS:
            kind = pathlib.Path(writer).name.rpartition("_")[2]
            (self.photos / kind).mkdir()
            subprocess.run([writer, "--write", self.photos / kind], check=True)
        self.small = self.photos / "small.png"
        self.small.write_bytes((self.photos / "png/made-04").read_bytes())
        self.shelf = {"dropwise_shelf": 1, **json.loads((SEEDS / "shelf/orange.json").read_bytes())}
        self.whole = self.book.read_bytes()
        self.begin()
        self.refusals, self.usable, self.faults = collections.Counter(), collections.Counter(), []

    def begin(self):
        """The book as it was, and no other file of it."""
        for path in self.folder.glob("book.db*"):
            path.unlink()
        self.book.write_bytes(self.whole)
        self.before = self.state()

    def state(self):
        """All files there are, and what the book holds. SQLite leaves two files beside a book that was only read."""
        beside = [self.folder / "book.db-wal", self.folder / "book.db-shm"]
        names = sorted(str(path) for path in self.folder.rglob("*") if path not in beside and path.name != BROKEN)
        log = beside[0].read_bytes() if beside[0].exists() else b""
        return names, self.book.read_bytes(), log

    def wrong(self, code, out, err, names, codes):
        """What a refusal lacks, or None."""
        if code not in codes:
            return f"exit code {code}"
        if out:
            return "something on the standard output"
        if not re.fullmatch(REMARK + r"dropwise: [^\n]{15,}[.?!)]\n", err) or not err.replace("\n", "").isprintable():
            return "not one sentence"
        if names and not any(name in err for name in names):
            return "the file is not named"
        return None if self.state() == self.before else "something was changed or left"

    def try_one(self, kind, words, names=None, codes=(2,)):
        code, out, err = self.run_any(*words)
        if code == 0:
            self.usable[kind] += 1
            self.begin()
            return
        self.refusals[kind] += 1
        wrong = self.wrong(code, out, err, names, codes)
        if wrong:
            self.faults.append((wrong, kind, words, err[:400]))

    def try_files(self, kind, broken, words, codes=(2,)):
        """words: of the command; FILE stands for the broken file."""
        place = self.folder / BROKEN
        for bytes_ in broken:
            place.write_bytes(bytes_)
            self.try_one(kind, [place if word == "FILE" else word for word in words], (BROKEN, self.small.name), codes)
            place.unlink()

    def marks(self):
        whole = json.dumps({"gray": {"shape": "rect:1,1,10x10", "y": 0.18}, "layers": [
            {"name": "back", "shape": "rect:2,2,20x8"}, {"name": "belly", "shape": "poly:2,11;25,11;25,20;2,20"}]}).encode()
        self.try_files("marks", json_ways(whole, self.dice), ["read", self.small, "--marks", "FILE"], (1, 2))

    def documents(self):
        """Whatever is JSON."""
        read = lambda name: (SEEDS / name).read_bytes()
        self.try_files("targets", json_ways((SAMPLES / "patterns.json").read_bytes(), self.dice),
                       ["advise", "--targets", "FILE", "--pattern", "creek crawfish"])
        self.try_files("shelf", json_ways(read("shelf/orange.json"), self.dice),
                       ["predict", "--shelf", "FILE", "--recipe", "orange=2", "--thickness", "3", "--over", "white"])
        self.try_files("pattern", json_ways(read("pattern/crawfish.json"), self.dice), ["pattern", "import", "FILE"])
        self.try_files("import", json_ways(read("import/small.json"), self.dice), ["book", "import", "FILE"])

    def tables(self):
        """Whatever is lines of text."""
        self.try_files("chips", text_ways((SAMPLES / "chips.csv").read_bytes(), self.dice), ["bottle", "chips", "FILE"])
        self.try_files("pairs", text_ways((SEEDS / "pairs/two.csv").read_bytes(), self.dice), ["compare", "--pairs", "FILE"])
        card = (SEEDS / "cgats/card.txt").read_bytes()
        self.try_files("cgats", text_ways(card, self.dice),
                       ["read", self.small, "--card", "3,3,24,3,24,17,3,17", "--card-set", "FILE", "--layer", "back=rect:2,2,20x8"],
                       (1, 2))

    def pictures(self):
        for kind in ("jpeg", "png", "heic"):
            for seed in sorted((self.photos / kind).glob("*"))[:2]:
                self.try_files(kind, photo_ways(seed.read_bytes(), self.dice), ["read", "FILE", "--layer", "back=rect:2,2,20x8"])

    def books(self):
        copy = self.folder / "copy.db"
        self.ok("book", "backup", copy)
        whole = copy.read_bytes()
        copy.unlink()
        self.try_files("book", book_ways(whole, self.dice), ["book", "restore", "FILE"])

    def words(self):
        for text in WORDS[0]:
            self.try_one("recipe", ["predict", f"--recipe={text}", "--thickness=3", "--over=white"])
        for text in WORDS[1]:
            self.try_one("color", ["compare", text, "50,0,0"])
            self.try_one("color", ["advise", f"--target={text}"])
        for text in WORDS[2]:
            self.try_one("shape", ["read", self.small, "--layer", text])

    def test_all(self):
        self.dice = random.Random(16)
        for part in (self.marks, self.documents, self.tables, self.pictures, self.books, self.words):
            part()
        print(f"refused {self.refusals.total()}: {dict(self.refusals)}")
        print(f"usable still {self.usable.total()}: {dict(self.usable)}")
        self.assertEqual(self.faults, [])
        self.assertGreaterEqual(self.refusals.total(), LEAST)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
