#!/usr/bin/python3
"""The page under a bounded load of this machine: paired devices ask, slow strangers hold connections beside them.

Usage: bench_load.py PATH/TO/dropwise SOURCE_FOLDER [REQUESTS [SLOW]]
Starts `bench --lan`, pairs one device, opens SLOW (200) connections that send a request's head a byte at a time, and asks
REQUESTS (20,000) times from 8 threads as that device: the state, settings, the page's own files, a pattern's drift, a
preview. Prints one JSON document: errors, milliseconds (median, 99th percentile, longest), requests a second, memory of
the server after a tenth of the requests, half of them and all. Wanted: no error, memory flat, 99% under 100 ms."""
import http.client
import json
import pathlib
import random
import socket
import sys
import threading
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "bench"))
from bench import Bench  # noqa: E402  (reads the program's path from the command line)

REQUESTS = int(sys.argv[3]) if len(sys.argv) > 3 else 20000
SLOW = int(sys.argv[4]) if len(sys.argv) > 4 else 200
THREADS, CHECKPOINTS = 8, (0.1, 0.5, 1.0)


class Strangers(threading.Thread):
    """Connections without a token, each of which sends one more byte of a head now and then; a new one for each that the
    server sheds."""

    def __init__(self, port):
        super().__init__(daemon=True)
        self.port, self.over, self.shed = port, False, 0
        self.head = f"GET /api/state HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nX-Slow: {'x' * 4000}".encode()

    def open(self):
        held = socket.create_connection(("127.0.0.1", self.port), timeout=10)
        return [held, 0]

    def run(self):
        held = [self.open() for _ in range(SLOW)]
        while not self.over:
            for one in held:
                try:
                    one[0].send(self.head[one[1]:one[1] + 1])
                    one[1] += 1
                except OSError:
                    self.shed += 1
                    one[0].close()
                    one[:] = self.open()
            time.sleep(0.2)
        for one in held:
            one[0].close()


class Device(threading.Thread):
    """A paired one, on a connection that it keeps."""

    def __init__(self, number, load):
        super().__init__()
        self.dice, self.load, self.ms, self.errors = random.Random(number), load, [], []

    def ask(self, connection, path):
        began = time.perf_counter()
        connection.request("GET", path, headers=self.load.headers)
        response = connection.getresponse()
        response.read()
        self.ms.append(1000 * (time.perf_counter() - began))
        if response.status != 200:
            self.errors.append(f"{path}: {response.status}")

    def run(self):
        connection = http.client.HTTPConnection("127.0.0.1", self.load.bench.port, timeout=60)
        while self.load.take():
            try:
                self.ask(connection, self.dice.choice(self.load.paths))
            except (OSError, http.client.HTTPException) as fault:
                self.errors.append(repr(fault))
                connection.close()
        connection.close()


class Load:
    def __init__(self, bench):
        self.bench, self.left, self.lock = bench, REQUESTS, threading.Lock()
        self.memory, self.paths, self.headers = [], [], {}

    def prepare(self):
        self.bench.cookie = self.bench.pair()
        self.headers = {"Host": f"127.0.0.1:{self.bench.port}", "Cookie": self.bench.cookie}
        photo = self.bench.post("/api/samples/crawfish-1").json["id"]
        pattern = self.bench.post("/api/patterns", {"name": "perch", "note": "", "layers": ["back"]}).json["id"]
        self.paths = ["/api/state", "/api/settings", "/", "/app/main.js", f"/api/patterns/{pattern}/drift",
                      f"/api/photos/{photo}/preview"]

    def take(self):
        """One request less; the memory is noted on the way."""
        with self.lock:
            if self.left == 0:
                return False
            self.left -= 1
            if REQUESTS - self.left in [int(REQUESTS * part) for part in CHECKPOINTS]:
                self.memory.append(round(self.bench.memory_mib(), 1))
            return True


def main():
    bench = Bench("--lan")
    try:
        load = Load(bench)
        load.prepare()
        strangers = Strangers(bench.port)
        strangers.start()
        time.sleep(1)
        began = time.perf_counter()
        devices = [Device(i, load) for i in range(THREADS)]
        for device in devices:
            device.start()
        for device in devices:
            device.join()
        seconds = time.perf_counter() - began
        strangers.over = True
        strangers.join()
    finally:
        bench.close()
    ms = sorted(one for device in devices for one in device.ms)
    errors = [one for device in devices for one in device.errors]
    print(json.dumps({"requests": len(ms), "slow": SLOW, "shed": strangers.shed, "errors": len(errors),
                      "first_errors": errors[:3], "per_s": round(len(ms) / seconds), "median_ms": round(ms[len(ms) // 2], 2),
                      "p99_ms": round(ms[int(0.99 * len(ms))], 2), "longest_ms": round(ms[-1], 1),
                      "memory_mib": load.memory}))


if __name__ == "__main__":
    main()
