"""Fails where a comment or a document sends the reader to a file or a section that is not there."""
import pathlib
import re
import sys

ROOT = pathlib.Path(sys.argv[1])
PLACES = ["core", "plugins", "samples", "tests", "docs", "README.md", "DEVELOPERS.md", "CMakeLists.txt"]
SECTION = re.compile(r"\b(docs/[\w-]+\.md)#([\w-]+)")
OWN_SECTION = re.compile(r"\]\((?:([\w./-]+\.md))?#([\w-]+)\)")
FILE = re.compile(r"(?<![\w./-])((?:core|docs|plugins|samples|tests)/[\w./-]*\w\.(?:c|h|py|mjs|js|md|sh|json|csv|jpg))\b")


def anchors(path):
    """Section names as a reader of the Markdown gets them: small letters, blanks to hyphens, the rest left out."""
    heads = re.findall(r"^#+ (.+)$", path.read_text(), re.M)
    return {re.sub(r"[^\w -]", "", head.lower()).replace(" ", "-") for head in heads}


def texts():
    for place in PLACES:
        top = ROOT / place
        for path in sorted(top.rglob("*")) if top.is_dir() else [top]:
            if path.suffix in {".c", ".h", ".py", ".md", ".txt", ".mjs", ".js", ".sh"} and "node_modules" not in path.parts:
                yield path, path.read_text(errors="replace")


def faults():
    for path, text in texts():
        if path == pathlib.Path(__file__).resolve():
            continue
        where = path.relative_to(ROOT)
        for name in FILE.findall(text):
            if "NAME" not in name and not (ROOT / name).exists():
                yield f"{where}: there is no {name}"
        for name, anchor in SECTION.findall(text):
            if (ROOT / name).exists() and anchor not in anchors(ROOT / name):
                yield f"{where}: {name} has no section {anchor}"
        for name, anchor in OWN_SECTION.findall(text) if path.suffix == ".md" else []:
            target = path.parent / name if name else path
            if target.exists() and anchor not in anchors(target):
                yield f"{where}: {target.relative_to(ROOT)} has no section {anchor}"


def main():
    found = list(faults())
    print("\n".join(found) or "every file and section named is there")
    return 1 if found else 0


sys.exit(main())
