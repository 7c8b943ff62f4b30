"""Real photographs (from the package python3-skimage), read by an independent path and by print_rect.

Independent path: djpeg with the slow integer transform, then skimage's sRGB decoding to XYZ for D65 (for the
photo that embeds Adobe RGB (1998): that encoding's published gamma 563/256 and primaries instead), then the
Bradford matrix from D65 to the ICC's D50 computed here with numpy (Lam 1985; ICC.1:2022, annex E), then
skimage's Lab for that white. skimage's own rgb2lab keeps the white D65, which is why its XYZ is adapted
first. Mean Lab of each rectangle must agree within 0.1.

Usage: check_real_photo.py PRINT_RECT      Exit 77: the tools or photos are absent.
"""

import os
import shutil
import subprocess
import sys
import tempfile

try:
    import numpy as np
    import skimage
    from skimage import color, io
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

ADOBE_RGB = {"rocket.jpg"}
RECTS = {
    "rocket.jpg": ["40,40,60x40", "300,120,30x80", "500,330,90x60", "0,380,640x47", "319,200,1x1"],
    "retina.jpg": ["600,600,200x200", "100,700,40x40", "1000,500,33x77"],
    "hubble_deep_field.jpg": ["0,0,1000x872", "111,222,33x44"],
}
D50 = np.array([0.9642, 1.0, 0.8249])
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def bradford(white_from, white_to):
    gain = (BRADFORD @ white_to) / (BRADFORD @ white_from)
    return np.linalg.inv(BRADFORD) @ np.diag(gain) @ BRADFORD


def adobe_to_xyz(rgb8):
    """Adobe RGB (1998) Color Image Encoding, version 2005-05, 4.3: primaries, white D65, gamma 2.19921875."""
    xy = np.array([[0.64, 0.33], [0.21, 0.71], [0.15, 0.06], [0.3127, 0.3290]])
    xyz = np.column_stack([xy[:, 0] / xy[:, 1], np.ones(4), (1 - xy.sum(axis=1)) / xy[:, 1]])
    matrix = xyz[:3].T * np.linalg.solve(xyz[:3].T, xyz[3])
    return (rgb8 / 255.0) ** (563 / 256) @ matrix.T


def lab_d50(rgb8, to_xyz):
    """Lab for D50. The white that to_xyz gives to R = G = B = 255 is adapted to D50."""
    white = to_xyz(np.full((1, 1, 3), 255, np.uint8))[0, 0]
    relative = (to_xyz(rgb8) @ bradford(white, D50).T) / D50
    # xyz2lab divides by its own white (skimage's table of illuminants), so it is multiplied in before.
    return color.xyz2lab(relative * [0.95047, 1.0, 1.08883], illuminant="D65", observer="2")


def decode(path, folder):
    out = os.path.join(folder, "whole.ppm")
    subprocess.run(["djpeg", "-dct", "int", "-outfile", out, path], check=True)
    return io.imread(out)


def main():
    data = os.path.join(os.path.dirname(skimage.__file__), "data")
    if not shutil.which("djpeg"):
        print("skipped: djpeg is not installed")
        return 77
    worst, checked = 0.0, 0
    for name, rects in RECTS.items():
        path = os.path.join(data, name)
        if not os.path.exists(path):
            continue
        with tempfile.TemporaryDirectory() as folder:
            lab = lab_d50(decode(path, folder), adobe_to_xyz if name in ADOBE_RGB else color.rgb2xyz)
        lines = subprocess.run([sys.argv[1], path, *rects], check=True, capture_output=True, text=True).stdout
        for rect, line in zip(rects, lines.splitlines(), strict=True):
            x, y, size = rect.split(",")
            w, h = size.split("x")
            x, y, w, h = int(x), int(y), int(w), int(h)
            expected = lab[y : y + h, x : x + w].reshape(-1, 3).mean(axis=0)
            off = np.abs(np.array([float(v) for v in line.split()]) - expected).max()
            print(f"{name} {rect}: Lab {np.round(expected, 2)}, off by {off:.5f}")
            worst, checked = max(worst, off), checked + 1
    if not checked:
        print("skipped: no photos")
        return 77
    print(f"{checked} rectangles, worst {worst:.5f} (limit 0.1)")
    return 0 if worst < 0.1 else 1


sys.exit(main())
