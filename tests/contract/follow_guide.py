"""Follows the plugin guide to the letter, as a reader who has Dropwise installed and not its sources: what is to be saved
is saved under the name that the guide gives, and every command is run, in order, in one empty folder.

follow_guide.py GUIDE PREFIX FOLDER
"""
import os
import pathlib
import re
import subprocess
import sys

GUIDE, PREFIX, FOLDER = (pathlib.Path(word).resolve() for word in sys.argv[1:4])
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.M | re.S)
SAVE = re.compile(r"Save (?:it|this) as\s+`([^`]+)`")


def steps(text):
    """What to do, in order: (file to save, its content) or (None, commands)."""
    end = 0
    for block in BLOCK.finditer(text):
        before, end = text[end:block.start()], block.end()
        kind, body = block.groups()
        name = SAVE.findall(before)
        if kind == "sh":
            yield None, body
        elif name:
            yield name[-1], body


def environment():
    """A user's with nothing set but what the guide says of a prefix of its own."""
    return {"PATH": f"{PREFIX}/bin:{os.environ['PATH']}", "HOME": str(FOLDER / "home"), "LC_ALL": "C.UTF-8",
            "PKG_CONFIG_PATH": f"{PREFIX}/share/pkgconfig", "CMAKE_PREFIX_PATH": str(PREFIX)}


def main():
    (FOLDER / "home").mkdir(parents=True)
    work = FOLDER / "work"
    work.mkdir()
    saved, ran, said = [], 0, ""
    for name, body in steps(GUIDE.read_text()):
        if name:
            (work / name).write_text(body)
            saved.append(name)
            continue
        done = subprocess.run(["sh", "-eu", "-c", body], cwd=work, env=environment(), capture_output=True, text=True, timeout=300)
        if done.returncode or "warning:" in done.stderr:
            sys.exit(f"The guide says:\n{body}\nIt gives {done.returncode}:\n{done.stdout}{done.stderr}")
        ran += len(body.splitlines())
        said += done.stdout
    for part in ("Lightens it with", "All ", "lighten      Lighten with white", str(FOLDER / "home/.local/share/dropwise/plugins")):
        if part not in said:
            sys.exit(f"Nothing that the guide has one run says {part!r}:\n{said}")
    if saved != ["lighten.c", "CMakeLists.txt", "thin.cpp"] or ran < 10:
        sys.exit(f"The guide has one save {saved} and run {ran} lines: does this test still find them all?")
    print(f"{len(saved)} files saved, {ran} commands run as the guide says")


main()
