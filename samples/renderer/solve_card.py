#!/usr/bin/env python3
"""Solves smooth reflectances for the published D50 Lab values of the usual 24-patch chart and prints the
tables of spectra_data.c.  Needs numpy, scipy and the CIE tables in ../shared/data (see README.md).

The spectra are metamers of the real patches, not measurements: of all curves with the published Lab, the one
that bends and slopes least as logit(R / t), where t is the fall of white paint toward the violet.

Use: python3 samples/renderer/solve_card.py ../shared/data/cie > samples/renderer/spectra_data.c
"""
import sys

import numpy as np
from scipy.optimize import minimize

NM = np.arange(380, 731, 10)

# Lab D50/2 degree as the chart's maker published them for charts before November 2014 (from memory).
PATCHES = [
    ("A1", 37.986, 13.555, 14.059), ("A2", 65.711, 18.130, 17.810),
    ("A3", 49.927, -4.880, -21.925), ("A4", 43.139, -13.095, 21.905),
    ("A5", 55.112, 8.844, -25.399), ("A6", 70.719, -33.397, -0.199),
    ("B1", 62.661, 36.067, 57.096), ("B2", 40.020, 10.410, -45.964),
    ("B3", 51.124, 48.239, 16.248), ("B4", 30.325, 22.976, -21.587),
    ("B5", 72.532, -23.709, 57.255), ("B6", 71.941, 19.363, 67.857),
    ("C1", 28.778, 14.179, -50.297), ("C2", 55.261, -38.342, 31.370),
    ("C3", 42.101, 53.378, 28.190), ("C4", 81.733, 4.039, 79.819),
    ("C5", 51.935, 49.986, -14.574), ("C6", 51.038, -28.631, -28.638),
    ("D1", 96.539, -0.425, 1.186), ("D2", 81.257, -0.638, -0.335),
    ("D3", 66.766, -0.734, -0.504), ("D4", 50.867, -0.153, -0.270),
    ("D5", 35.656, -0.421, -1.231), ("D6", 20.461, -0.079, -0.973),
]


def table(path):
    rows = np.loadtxt(path, delimiter=",", skiprows=1)
    return np.stack([np.interp(NM, rows[:, 0], rows[:, i]) for i in range(1, rows.shape[1])], axis=1)


def lab_of(xyz, white):
    t = xyz / white
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def solve(lab, weights, white, paint):
    slope = np.diff(np.eye(NM.size), n=1, axis=0)
    bend = np.diff(np.eye(NM.size), n=2, axis=0)

    def reflectance(x):
        return paint / (1 + np.exp(-x))

    def cost(x):
        return 1e-2 * np.sum((bend @ x) ** 2) + 2e-3 * np.sum((slope @ x) ** 2)

    fit = minimize(cost, np.zeros(NM.size), method="SLSQP", options={"maxiter": 2000, "ftol": 1e-12},
                   constraints={"type": "eq", "fun": lambda x: lab_of(reflectance(x) @ weights, white) - lab})
    r = reflectance(fit.x)
    miss = np.abs(lab_of(r @ weights, white) - lab).max()
    if miss > 0.01:
        sys.exit(f"no smooth spectrum found for Lab {lab}: off by {miss:.3f}")
    return r


def print_rows(name, rows, digits, comments):
    print(f"const double {name}[{len(rows)}][BANDS] = {{")
    for row, comment in zip(rows, comments):
        print(f"    /* {comment} */")
        parts = [", ".join(f"{v:.{digits}f}" for v in row[i:i + 9]) for i in range(0, len(row), 9)]
        print("    {" + ",\n     ".join(parts) + "},")
    print("};\n")


def main():
    folder = sys.argv[1]
    observer = table(f"{folder}/cie1931_2deg_1nm.csv")
    d50 = table(f"{folder}/d50_5nm.csv")[:, 0]
    d65 = table(f"{folder}/d65_5nm.csv")[:, 0]
    weights = observer * d50[:, None] / np.sum(observer[:, 1] * d50)
    white = weights.sum(axis=0)
    paint = 0.985 / (1 + np.exp(-(NM - 388.0) / 9.0))
    spectra = [solve(np.array(p[1:]), weights, white, paint) for p in PATCHES]
    print("/* Printed by solve_card.py; do not edit by hand. */")
    print("// clang-format off")
    print('#include "spectra.h"\n')
    print("/* CIE 1931 2 degree observer (CIE 15), 380 to 730 nm by 10: x, y, z. */")
    print_rows("observer", observer.T, 6, ["x", "y", "z"])
    print("/* CIE daylight (CIE 15), 560 nm = 100. */")
    print_rows("daylight", [d50, d65], 3, ["D50", "D65"])
    print("/* Reflectances with the published Lab of the 24-patch chart; smooth metamers, not measurements. */")
    print_rows("card_patch", spectra, 5, [p[0] for p in PATCHES])
    print("// clang-format on")


main()
