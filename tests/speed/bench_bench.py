#!/usr/bin/python3
"""The bench's server as a person feels it: region updates while dragging, memory, first byte.

Usage: bench_bench.py PATH/TO/dropwise SOURCE_FOLDER [--limits]
Ten photos of 12 megapixels (the sample photos enlarged; JPEG) are opened one after the other; on the last one
rectangles and ellipses of several sizes are dragged over a bait with `classes` asked for.  Prints one JSON
document; with --limits exit 1 when a limit of the project is missed; 77 without Pillow."""
import http.client
import io
import json
import pathlib
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "bench"))
from bench import SAMPLES, Bench  # noqa: E402  (reads the program's path from the command line)

try:
    from PIL import Image, ImageEnhance
except ImportError:
    print("skipped: Pillow is not installed")
    sys.exit(77)

SCALE = 3  # 1400 x 1000 to 4200 x 3000
DRAG_LIMIT_MS, MEMORY_LIMIT_MIB, PAGE_LIMIT_MS = 100, 150, 1000


def enlarged(name, brightness):
    image = Image.open(SAMPLES / f"{name}.jpg")
    image = image.resize((image.width * SCALE, image.height * SCALE), Image.LANCZOS)
    out = io.BytesIO()
    ImageEnhance.Brightness(image).enhance(brightness).save(out, "JPEG", quality=92)
    return out.getvalue()


class Client:
    """One connection kept open, as a browser does."""

    def __init__(self, port):
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        self.host = f"127.0.0.1:{port}"

    def ask(self, method, path, body=None):
        began = time.perf_counter()
        headers = {"X-Dropwise": "1", "Content-Type": "application/json"} if method != "GET" else {}
        self.connection.request(method, path, json.dumps(body) if body is not None else None, headers)
        response = self.connection.getresponse()
        data = response.read()
        return response.status, data, 1000 * (time.perf_counter() - began)


def percentile(values, share):
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def drag(client, address, marks, shape, steps=60):
    times = []
    for i in range(steps):
        status, data, ms = client.ask("POST", address + "/measure",
                                      {"marks": marks, "shape": shape(i), "classes": True, "quick": True})
        if status != 200:
            raise SystemExit(f"{shape(i)}: {status} {data[:200]}")
        times.append(ms)
    return {"median_ms": round(percentile(times, .5), 1), "p95_ms": round(percentile(times, .95), 1)}


def open_ten(bench):
    client, times = Client(bench.port), []
    names = ["crawfish-1", "crawfish-2", "crawfish-3", "baitfish-1", "baitfish-2"]
    for i in range(10):
        data = enlarged(names[i % 5], 1 - 0.02 * i)
        began = time.perf_counter()
        photo = bench.upload(data).json
        client.ask("GET", f"/api/photos/{photo['id']}/preview?side=1600")
        times.append(1000 * (time.perf_counter() - began))
        last = (names[i % 5], photo)
    return last, round(percentile(times, .5), 1)


def main():
    bench = Bench()
    try:
        client = Client(bench.port)
        page_ms = min(client.ask("GET", "/")[2] for _ in range(5))
        state_ms = min(client.ask("GET", "/api/state")[2] for _ in range(5))
        (name, photo), open_ms = open_ten(bench)
        marks = json.loads((SAMPLES / f"{name}.marks.json").read_text())
        card = {"card": marks["card"] | {"corners": [SCALE * v for v in marks["card"]["corners"]]}}
        x, y = (SCALE * int(v) for v in marks["layers"][0]["shape"].split(":")[1].split(",")[:2])
        address = f"/api/photos/{photo['id']}"
        client = Client(bench.port)
        light_ms = client.ask("POST", address + "/light", card)[2]
        drags = {}
        for w, h in ((400, 72), (600, 300), (1000, 700), (2400, 1600)):
            drags[f"rect {w}x{h}"] = drag(client, address, card, lambda i: f"rect:{max(0, x - w // 2 + i)},{max(0, y - h // 4 + i)},{w}x{h}")
        drags["ellipse 400x72"] = drag(client, address, card, lambda i: f"ellipse:{x + 200 + i},{y + i},200x36")
        result = {"page_first_ms": round(page_ms, 1), "state_ms": round(state_ms, 1), "open_12_mp_ms": open_ms,
                  "light_ms": round(light_ms, 1), "drag": drags, "memory_mib": round(bench.memory_mib(), 1),
                  "memory_peak_mib": round(bench.memory_mib("VmHWM"), 1)}
    finally:
        bench.close()
    print(json.dumps(result, indent=2))
    worst = max(d["p95_ms"] for d in result["drag"].values())
    missed = worst > DRAG_LIMIT_MS or result["memory_mib"] > MEMORY_LIMIT_MIB or result["page_first_ms"] > PAGE_LIMIT_MS
    return 1 if missed and "--limits" in sys.argv else 0


if __name__ == "__main__":
    sys.exit(main())
