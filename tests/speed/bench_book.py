"""How large and how slow a book of 100,000 readings is, and what its journal has to do with it.  Prints figures; asserts nothing but
that the commands work.

Use: bench_book.py PROGRAM

Every book is imported from an export that is made here, with a journal as the commands write it, and once more without one: its peer.
Times are of the two in turns, the best of each.  How readings come in makes the shapes: most entries have the single readings.
"""
import json
import os
import pathlib
import random
import subprocess
import sys
import tempfile
import time

PROGRAM = sys.argv[1]
PATTERNS, BATCHES, BAITS, LAYERS = 20, 167, 10, ["back", "middle", "belly"]
MARKS = {"card": {"set": "grid24", "corners": [824, 602, 1220, 612, 1214, 850, 817, 840]},
         "layers": [{"name": name, "shape": f"rect:497,{245 + 58 * i},134x24"} for i, name in enumerate(LAYERS)]}
LIGHT = {"method": "grid24", "patches": 24, "residual_de00": {"mean": 0.5, "max": 2.64}, "left_out_de00": {"mean": 0.9, "max": 4.42},
         "uncertainty_de00": 0.9, "warnings": []}
SHAPES = [("photos, an entry each bait", "bait", True), ("photos, an entry each batch of ten", "batch", True),
          ("typed, an entry each bait", "bait", False), ("typed, an entry each reading", "reading", False)]


def call(*words):
    start = time.perf_counter()
    subprocess.run([PROGRAM, *map(str, words)], check=True, capture_output=True)
    return time.perf_counter() - start


def best_in_turns(times, *commands):
    """The best time of each command, all of them run in turns."""
    taken = [[call(*words) for words in commands] for _ in range(times)]
    return [min(one) for one in zip(*taken)]


class Document:
    """An export, row by row."""
    TITLES = ("photos patterns layers targets tones tone_colors bottles lots chips chip_parts fits fit_bottles strengths batches cups "
              "additions pours looks readings benches settings molds entries").split()

    def __init__(self, schema):
        self.root = {"dropwise_export": 1, "schema": schema} | {title: [] for title in self.TITLES}

    def add(self, title, **row):
        rows = self.root[title]
        rows.append({"id": len(rows) + 1} | row)
        return len(rows)

    def write(self, path):
        path.write_text(json.dumps(self.root))


def add_entry(document, when, place, readings, batch, looks):
    """As dw_book_commit words it; room for 239 characters."""
    said = ", ".join(f"{LAYERS[r['layer'] - 1 - 3 * (place[0] - 1)]} read as {r['l']:.2f},{r['a']:.2f},{r['b']:.2f}" for r in readings)
    words = f"{said} in batch {place[1]} of pattern {place[0]}"
    made = {"look": [looks[0], looks[-1]]} if looks else {}
    made["reading"] = [readings[0]["id"], readings[-1]["id"]]
    document.add("entries", made=when, door="command", kind="reading", words=words if len(words) < 240 else said[:236] + "...",
                 pattern=place[0], batch=batch, state=0, record={"made": made})


def add_batch(document, rng, pattern, number, entry_each, photos):
    when = f"2026-{1 + number // 28 % 12:02}-{1 + number % 28:02}T00:00:00Z"
    batch = document.add("batches", pattern=pattern, name=str(number), poured=when, good=int(number < 40), note="", blend_mm=None)
    pending, looks = [], []

    def entry(of):
        if of == entry_each and pending:
            add_entry(document, when, (pattern, number), pending, batch, looks)
            pending.clear()
            looks.clear()

    for bait in range(1, BAITS + 1):
        look = document.add("looks", photo=1, marks=MARKS, light=LIGHT, looked=when) if photos else None
        looks.extend([look] if photos else [])
        for i in range(len(LAYERS)):
            color = [middle + rng.gauss(0, .5) for middle in (50, 20, 30)]
            color = color if photos else [round(v, 2) for v in color]
            share = [rng.random(), rng.random() / 10, rng.random() / 10] if photos else [None] * 3
            row = dict(batch=batch, layer=3 * (pattern - 1) + i + 1, pour=None, look=look, bait=bait,
                       shape=MARKS["layers"][i]["shape"] if photos else "", l=color[0], a=color[1], b=color[2],
                       uncertainty=rng.random() if photos else 0, spread=rng.random() if photos else 0, kept=share[0], gloss=share[1],
                       flake=share[2], taken=when, replaces=None, share=None, share_doubt=None)
            document.add("readings", **row)
            pending.append(document.root["readings"][-1])
            entry("reading")
        entry("bait")
    entry("batch")


def make(schema, entry_each, photos):
    rng = random.Random(1)
    document = Document(schema)
    document.add("photos", sha256="0" * 64, path="p.jpg", width=4000, height=3000, taken="", added="2026-05-01T00:00:00Z", preview=None)
    for p in range(1, PATTERNS + 1):
        document.add("patterns", name=f"pattern {p}", note="", created="2026-05-01T00:00:00Z", unwanted=None, clean_blends=None, swirl=None)
        for i, name in enumerate(LAYERS):
            layer = document.add("layers", pattern=p, position=i, name=name, see_through=None, tone=None, share=None)
            document.add("targets", layer=layer, l=50, a=20, b=30, uncertainty=0, how="numbers", photo=None, detail={},
                         created="2026-05-01T00:00:00Z")
    for number in range(BATCHES):
        for p in range(1, PATTERNS + 1):
            add_batch(document, rng, p, number, entry_each, photos)
    return document


def measure(folder, schema, title, entry_each, photos):
    document, books, sizes = make(schema, entry_each, photos), [], []
    entries, readings = len(document.root["entries"]), len(document.root["readings"])
    for kind in ("without", "with"):
        book, text = folder / f"{entry_each}-{photos}-{kind}.db", folder / "book.json"
        entries_kept = document.root["entries"]
        document.root["entries"] = entries_kept if kind == "with" else []
        document.write(text)
        document.root["entries"] = entries_kept
        took = call("book", "import", text, "--book", book)
        books.append(book)
        sizes.append(os.path.getsize(book) / 1e6)
    drift = best_in_turns(9, *[("drift", "pattern 7", "--book", book) for book in books])
    check = best_in_turns(3, *[("book", "check", "--book", book) for book in books])
    print(f"{title}: {readings} readings, {entries} entries; without the journal {sizes[0]:.1f} MB, with it {sizes[1]:.1f} MB "
          f"({100 * (sizes[1] / sizes[0] - 1):+.0f}%); drift of one pattern {1000 * drift[0]:.0f} and {1000 * drift[1]:.0f} ms; "
          f"check {check[0]:.2f} and {check[1]:.2f} s; import with it {took:.2f} s", flush=True)
    return books[1]


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        empty = folder / "empty.json"
        call("pattern", "add", "x", "--layer", "y", "--book", folder / "empty.db")
        call("book", "export", empty, "--book", folder / "empty.db")
        for shape in SHAPES:
            book = measure(folder, json.loads(empty.read_text())["schema"], *shape)
        text = folder / "all.json"
        print(f"the last: starting the program {1000 * best_in_turns(9, ('book', 'path', '--book', book))[0]:.0f} ms; "
              f"export {call('book', 'export', text, '--book', book):.2f} s, {os.path.getsize(text) / 1e6:.1f} MB; "
              f"backup {call('book', 'backup', folder / 'copy.db', '--book', book):.2f} s")


main()
