#!/usr/bin/env python3
"""Sample photos against their truth: reads each with the built program and holds CIEDE2000 to limits.

The limits are the project's own promise for its samples: every layer within 2.5 and their mean within 1.6;
with gloss over 10% and flake over 8% of the regions a mean within 2.0; under a warm light within 3.0.
CIEDE2000 comes from skimage, not from the program.

Use: check_accuracy.py PROGRAM SAMPLES
"""
import json
import pathlib
import subprocess
import sys

# photo: (each layer at most, mean at most)
LIMITS = {
    "crawfish-1": (2.5, 1.6),
    "crawfish-2": (2.5, 1.6),
    "crawfish-3": (3.0, 3.0),
    "baitfish-1": (2.5, 1.6),
    "baitfish-2": (2.5, 2.0),
}


def skip(why):
    print(f"skipped: {why}")
    sys.exit(77)


def read_layers(program, samples, name):
    command = [program, "read", "--marks", samples / f"{name}.marks.json", "--json", samples / f"{name}.jpg"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=60)
    if run.returncode != 0:
        sys.exit(f"{name}: read ended with {run.returncode}: {run.stderr.strip()}")
    return {layer["name"]: layer for layer in json.loads(run.stdout)["layers"]}


def check(program, samples, name, each, mean, deltas):
    truth = json.loads((samples / f"{name}.truth.json").read_text())
    layers = read_layers(program, samples, name)
    differences = [deltas([layers[t["name"]]["lab"]], [t["lab"]])[0] for t in truth["layers"]]
    for t, d in zip(truth["layers"], differences):
        shares = layers[t["name"]]["shares"]
        print(f"{name:11s} {t['name']:7s} {d:5.2f}   gloss {t['gloss']:.3f} (read {shares['gloss']:.3f})"
              f"   flake {t['flake']:.3f} (read {shares['flake']:.3f})")
    average = sum(differences) / len(differences)
    kept = max(differences) <= each and average <= mean
    print(f"{name:11s} mean    {average:5.2f}   limits {each} and {mean}: {'kept' if kept else 'BROKEN'}")
    return kept


def heavy(truth):
    """The glossy photo must be as glossy and as full of flake as the promise says."""
    return all(t["gloss"] > 0.10 and t["flake"] > 0.08 for t in truth["layers"])


def main():
    program, samples = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
    if not program.exists():
        skip(f"{program} is not built")
    try:
        from skimage.color import deltaE_ciede2000
    except ImportError:
        skip("python3-skimage is not installed")
    if not heavy(json.loads((samples / "baitfish-2.truth.json").read_text())):
        sys.exit("baitfish-2 has too little gloss or flake to test anything.")
    kept = [check(program, samples, name, *limits, deltaE_ciede2000) for name, limits in LIMITS.items()]
    sys.exit(0 if all(kept) else 1)


main()
