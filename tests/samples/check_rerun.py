#!/usr/bin/env python3
"""Renders the samples again: numbers must come out byte for byte, photos alike but for rounding.

Two photos in a usual run; all of them where DROPWISE_CI is set, for it takes a while. A JPEG may differ in its last
bits where another libm or libjpeg rounds otherwise, so photos are compared as decoded pixels: a mean difference
of at most 0.2 of 255 levels.

Use: check_rerun.py RENDERER SAMPLES
"""
import os
import pathlib
import subprocess
import sys
import tempfile

USUAL = ["crawfish-1", "baitfish-1"]


def main():
    renderer, samples = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
    try:
        import numpy as np
        from skimage.io import imread
    except ImportError:
        print("skipped: python3-skimage is not installed")
        sys.exit(77)
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([renderer, folder] + ([] if os.environ.get("DROPWISE_CI") else USUAL), check=True)
        made = sorted(pathlib.Path(folder).iterdir())
        for file in made:
            kept = samples / file.name
            if not kept.exists():
                faults.append(f"{file.name} is not in samples/")
            elif file.suffix == ".jpg":
                off = np.abs(imread(file).astype(float) - imread(kept).astype(float)).mean()
                same = file.read_bytes() == kept.read_bytes()
                print(f"{file.name}: {'the same bytes' if same else f'{off:.3f} levels off in the mean'}")
                if off > 0.2:
                    faults.append(f"{file.name} differs by {off:.2f} levels in the mean")
            elif file.read_bytes() != kept.read_bytes():
                faults.append(f"{file.name} differs")
    size = sum(f.stat().st_size for f in samples.iterdir() if f.is_file())
    print(f"{len(made)} files, {size / 1e6:.2f} MB in samples/")
    if size > 1.6e6:
        faults.append("samples/ is over 1.6 MB")
    for fault in faults:
        print(fault, file=sys.stderr)
    sys.exit(1 if faults else 0)


main()
