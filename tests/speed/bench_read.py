"""Speed and memory of `dropwise read` on a 12-megapixel photo, beside djpeg decoding the same file, in one run.

Use: python3 tests/speed/bench_read.py build/dropwise
The photo is a sample enlarged three times with fresh noise, so that its JPEG is as large as a phone's.
"""
import json
import os
import pathlib
import re
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
SCALE = 3
RUNS = 15


def scaled_shape(shape):
    kind, numbers = shape.split(":")
    return kind + ":" + re.sub(r"[\d.]+", lambda m: f"{float(m[0]) * SCALE:g}", numbers)


def make_photo(folder):
    """Run in a process of its own: the memory of these libraries would count for its children's peak."""
    import numpy
    import skimage.io
    import skimage.transform

    marks = json.loads((ROOT / "samples/crawfish-1.marks.json").read_text())
    small = skimage.io.imread(ROOT / "samples" / marks["photo"])
    large = skimage.transform.resize(small, (small.shape[0] * SCALE, small.shape[1] * SCALE), order=3)
    noise = numpy.random.default_rng(1).normal(0, 0.016, large.shape)
    path = pathlib.Path(folder, "large.jpg")
    skimage.io.imsave(path, (numpy.clip(large + noise, 0, 1) * 255).astype("uint8"), quality=95, check_contrast=False)
    marks["card"]["corners"] = [v * SCALE for v in marks["card"]["corners"]]
    for layer in marks["layers"]:
        layer["shape"] = scaled_shape(layer["shape"])
    pathlib.Path(folder, "large.marks.json").write_text(json.dumps(marks))
    print(f"{large.shape[1]} x {large.shape[0]} pixels, {path.stat().st_size / 1e6:.1f} MB", flush=True)


def timed(command):
    """Wall seconds and peak KiB of one run."""
    start = time.perf_counter()
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    assert status == 0, command
    return time.perf_counter() - start, usage.ru_maxrss


def main():
    if sys.argv[1] == "--make":
        return make_photo(sys.argv[2])
    program = sys.argv[1]
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([sys.executable, __file__, "--make", folder], check=True)
        photo, marks_path = pathlib.Path(folder, "large.jpg"), pathlib.Path(folder, "large.marks.json")
        commands = {
            "read": [program, "read", str(photo), "--marks", str(marks_path), "--json"],
            "djpeg": ["djpeg", "-outfile", "/dev/null", str(photo)],
        }
        times, peaks = {name: [] for name in commands}, {name: 0 for name in commands}
        for _ in range(RUNS):  # by turns, so that both see the same machine
            for name, command in commands.items():
                seconds, peak = timed(command)
                times[name].append(seconds)
                peaks[name] = max(peaks[name], peak)
        for name in commands:
            print(f"{name:6} median {statistics.median(times[name]) * 1e3:7.1f} ms   best {min(times[name]) * 1e3:7.1f} ms"
                  f"   peak {peaks[name] / 1024:6.1f} MiB")
        medians, bests = ([take(times[name]) for name in commands] for take in (statistics.median, min))
        print(f"read / djpeg: {medians[0] / medians[1]:.2f} by medians, {bests[0] / bests[1]:.2f} by the best "
              "(wanted: at most 1.3); peak wanted: under 40 MiB")


main()
