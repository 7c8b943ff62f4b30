#!/usr/bin/env python3
"""The band table against the full integral at 1 nm over measured reflectances:
check_bands.py DATA_FOLDER core/color/band_table.c

Differences are CIELAB's plain distance, which for colors this close is at least CIEDE2000.
"""
import csv
import re
import sys
from pathlib import Path

try:
    import numpy as np
    from scipy.interpolate import CubicSpline
    from skimage.color import xyz2lab
except ImportError as missing:
    print("skipped:", missing)
    sys.exit(77)

ROOM = {31: 0.06, 16: 0.15}  # in the mean
folder = Path(sys.argv[1])
if not folder.is_dir():
    print("skipped: no data in", folder)
    sys.exit(77)


def read(name):
    with open(folder / name, newline="") as file:
        return np.array(list(csv.reader(file))[1:], float)


nm = np.arange(380, 781)
observer, d50 = read("cie/cie1931_2deg_1nm.csv"), read("cie/d50_5nm.csv")
samples = read("cameras/reflectances_190.csv")
full = np.array([CubicSpline(samples[:, 0], r)(nm) for r in samples[:, 1:].T])
weights = observer[np.isin(observer[:, 0], nm), 1:] * np.interp(nm, d50[:, 0], d50[:, 1])[:, None]
white = np.array([0.9642956764295677, 1, 0.8251046025104602])  # skimage's D50, 2 degrees


def lab(reflectances, table):
    xyz = reflectances @ table / table.sum(0) * white
    return xyz2lab(xyz[None], illuminant="D50", observer="2")[0]


exact, bad = lab(full, weights), False
numbers = re.findall(r"\{\s*(-?\d[^{}]*)\}", Path(sys.argv[2]).read_text())
rows = np.array([[float(cell) for cell in row.split(",")] for row in numbers])
for table in (rows[:31], rows[31:]):
    centers = np.linspace(400, 700, len(table)).astype(int)
    miss = np.linalg.norm(lab(full[:, centers - 380], table) - exact, axis=1)
    print(f"{len(table)} bands, {len(miss)} reflectances: mean {miss.mean():.3f}, largest {miss.max():.2f}")
    bad |= bool(miss.mean() > ROOM[len(table)])
sys.exit(int(bad))
