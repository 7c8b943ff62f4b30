"""Fails on an #include that points upward in the order of core's folders, or a plugin that sees more than plugin.h.

The order is read from core/CMakeLists.txt, so that it stands in one place.
"""
import pathlib
import re
import sys

ROOT = pathlib.Path(sys.argv[1])
INCLUDE = re.compile(r'^\s*#\s*include\s+"([^"]+)"', re.M)
# A public header is named for its folder, alone or with _MORE behind it; these are not.
HEADER_FOLDER = {"lab": "base", "child": "base", "pool": "base", "seal": "base", "names": "base", "json": "base",
                 "plugin": "advise", "plugin_check": "advise", "fit": "mix", "correct": "mix", "bottle_look": "mix"}


def header_folder(stem):
    return HEADER_FOLDER.get(stem, stem.partition("_")[0])


def core_order():
    text = (ROOT / "core/CMakeLists.txt").read_text()
    return re.search(r"set\(DW_CORE_ORDER ([^)]+)\)", text).group(1).split()


def folder_of(include, order):
    """Folder that an include belongs to, None for one that can't be told."""
    parts = include.split("/")
    if parts[0] == "dropwise":
        name = header_folder(parts[1].removesuffix(".h"))
        return name if name in order else None
    return parts[0] if len(parts) > 1 and parts[0] in order else None


def faults(order):
    rank = {name: i for i, name in enumerate(order)}
    for path in sorted((ROOT / "core").rglob("*.[ch]")):
        relative = path.relative_to(ROOT / "core")
        if relative.parts[0] == "include":
            own = header_folder(path.stem)
        else:
            own = relative.parts[0]
        if own not in rank:
            yield f"{relative}: belongs to no folder of the order"
            continue
        for include in INCLUDE.findall(path.read_text()):
            other = folder_of(include, order)
            if include.startswith("dropwise/") and other is None:
                yield f"{relative}: includes {include}, which belongs to no folder"
            elif other is not None and rank[other] > rank[own]:
                yield f"{relative}: {own} includes {include}, upward to {other}"
    for path in sorted((ROOT / "plugins").rglob("*.c")):
        for include in INCLUDE.findall(path.read_text()):
            if include != "dropwise/plugin.h":
                yield f"{path.relative_to(ROOT)}: a plugin may include dropwise/plugin.h only, not {include}"


def self_check(order):
    """The check itself must see an upward include."""
    assert folder_of("dropwise/plugin.h", order) == "advise" and folder_of("mix/km.h", order) == "mix"
    assert order.index("mix") > order.index("color")


def main():
    order = core_order()
    self_check(order)
    found = list(faults(order))
    print("\n".join(found) or f"no upward include in {len(order)} folders")
    return 1 if found else 0


sys.exit(main())
