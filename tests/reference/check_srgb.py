#!/usr/bin/env python3
"""sRGB to CIELAB D50 against scikit-image: check_srgb.py PROBE

skimage's rgb2lab with illuminant D50 only divides by the D50 white and does not adapt to it, so white would not
be a = b = 0. Here its own two halves are used, rgb2xyz (white D65) and xyz2lab (white D50), with the Bradford
adaptation between them computed in this script.
"""
import subprocess
import sys

try:
    import numpy as np
    from skimage.color import rgb2xyz, xyz2lab
except ImportError as missing:
    print("skipped:", missing)
    sys.exit(77)

ROOM = 0.02
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])

probe = np.array([line.split() for line in subprocess.check_output([sys.argv[1]], text=True).splitlines()], float)
assert probe.shape == (4096, 6)
xyz = rgb2xyz(probe[:, :3] / 255)
d65 = rgb2xyz(np.ones((1, 3)))[0]
d50 = np.array([0.9642956764295677, 1, 0.8251046025104602])  # skimage's D50, 2 degrees
adapt = np.linalg.inv(BRADFORD) @ np.diag(BRADFORD @ d50 / (BRADFORD @ d65)) @ BRADFORD
worst = np.abs(xyz2lab(xyz @ adapt.T, illuminant="D50", observer="2") - probe[:, 3:]).max()
print(f"largest departure from scikit-image over 4096 colors: {worst:.4f}")
sys.exit(int(worst > ROOM))
