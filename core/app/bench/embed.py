"""Writes the page's files as one C source: python3 embed.py PAGE_FOLDER OUT.c"""
import pathlib
import sys

TYPES = {".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
         ".svg": "image/svg+xml", ".json": "application/json", ".webmanifest": "application/manifest+json",
         ".jpg": "image/jpeg", ".png": "image/png"}


def main():
    folder, out = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
    files = sorted(p for p in folder.rglob("*") if p.suffix in TYPES)
    lines = ['#include "app/bench/bench.h"', ""]
    rows = []
    for i, path in enumerate(files):
        data = path.read_bytes()
        lines.append(f"static const unsigned char asset_{i}[] = {{")
        for at in range(0, len(data), 24):
            lines.append("".join(f"{b}," for b in data[at:at + 24]))
        lines.append("0};")
        name = path.relative_to(folder).as_posix()
        url = "/" if name == "index.html" else "/app/" + name
        rows.append(f'    {{"{url}", "{TYPES[path.suffix]}", asset_{i}, {len(data)}}},')
    lines += ["const pt__asset pt__assets[] = {", *rows, "};",
              "const size_t pt__asset_count = sizeof pt__assets / sizeof *pt__assets;", ""]
    out.write_text("\n".join(lines))


main()
