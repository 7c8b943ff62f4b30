"""What must be refused while the server goes on answering: bombs, floods, dawdlers, tricks with paths."""
import json
import os
import pathlib
import socket
import struct
import time
import zlib

from bench import SAMPLES, BenchTest, main


def png_chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(width, height, idat, kind=2):
    head = struct.pack(">IIBBBBB", width, height, 8, kind, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + png_chunk(b"IHDR", head) + png_chunk(b"IDAT", idat) + png_chunk(b"IEND", b"")


def jpeg_of_claimed_size(width, height):
    """A whole JPEG whose frame header claims another size."""
    data = bytearray((SAMPLES / "crawfish-1.jpg").read_bytes())
    at = data.index(b"\xff\xc0") if b"\xff\xc0" in data else data.index(b"\xff\xc2")
    data[at + 5:at + 9] = struct.pack(">HH", height, width)
    return bytes(data)


class Hostile(BenchTest):
    def raw(self, head, body=b"", wait=20):
        """Bytes as given; what comes back until the end, or until `wait` seconds are over."""
        with socket.create_connection(("127.0.0.1", self.bench.port), timeout=wait) as s:
            got = b""
            try:
                s.sendall(head + body)
                while part := s.recv(65536):
                    got += part
            except (ConnectionError, TimeoutError):
                pass
            return got

    def head(self, method, path, *lines):
        text = [f"{method} {path} HTTP/1.1", f"Host: 127.0.0.1:{self.bench.port}", *lines, "", ""]
        return "\r\n".join(text).encode("latin-1")

    def tearDown(self):
        self.assert_alive()
        left = [p.name for p in self.bench.photos.iterdir() if p.name.startswith(("incoming-", "spool-"))]
        self.assertEqual(left, [])

    # ---- photos -----------------------------------------------------------------------------------------------

    def test_png_bombs(self):
        self.assert_refused(self.bench.upload(png(60000, 60000, b""), kind="image/png"), 413)
        self.assert_refused(self.bench.upload(png(2**31 - 1, 2**31 - 1, b""), kind="image/png"), 413, 422)
        flat = zlib.compressobj(9)  # within the limit of pixels, but 1000 times its size when unpacked, then cut
        rows = flat.compress(bytes(3 * 7000 + 1) * 3000) + flat.flush()
        began = time.monotonic()
        self.assert_refused(self.bench.upload(png(7000, 8000, rows), kind="image/png"), 422)
        self.assertLess(time.monotonic() - began, 35)
        self.assertLess(self.bench.memory_mib("VmHWM"), 150)

    def test_jpeg_bombs(self):
        self.assert_refused(self.bench.upload(jpeg_of_claimed_size(65500, 65500)), 413)
        self.assert_refused(self.bench.upload(jpeg_of_claimed_size(7000, 8000)), 422)
        self.assertLess(self.bench.memory_mib("VmHWM"), 150)

    def test_a_photo_that_is_cut_off(self):
        words = self.assert_refused(self.bench.upload((SAMPLES / "crawfish-1.jpg").read_bytes()[:60000]), 422)
        self.assertIn("photo", words.lower())

    def test_what_is_no_photo(self):
        heic = b"\x00\x00\x00\x18ftypheic" + b"\x00" * 200
        for data in (heic, b"GIF89a" + bytes(100), b"RIFF\x00\x00\x00\x00WEBPVP8 " + bytes(50), b"<svg xmlns='x'/>",
                     b"%PDF-1.7", b"x", bytes(1000), os.urandom(5000), b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n"):
            self.assert_refused(self.bench.upload(data), 415, 422)
        self.assertIn("HEIC", self.assert_refused(self.bench.upload(heic), 415))
        self.assert_refused(self.bench.upload(b""), 400)

    def test_a_full_folder(self):
        filler = self.bench.photos / ("f" * 64 + ".jpg")
        with filler.open("wb") as f:
            f.truncate(4 << 30)  # takes no room on the disk
        try:
            self.assertIn("4 GiB", self.assert_refused_with_folder(self.bench.post("/api/samples/baitfish-1"), 413))
        finally:
            filler.unlink()

    def assert_refused_with_folder(self, answer, status):
        """The one sentence that has to name the folder: that is where the person must tidy up."""
        self.assertEqual(answer.status, status)
        self.assertIn(str(self.bench.photos), answer.json["error"])
        return answer.json["error"]

    # ---- bodies -----------------------------------------------------------------------------------------------

    def test_a_gigabyte_declared(self):
        for path, kind in (("/api/photos", "image/jpeg"), ("/api/predict", "application/json")):
            began = time.monotonic()
            got = self.raw(self.head("POST", path, "X-Dropwise: 1", f"Content-Type: {kind}",
                                     f"Content-Length: {1 << 30}"))
            self.assertIn(b" 413 ", got.split(b"\r\n")[0])
            self.assertLess(time.monotonic() - began, 5)
        for length in ("-1", "18446744073709551616", "99999999999999999999999", "12abc"):
            got = self.raw(self.head("POST", "/api/predict", "X-Dropwise: 1", "Content-Type: application/json",
                                     "Content-Length: " + length))
            self.assertRegex(got.split(b"\r\n")[0], rb" 4\d\d |^$")

    def flood(self, path, kind, megabytes):
        """Chunks without end; how many MiB were taken before the server hung up."""
        chunk = b"100000\r\n" + bytes(1 << 20) + b"\r\n"
        with socket.create_connection(("127.0.0.1", self.bench.port), timeout=30) as s:
            s.sendall(self.head("POST", path, "X-Dropwise: 1", f"Content-Type: {kind}",
                                "Transfer-Encoding: chunked"))
            for sent in range(megabytes):
                try:
                    s.sendall(chunk)
                except ConnectionError:
                    return sent
        return megabytes

    @staticmethod
    def under_way():
        """MiB that the kernel may hold of a connection, sent and not yet read: its largest buffers on both sides."""
        largest = (int(pathlib.Path("/proc/sys/net/ipv4", name).read_text().split()[2]) for name in ("tcp_rmem", "tcp_wmem"))
        return 2 + sum(largest) / (1 << 20)

    def test_a_gigabyte_streamed(self):
        self.assertLess(self.flood("/api/photos", "image/jpeg", 1024), 64 + self.under_way())
        self.assertLess(self.flood("/api/predict", "application/json", 1024), 1 + self.under_way())
        self.assertLess(self.bench.memory_mib("VmHWM"), 150)

    def test_a_photo_a_little_too_large_is_told_so(self):
        big = bytes((64 << 20) + 1)
        self.assert_refused(self.bench.ask("POST", "/api/predict", bytes((1 << 20) + 1)), 413)
        try:
            self.assert_refused(self.bench.upload(big), 413)
        except ConnectionError:
            pass  # hung up before all had been sent: allowed, no answer is then read

    def test_json_that_is_none(self):
        for body in (b"{", b"[]", b"null", b"5", b'"x"', b"{\"a\":1,\"a\":2}", b"\xff\xfe{}", b"{}{}",
                     b"{\"drops\":{\"orange\":NaN}}", b"{\"drops\":{\"orange\":1e999}}", b"\x00", b"{\"a\":\"\\u0000\"}"):
            self.assert_refused(self.bench.ask("POST", "/api/predict", body), 400)
        deep = b"[" * 500000
        self.assert_refused(self.bench.ask("POST", "/api/predict", b'{"drops":' + deep), 400)
        long_names = json.dumps({"drops": {"x" * 900000: 1}}).encode()
        self.assert_refused(self.bench.ask("POST", "/api/predict", long_names), 400)

    # ---- where a request ends ---------------------------------------------------------------------------------

    def framed(self, lines, body, begin="POST /api/predict HTTP/1.1"):
        """The answer's first line, whether the server hung up, and all it sent."""
        lines = [begin, "X-Dropwise: 1", "Content-Type: application/json", *lines, "", ""]
        if not any(line.lower().startswith("host") for line in lines):
            lines.insert(1, f"Host: 127.0.0.1:{self.bench.port}")
        got, closed = b"", True
        with socket.create_connection(("127.0.0.1", self.bench.port), timeout=5) as s:
            s.sendall("\r\n".join(lines).encode("latin-1") + body)
            try:
                while part := s.recv(65536):
                    got += part
            except ConnectionError:
                pass
            except TimeoutError:
                closed = False
        return got.split(b"\r\n")[0], closed, got

    def test_a_request_whose_end_is_unclear(self):
        """RFC 9112, 6.1 to 6.3 and 11.2: what two readers could cut in different places is refused, and its
        connection closed, so that its rest is never taken for a second request."""
        body = b'{"drops":{}}'
        chunks, length, host = b"c\r\n" + body + b"\r\n0\r\n\r\n", "Content-Length: 12", f"Host: 127.0.0.1:{self.bench.port}"
        hidden = b"GET /app/main.js HTTP/1.1\r\n" + host.encode() + b"\r\n\r\n"
        coding = "Transfer-Encoding: chunked"
        for lines, sent in (([length, length], body), ([length, "content-length: 2"], body), (["Content-Length: 2", length], body),
                            ([length, coding], chunks), ([coding, length], chunks), ([coding, coding], chunks),
                            (["Transfer-Encoding: gzip, chunked"], chunks), (["Transfer-Encoding: identity"], body),
                            (["Transfer-Encoding: chunked, identity"], chunks), (["Transfer-Encoding: xchunked"], chunks),
                            (["Transfer-Encoding:"], chunks), (["Content-Length : 12"], body),
                            (["Transfer-Encoding : chunked"], chunks), ([host, host, length], body),
                            (["Content-Length: +12"], body), (["Content-Length: -1"], body), (["Content-Length: 0x0c"], body),
                            (["Content-Length: 12,12"], body), (["Content-Length: 12 13"], body), (["Content-Length:"], body)):
            line, closed, got = self.framed(lines, sent + hidden)
            self.assertIn(b" 400 ", line, lines)
            self.assertTrue(closed, lines)
            self.assertNotIn(b" 200 ", got, lines)
        for path in ("/", "/api/state"):
            line, closed, _ = self.framed([length, coding], chunks, f"GET {path} HTTP/1.1")
            self.assertIn(b" 400 ", line)
            self.assertTrue(closed)
        for lines, sent in (([length, "Connection: close"], body), ([coding, "Connection: close"], chunks),
                            (["transfer-encoding: CHUNKED", "Connection: close"], b"c;x=y" + chunks[1:])):
            self.assertIn(b" 200 ", self.framed(lines, sent)[0], lines)

    # ---- paths ------------------------------------------------------------------------------------------------

    def test_tricks_with_paths(self):
        sha = "0" * 64
        for path in ("/../../etc/passwd", "/..%2f..%2fetc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/app/../../book.db",
                     "/app/%2e%2e/book.db", "//etc/passwd", "/api/photos/../../book.db/preview", "/app/main.js%00.png",
                     "/%00", "/api/state%00", "/api/state/", "/api//state", "/API/STATE", "/api/state/../state",
                     f"/api/photos/{sha[:-1]}g/preview", f"/api/photos/{sha}/preview/..", f"/api/photos/{sha}.jpg",
                     "/api/photos/lock/preview", "/app/samples/../../x", "/api/samples/..", "/book.db",
                     "/" + "a" * 20000, "*", "http://evil.example/api/state", "/\\..\\..", "/;/api/state"):
            got = self.raw(self.head("GET", path, "Connection: close"))
            self.assertRegex(got.split(b"\r\n")[0], rb" 4\d\d |^$", path)
            self.assertNotIn(b"root:", got)
        got = self.raw(self.head("GET", "/x\x00y", "Connection: close"), wait=5)
        self.assertRegex(got.split(b"\r\n")[0], rb" 4\d\d |^$")

    def test_heads_that_are_none(self):
        for bytes_sent in (b"\r\n\r\n\r\n", b"GET\r\n\r\n", b"\x16\x03\x01\x02\x00\x01\x00", os.urandom(3000),
                           b"GET / HTTP/9.9\r\n\r\n", b"GET /api/state HTTP/1.1\r\n\r\n"):
            got = self.raw(bytes_sent + b"\r\n\r\n", wait=3)
            self.assertNotIn(b" 200 ", got.split(b"\r\n")[0])
        many = [f"X-{i}: " + "y" * 500 for i in range(200)]
        self.assertNotIn(b" 200 ", self.raw(self.head("GET", "/api/state", *many), wait=5).split(b"\r\n")[0])

    # ---- time and number --------------------------------------------------------------------------------------

    def dawdle(self, head, body_byte):
        """A byte a second; seconds until the server hangs up."""
        began = time.monotonic()
        with socket.create_connection(("127.0.0.1", self.bench.port), timeout=1) as s:
            s.sendall(head)
            while time.monotonic() - began < 60:
                try:
                    s.sendall(body_byte)
                    if s.recv(1000) == b"":
                        break
                except TimeoutError:
                    continue
                except ConnectionError:
                    break
        return time.monotonic() - began

    def test_dawdlers_are_cut_off(self):
        slow_body = self.head("POST", "/api/predict", "X-Dropwise: 1", "Content-Type: application/json",
                              "Content-Length: 1000")
        self.assertLess(self.dawdle(slow_body, b" "), 30)
        slow_head = f"GET /api/state HTTP/1.1\r\nHost: 127.0.0.1:{self.bench.port}\r\nX: ".encode()
        self.assertLess(self.dawdle(slow_head, b"y"), 30)

    def test_200_connections(self):
        held = [socket.create_connection(("127.0.0.1", self.bench.port), timeout=5) for _ in range(200)]
        try:
            for s in held[:100]:
                s.sendall(b"GET /api/state HTTP/1.1\r\n")
            began = time.monotonic()
            self.assert_alive()
            self.assertLess(time.monotonic() - began, 2)
            self.assertLess(self.bench.memory_mib(), 150)
        finally:
            for s in held:
                s.close()

    def test_more_connections_than_it_takes(self):
        held = []
        try:
            for _ in range(450):
                held.append(socket.create_connection(("127.0.0.1", self.bench.port), timeout=5))
        except OSError:
            pass
        deadline = time.monotonic() + 40  # those that stay idle lose their places after 20 s
        try:
            while True:
                try:
                    self.assert_alive()
                    break
                except (OSError, EOFError) as fault:
                    if time.monotonic() > deadline:
                        raise AssertionError("no answer beside 450 idle connections") from fault
                    time.sleep(1)
        finally:
            for s in held:
                s.close()


if __name__ == "__main__":
    main()
