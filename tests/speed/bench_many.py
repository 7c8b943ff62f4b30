"""How long dropwise find takes for many photos on one core and on all of them: seconds, and how many times faster.

bench_many.py PROGRAM RENDERER [PHOTOS WIDTH]: renders 4 boards (tests/bait) and reads each as often as needed, so that what is
measured is the work and not the renderer. Peak memory is that of the reading program and the decoders it started.
"""
import os
import resource
import subprocess
import sys
import tempfile
import time


def measure(program, photos, jobs):
    """Seconds on the clock and on the processors, with everything it started."""
    before, begin = os.times(), time.monotonic()
    subprocess.run([program, "find", *photos, "--json", "--jobs", str(jobs)], check=True, stdout=subprocess.DEVNULL)
    after = os.times()
    cpu = after.children_user + after.children_system - before.children_user - before.children_system
    return time.monotonic() - begin, cpu


def main():
    program, renderer = sys.argv[1:3]
    count, width = (int(sys.argv[3]), sys.argv[4]) if len(sys.argv) > 4 else (100, "1600")
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([renderer, folder, "1", "4", width], check=True)
        photos = [os.path.join(folder, f"board-{1 + i % 4}.jpg") for i in range(count)]
        one, one_cpu = measure(program, photos, 1)
        cores = len(os.sched_getaffinity(0))
        all_cores, all_cpu = measure(program, photos, cores)
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"{count} photos: one at a time {one:.1f} s ({one_cpu:.1f} s of processor), {cores} at a time {all_cores:.1f} s "
          f"({all_cpu:.1f} s): {one / all_cores:.2f} times faster; largest process {peak:.0f} MiB")


main()
