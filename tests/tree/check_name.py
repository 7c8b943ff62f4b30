"""Fails where the name that the program had at first, or its C prefix, stands anywhere but in one line of the changelog."""
import re
import subprocess
import sys

ROOT = sys.argv[1]
# In pieces, so that this file passes its own check.
NAME = re.compile("pour" + "tone", re.I)
PREFIX = re.compile(r"(?<![A-Za-z0-9])_*(?:p" + "t|P" + "T)_|-DP" + "T_")
CHANGELOG = "docs/CHANGELOG.md"


def listed():
    """Tracked files and files that are new; without git, as in an unpacked archive, there is nothing to ask."""
    asked = subprocess.run(["git", "-C", ROOT, "ls-files", "-z", "-co", "--exclude-standard"], capture_output=True, text=True)
    if asked.returncode != 0:
        print("skipped: this is no git checkout")
        sys.exit(77)
    return [name for name in asked.stdout.split("\0") if name]


def faults(path, text):
    if NAME.search(path):
        yield f"{path}: the file's name"
    lines = [(n, line) for n, line in enumerate(text.split("\n"), 1) if NAME.search(line) or PREFIX.search(line)]
    if path == CHANGELOG and len(lines) == 1:
        return
    for n, line in lines:
        yield f"{path}:{n}: {line.strip()[:100]}"


def main():
    assert PREFIX.search("p" + "t_ok") and PREFIX.search("x(P" + "T__OK") and not PREFIX.search("kept_bottle")
    found = []
    for path in listed():
        try:
            with open(f"{ROOT}/{path}", "rb") as file:
                data = file.read()
        except FileNotFoundError:
            continue  # removed, not yet committed
        if b"\0" not in data:
            found += faults(path, data.decode(errors="replace"))
    print("\n".join(found) or "the first name is gone")
    return 1 if found else 0


sys.exit(main())
