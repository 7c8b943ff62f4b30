"""CPU time and memory of `dropwise find` on a 12-megapixel board with 12 baits, beside djpeg decoding the same file,
in one run.

Use: python3 tests/speed/bench_board.py build [SEED]
Not every seed has room for 12 baits: 21 has 6 large ones, 20 has 12 and no card, 34 has 12 and a card.
The board is rendered by dw_render_boards; its JPEG is smaller than a phone's, so that decoding takes less of the time.
"""
import json
import os
import pathlib
import subprocess
import sys
import tempfile

RUNS = 5


def cost(*command):
    """CPU seconds of a command with all that it started, and the peak of its largest process in MiB."""
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    if status:
        sys.exit(f"{command[0]} failed")
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def least(*command):
    runs = [cost(*command) for _ in range(RUNS)]
    return min(seconds for seconds, _ in runs), max(peak for _, peak in runs)


def found(build, photo):
    out = subprocess.run([build / "dropwise", "find", photo, "--json"], check=True, capture_output=True).stdout
    return len(json.loads(out)["baits"])


def main():
    build, seed = pathlib.Path(sys.argv[1]).resolve(), sys.argv[2] if len(sys.argv) > 2 else "34"
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([build / "tests/bait/dw_render_boards", folder, seed, seed, "4000", "12"], check=True)
        photo = pathlib.Path(folder, f"board-{seed}.jpg")
        djpeg, _ = least("djpeg", photo)
        find, peak = least(build / "dropwise", "find", photo)
        print(f"{found(build, photo)} baits, {photo.stat().st_size / 1e6:.1f} MB: djpeg {djpeg * 1e3:.0f} ms, find {find * 1e3:.0f} ms "
              f"({find / djpeg:.1f} times), peak {peak:.0f} MiB")


if __name__ == "__main__":
    main()
