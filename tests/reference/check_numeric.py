#!/usr/bin/env python3
"""The numeric library against numpy and scipy: check_numeric.py PROBE"""
import subprocess
import sys

try:
    import numpy as np
    from scipy import interpolate, stats
except ImportError as missing:
    print("skipped:", missing)
    sys.exit(77)

random = np.random.default_rng(1)
commands, expected, rooms = [], [], []


def words(values):
    return " ".join(repr(float(value)) for value in values)


def ask(command, values, room):
    commands.append(command)
    expected.append(np.atleast_1d(values))
    rooms.append(room)


for freedom in (1, 2, 3.5, 7, 30, 199, 1000, 12345, 1e6, 1e8):
    for t in (0.001, 0.5, 1, 2.2, 6, 25):
        ask(f"t {t} {freedom}", 2 * stats.t.sf(t, freedom), 1e-11)
for n in (3, 4, 10, 100, 1000):
    for ties in (False, True):
        x, y = random.normal(size=n), random.normal(size=n)
        y += 0.3 * x
        if ties and n > 4:
            x, y = np.round(x), np.round(2 * y)
        ask(f"rank {n} {words(np.column_stack([x, y]).ravel())}", stats.spearmanr(x, y), 1e-10)
for n in (1, 2, 3, 10, 101):
    for q in (0, 0.1, 1 / 3, 0.5, 0.975, 1):
        x = random.normal(size=n)
        ask(f"quantile {q!r} {n} {words(x)}", np.quantile(x, q), 1e-13)
for n in (2, 3, 6, 32):
    for kind in range(20):
        x, y = np.cumsum(random.uniform(0.05, 1, n)), random.normal(size=n)
        y = np.cumsum(np.abs(y)) if kind % 2 else y
        at = random.uniform(x[0], x[-1], 50)
        ask(f"curve {n} {words(np.column_stack([x, y]).ravel())} 50 {words(at)}",
            interpolate.PchipInterpolator(x, y)(at), 1e-12)

lines = subprocess.run([sys.argv[1]], input="\n".join(commands), text=True, stdout=subprocess.PIPE,
                       check=True).stdout.splitlines()
assert len(lines) == len(commands)
worst, bad = {}, 0
for command, line, values, room in zip(commands, lines, expected, rooms):
    miss = np.abs(np.array(line.split(), float) - values).max()
    kind = command.split()[0]
    worst[kind] = max(worst.get(kind, 0), miss)
    if not miss <= room:
        print(f"{command[:80]}: {line[:80]}, not {values[:3]}")
        bad += 1
print("largest departures from scipy and numpy:", {kind: f"{miss:.1e}" for kind, miss in worst.items()})
sys.exit(int(bad > 0))
