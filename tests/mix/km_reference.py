"""Kubelka-Munk once more, with numpy from the printed equations (Kubelka 1948; Saunderson 1942), against the C code.

usage: km_reference.py KM_DUMP    exit 0 alike, 1 not, 77 without numpy
"""
import subprocess
import sys

try:
    import numpy as np
except ImportError:
    print("skipped: no numpy")
    sys.exit(77)

rows = np.array([line.split() for line in subprocess.check_output([sys.argv[1]], text=True).splitlines()], dtype=float)
k1, k2, gap, d, rg = (rows[:, i : i + 1] for i in range(5))
K, S, R = (rows[:, 5 + i :: 3] for i in range(3))

backing = (1 - gap) * rg + gap * (k2 + (1 - k2) * (1 - k1) * rg / (1 - k1 * rg))
a = 1 + K / S
b = np.sqrt(a * a - 1)
q = b / np.tanh(b * S * d)
inside = (1 - backing * (a - q)) / (a - backing + q)
outside = (1 - k1) * (1 - k2) * inside / (1 - k2 * inside)

worst = np.abs(outside - R).max()
print(f"{R.size} bands, worst difference {worst:.2e}")
sys.exit(0 if R.size >= 3000 and worst < 1e-10 else 1)
