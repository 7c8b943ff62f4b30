#!/usr/bin/env python3
"""The typed table of Sharma, Wu, Dalal 2005 against the copy that scikit-image tests itself with:
check_sharma.py tests/color/sharma.h"""
import re
import sys
from pathlib import Path

try:
    import skimage.color
except ImportError as missing:
    print("skipped:", missing)
    sys.exit(77)

table = Path(skimage.color.__file__).parent / "tests" / "ciede2000_test_data.txt"
if not table.exists():
    print("skipped: scikit-image came without its test data")
    sys.exit(77)
rows = [line.split() for line in table.read_text().splitlines() if line.strip() and not line.startswith("#")]
theirs = [[float(row[i]) for i in (2, 3, 4, 17, 18, 19, 15)] for row in rows]
text = Path(sys.argv[1]).read_text().split("= {", 1)[1]
ours = [[float(cell) for cell in row.split(",")] for row in re.findall(r"\{([^{}]+)\}", text)]
if ours != theirs or len(ours) != 34:
    sys.exit("tests/color/sharma.h is not the published table")
