"""A PNG as its pixels, for tests of what is drawn."""
import struct
import zlib


def png_rows(path):
    """Rows of (r, g, b) of an 8 bit RGB PNG; all filters of its specification."""
    data, at, packed = path.read_bytes(), 8, b""
    while at < len(data):
        size, kind = struct.unpack(">I4s", data[at:at + 8])
        if kind == b"IHDR":
            width, height, bits, color = struct.unpack(">IIBB", data[at + 8:at + 18])
            assert (bits, color) == (8, 2)
        if kind == b"IDAT":
            packed += data[at + 8:at + 8 + size]
        at += size + 12
    raw, rows, before = zlib.decompress(packed), [], bytes(3 * width)
    for y in range(height):
        begin = y * (3 * width + 1)
        how, line = raw[begin], bytearray(raw[begin + 1:begin + 1 + 3 * width])
        for i in range(3 * width):
            a, b, c = line[i - 3] if i > 2 else 0, before[i], before[i - 3] if i > 2 else 0
            p = a + b - c
            paeth = min((a, b, c), key=lambda v: (abs(p - v), (v != a, v != b)))
            line[i] = (line[i] + (0, a, b, (a + b) // 2, paeth)[how]) & 255
        before = bytes(line)
        rows.append([tuple(line[i:i + 3]) for i in range(0, 3 * width, 3)])
    return rows
