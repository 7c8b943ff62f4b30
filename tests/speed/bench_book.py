"""How long a large book takes: 100,000 readings.  Prints figures; asserts nothing but that the commands work.

Use: bench_book.py PROGRAM
"""
import os
import pathlib
import random
import sqlite3
import subprocess
import sys
import tempfile
import time

PROGRAM = sys.argv[1]
PATTERNS, BATCHES, BAITS, LAYERS = 20, 167, 10, 3


def call(*words):
    start = time.perf_counter()
    subprocess.run([PROGRAM, *map(str, words)], check=True, capture_output=True)
    return time.perf_counter() - start


def best(times, *words):
    return min(call(*words) for _ in range(times))


def fill(book):
    """Rows as the commands write them, a shape and the shares included."""
    rng = random.Random(1)
    with sqlite3.connect(book) as db:
        layers = {p: [row[0] for row in db.execute("SELECT id FROM layer WHERE pattern = ? ORDER BY position", [p])]
                  for p in range(1, PATTERNS + 1)}
        photo = db.execute("INSERT INTO photo (sha256, path, width, height, added) VALUES (?, 'p.jpg', 4000, 3000, "
                           "'2026-05-01T00:00:00Z')", ["0" * 64]).lastrowid
        marks = '{"card":{"set":"grid24","corners":[1,2,3,4,5,6,7,8]},"layers":[]}'
        for pattern in range(1, PATTERNS + 1):
            for b in range(BATCHES):
                when = f"2026-{1 + b // 28 % 12:02}-{1 + b % 28:02}T{b // 336:02}:00:00Z"
                batch = db.execute("INSERT INTO batch (pattern, name, poured, good) VALUES (?, ?, ?, ?)",
                                   [pattern, str(b), when, b < 40]).lastrowid
                look = db.execute("INSERT INTO look (photo, marks, light, looked) VALUES (?, ?, '{}', ?)",
                                  [photo, marks, when]).lastrowid
                db.executemany(
                    "INSERT INTO reading (batch, layer, look, bait, shape, l, a, b, uncertainty, spread, kept, gloss, "
                    "flake, taken) VALUES (?, ?, ?, ?, 'rect:1234.5,678.25,200x40', ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    [(batch, layer, look, bait, 50 + rng.gauss(0, .5), 20 + rng.gauss(0, .5), 30 + rng.gauss(0, .5), .4,
                      1.2, .9, .06, .04, when) for layer in layers[pattern] for bait in range(BAITS)])
    db.close()
    with sqlite3.connect(book) as db:
        return db.execute("SELECT count(*) FROM reading").fetchone()[0]


def main():
    with tempfile.TemporaryDirectory() as folder:
        book = pathlib.Path(folder, "book.db")
        at = ["--book", book]
        for p in range(PATTERNS):
            call("pattern", "add", f"pattern {p}", *[w for i in range(LAYERS) for w in ("--layer", f"layer {i}")], *at)
            for i in range(LAYERS):
                call("target", "set", f"pattern {p}", f"layer {i}", "--lab", "50,20,30", *at)
        readings = fill(book)
        size = os.path.getsize(book) / 1e6
        empty = best(5, "book", "path", *at)
        print(f"{readings} readings, {PATTERNS} patterns, {PATTERNS * BATCHES} batches: {size:.1f} MB")
        print(f"drift of one pattern ({readings // PATTERNS} readings): {1000 * best(5, 'drift', 'pattern 7', *at):.0f} ms, "
              f"of which starting the program {1000 * empty:.0f} ms")
        print(f"book check: {best(3, 'book', 'check', *at):.2f} s")
        print(f"book export: {best(2, 'book', 'export', pathlib.Path(folder, 'all.json'), *at):.2f} s, "
              f"{os.path.getsize(pathlib.Path(folder, 'all.json')) / 1e6:.1f} MB")
        print(f"book import: {call('book', 'import', pathlib.Path(folder, 'all.json'), '--book', pathlib.Path(folder, 'b')):.2f} s")
        print(f"book backup: {call('book', 'backup', pathlib.Path(folder, 'copy.db'), *at):.2f} s")


main()
