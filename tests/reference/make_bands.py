#!/usr/bin/env python3
"""Make, or check, core/color/band_table.c from the CIE's tables.

    make_bands.py DATA_FOLDER            print the C file
    make_bands.py DATA_FOLDER --check FILE   exit 1 and say so when FILE differs from it

DATA_FOLDER holds cie1931_2deg_1nm.csv and d50_5nm.csv. D50 is interpolated linearly to 1 nm, as CIE 15 says for
its daylight tables. Between band centers a reflectance is interpolated by Lagrange's cubic through the four nearest
ones, by the parabola through three next to the ends, and beyond the ends it is constant (ASTM E2022), so every
nanometer gives its weight to a few centers and the tails give theirs to the end bands. Each column is then scaled to the D50 white of the ICC connection space, and rounded to 9 decimals; what
rounding leaves over goes to the largest weight, so that the columns sum to the white exactly.
"""
import csv
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

WHITE = ("0.9642", "1", "0.8249")


def read(path):
    with open(path, newline="") as file:
        rows = list(csv.reader(file))[1:]
    return {int(row[0]): [float(cell) for cell in row[1:]] for row in rows}


def power_at(d50, nm):
    low = min(nm - nm % 5, 775)
    share = (nm - low) / 5
    return d50[low][0] * (1 - share) + d50[low + 5][0] * share


def shares(place, count):
    """How much each center counts at `place`, in steps from the first: pairs of center and share."""
    place = min(max(place, 0), count - 1)
    low = min(int(place), count - 2)
    nodes = range(max(low - 1, 0), min(low + 2, count - 1) + 1)
    for node in nodes:
        share = 1.0
        for other in nodes:
            if other != node:
                share *= (place - other) / (node - other)
        yield node, share


def weights(observer, d50, step):
    centers = range(400, 701, step)
    table = [[0.0] * 3 for _ in centers]
    for nm, bars in observer.items():
        if not 380 <= nm <= 780:  # where D50 is given; outside, the observer sees next to nothing
            continue
        for band, share in shares((nm - 400) / step, len(centers)):
            for k in range(3):
                table[band][k] += bars[k] * power_at(d50, nm) * share
    return table


def scaled(table):
    out = [[None] * 3 for _ in table]
    for k in range(3):
        total = sum(row[k] for row in table)
        column = [Decimal(repr(row[k] / total * float(WHITE[k]))).quantize(Decimal("1e-9")) for row in table]
        largest = column.index(max(column))
        column[largest] += Decimal(WHITE[k]) - sum(column)
        for row, value in zip(out, column):
            row[k] = value
    return out


def render(observer, d50):
    lines = ["/* Made by tests/reference/make_bands.py, which says how and checks it: do not edit by hand.",
             " * CIE 1931 2 degree observer and illuminant D50 (CIE 15:2018), scaled to the white of ICC.1:2022. */",
             '#include "dropwise/color.h"', ""]
    for directive, step in (("#if DW_BANDS == 31", 10), ("#elif DW_BANDS == 16", 20)):
        lines += [directive, "const double dw_band_xyz[DW_BANDS][3] = {"]
        lines += ["{" + ", ".join(f"{v:f}" for v in row) + "}," for row in scaled(weights(observer, d50, step))]
        lines += ["};"]
    lines += ["#else", '#error "DW_BANDS is 31 or 16"', "#endif", ""]
    return "\n".join(lines)


def main():
    if len(sys.argv) not in (2, 4):
        sys.exit(__doc__)
    folder = Path(sys.argv[1])
    if not folder.is_dir():
        print("skipped: no CIE tables in", folder)
        sys.exit(77)
    text = render(read(folder / "cie1931_2deg_1nm.csv"), read(folder / "d50_5nm.csv"))
    if len(sys.argv) == 2:
        print(text, end="")
    elif "".join(text.split()) != "".join(Path(sys.argv[3]).read_text().split()):
        sys.exit(f"{sys.argv[3]} is not what the CIE tables give")


main()
