"""Boards traced by POV-Ray, read by `find` and judged.

Use: python3 tests/traced/boards.py FIRST LAST PROGRAM [FOLDER] [verbose]
     python3 tests/traced/boards.py render FIRST LAST FOLDER
PROGRAM is a build's dw_traced_figures, or any program that takes FOLDER FIRST LAST. Boards are rendered once and kept in
FOLDER, by default traced-boards beside PROGRAM: SEED.jpg, SEED.png (the truth, as pov.py has it) and SEED.txt.
"""
import os
import pathlib
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

sys.dont_write_bytecode = True

try:
    import numpy as np
    from scipy.ndimage import gaussian_filter, zoom

    import pov
    import scene as scenes
except ImportError as missing:
    print("skipped:", missing)
    sys.exit(77)


def trace(folder, seed, size, *options):
    command = ["povray", f"+I{seed}.pov", f"+W{size[0]}", f"+H{size[1]}", "+WT1", "-D", "-GR", "-GS", "-GW", "File_Gamma=1.0", *options]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"povray failed on board {seed}: {done.stderr[-2000:]}")


def ppm_read(path, size):
    """16-bit binary PPM as shares of its white."""
    w, h = size
    return np.frombuffer(path.read_bytes()[-6 * w * h:], ">u2").reshape(h, w, 3).astype(np.float32) / 65535


def develop(light, scene, white):
    """What a camera makes of the light; 8-bit sRGB out. Its blur stands for antialiasing, which takes most of the time."""
    c, dice = scene.camera, np.random.default_rng(scene.seed)
    if scene.scale > 1:
        light = np.maximum(zoom(light, (scene.scale, scene.scale, 1), order=1, grid_mode=True, mode="nearest"), 0)
    h, w = light.shape[:2]
    v, u = (np.linspace(-.5, .5, h)[:, None] * h / max(w, h), np.linspace(-.5, .5, w)[None, :] * w / max(w, h))
    light = light / white * c["exposure"] * (1 - c["vignette"] * 2 * (u * u + v * v))[..., None]
    light = light * (1 - c["crosstalk"]) + light.mean(-1, keepdims=True) * c["crosstalk"]
    light = (light * np.array(c["balance"])).astype(np.float32)
    light = gaussian_filter(light, (c["blur"] * scene.scale ** .5, c["blur"] * scene.scale ** .5, 0))
    noise = dice.standard_normal(light.shape, np.float32) * np.sqrt(np.maximum(light, 0) / c["electrons"] + 1e-6)
    light = light + gaussian_filter(noise, (.5, .5, 0)) * 1.6
    if c["sharpen"]:
        light = light + c["sharpen"] * (light - gaussian_filter(light, (1.2, 1.2, 0)))
    return np.round(255 * scenes.coded(light)).astype(np.uint8)


def white_of(light, scene):
    """The light of a white surface, from what the board sends: most pixels are its."""
    return np.median(light, axis=(0, 1)) / np.array(scenes.BOARDS[scene.board])


def jpeg_save(path, rgb, camera):
    head = b"P6 %d %d 255\n" % (rgb.shape[1], rgb.shape[0])
    sample = "1x1" if camera["full_color"] else "2x2"
    with open(path, "wb") as out:
        subprocess.run(["cjpeg", "-quality", str(camera["quality"]), "-sample", sample], input=head + rgb.tobytes(), stdout=out,
                       check=True)


def render(seed, folder):
    if (folder / f"{seed}.jpg").exists():
        return
    scene = scenes.scene_make(seed)
    size = (scene.view.width // scene.scale, scene.view.height // scene.scale)
    (folder / f"{seed}.pov").write_text(pov.pov_text(scene))
    (folder / f"{seed}.txt").write_text(pov.truth_text(scene))
    trace(folder, seed, size, "-A", "+FN16", f"+O{seed}.png", "Declare=DRAW_TRUTH=1")
    trace(folder, seed, size, "-A", "+FP16", f"+O{seed}.ppm")
    light = ppm_read(folder / f"{seed}.ppm", size)
    # Exposed by green: the camera's white balance is for the light but for what `balance` leaves.
    white = white_of(light, scene)
    jpeg_save(folder / f"{seed}.part", develop(light, scene, white), scene.camera)
    for name in (f"{seed}.pov", f"{seed}.ppm"):
        (folder / name).unlink()
    (folder / f"{seed}.part").rename(folder / f"{seed}.jpg")


def render_all(first, last, folder):
    if not shutil.which("povray") or not shutil.which("cjpeg"):
        print("skipped: povray or cjpeg is not installed")
        sys.exit(77)
    folder.mkdir(parents=True, exist_ok=True)
    with ThreadPoolExecutor(os.cpu_count()) as together:
        list(together.map(lambda seed: render(seed, folder), range(first, last + 1)))


def main():
    if sys.argv[1] == "render":
        render_all(int(sys.argv[2]), int(sys.argv[3]), pathlib.Path(sys.argv[4]))
        return
    first, last, program = int(sys.argv[1]), int(sys.argv[2]), pathlib.Path(sys.argv[3]).resolve()
    rest = [word for word in sys.argv[4:] if word != "verbose"]
    folder = pathlib.Path(rest[0]) if rest else program.parent / "traced-boards"
    render_all(first, last, folder)
    sys.exit(subprocess.run([program, folder, str(first), str(last), *(["verbose"] if "verbose" in sys.argv else [])]).returncode)


if __name__ == "__main__":
    main()
