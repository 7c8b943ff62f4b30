"""Who may ask: hosts, origins, methods, pairing."""
import http.client
import socket
import subprocess
import time

from bench import PROGRAM, Bench, BenchTest, main


class Guard(BenchTest):
    def test_foreign_host(self):
        port = self.bench.port
        for host in ("evil.example", f"evil.example:{port}", "127.0.0.1", f"127.0.0.1.evil.example:{port}",
                     f"127.0.0.1:{port + 1}", f"127.0.0.1:{port}.evil.example", f"[::1]:{port}", "", None):
            self.assertIn(self.bench.get("/api/state", headers={"Host": host}).status, (400, 403), host)
            self.assertIn(self.bench.get("/", headers={"Host": host}).status, (400, 403), host)
        self.assertEqual(self.bench.get("/api/state", headers={"Host": f"localhost:{port}"}).status, 200)

    def test_foreign_origin(self):
        port = self.bench.port
        for origin in ("http://evil.example", f"http://evil.example:{port}", f"https://127.0.0.1:{port}", "null",
                       f"http://localhost:{port}", f"http://127.0.0.1:{port}.evil.example"):
            for method in ("GET", "POST"):
                path = "/api/state" if method == "GET" else "/api/predict"
                answer = self.bench.ask(method, path, {} if method == "POST" else None, headers={"Origin": origin})
                self.assert_refused(answer, 403)
        own = {"Origin": f"http://127.0.0.1:{port}"}
        self.assertEqual(self.bench.post("/api/predict", {"drops": {}}, headers=own).status, 200)
        self.assert_refused(self.bench.get("/api/state", headers={"Sec-Fetch-Site": "cross-site"}), 403)
        link = self.bench.get("/app/samples/crawfish-1.marks.json", headers={"Sec-Fetch-Site": "cross-site"})
        self.assertEqual(link.status, 200)  # a link from elsewhere may lead to the page, not into its data

    def test_port_80_goes_without_saying(self):
        """RFC 9110, 4.2.1 and 7.2: clients leave the default port out of Host and Origin."""
        with socket.socket() as probe:
            try:
                probe.bind(("127.0.0.1", 80))
            except OSError:
                self.skipTest("port 80 can't be had here")
        bench = Bench(port=80)
        try:
            for host in ("127.0.0.1", "localhost", "127.0.0.1:80"):
                self.assertEqual(bench.get("/api/state", headers={"Host": host}).status, 200, host)
                for origin in (f"http://{host}", f"http://{host}:80".replace(":80:80", ":80")):
                    answer = bench.post("/api/predict", {"drops": {}}, headers={"Host": host, "Origin": origin})
                    self.assertEqual(answer.status, 200, (host, origin))
            for host in ("evil.example", "127.0.0.1:8080", "127.0.0.1:80:80", "127.0.0.1:", ":80"):
                self.assertIn(bench.get("/api/state", headers={"Host": host}).status, (400, 403), host)
            own = {"Host": "127.0.0.1", "Origin": "http://localhost"}
            self.assert_refused(bench.post("/api/predict", {"drops": {}}, headers=own), 403)
        finally:
            bench.close()

    def test_writes_need_their_header_and_kind(self):
        self.assert_refused(self.bench.post("/api/predict", headers={"X-Dropwise": None}), 403)
        for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", None):
            self.assert_refused(self.bench.post("/api/predict", headers={"Content-Type": kind}), 415)
        self.assert_refused(self.bench.upload(b"x", kind="application/json"), 415)

    def test_methods(self):
        for method in ("PUT", "OPTIONS", "TRACE", "CONNECT", "PROPFIND", "FOO"):
            answer = self.bench.ask(method, "/api/state")
            self.assertIn(answer.status, (400, 403, 404, 405), method)
        wrong = self.bench.ask("DELETE", "/api/state")
        self.assert_refused(wrong, 405)
        self.assertEqual(wrong.headers["allow"], "GET")

    def test_no_other_site_is_let_in_by_headers(self):
        headers = self.bench.get("/api/state", headers={"Origin": f"http://127.0.0.1:{self.bench.port}"}).headers
        self.assertFalse([name for name in headers if name.startswith("access-control")])

    def test_taken_port(self):
        said = self.bench.command("bench", "--port", self.bench.port, code=3)
        self.assertIn(f"Port {self.bench.port} is taken", said)
        self.assertEqual(said.count("\n"), 1)

    def test_page_files_are_asked_for_again(self):
        first = self.bench.get("/app/samples/crawfish-1.jpg")
        self.assertEqual((first.status, first.headers["content-type"]), (200, "image/jpeg"))
        self.assertEqual(first.headers["cache-control"], "no-cache")
        self.assertIn("default-src 'none'", first.headers["content-security-policy"])
        again = self.bench.get("/app/samples/crawfish-1.jpg", headers={"If-None-Match": first.headers["etag"]})
        self.assertEqual((again.status, again.bytes), (304, b""))

    def test_loopback_needs_no_code(self):
        self.assertEqual(self.bench.code, "")


class Pairing(BenchTest):
    options = ("--lan",)

    def pair(self, code, **how):
        return self.bench.post("/api/pair", {"code": code}, **how)

    def test_1_nothing_without_a_token(self):
        for method, path in (("GET", "/api/state"), ("POST", "/api/predict"), ("POST", "/api/photos"),
                             ("POST", "/api/samples/crawfish-1"), ("GET", "/api/photos/" + "0" * 64 + "/preview")):
            answer = self.bench.ask(method, path, None if method == "GET" else b"{}",
                                    kind="image/jpeg" if path.endswith("photos") else "application/json")
            self.assert_refused(answer, 401)
        for cookie in ("dropwise_token=", "dropwise_token=" + "0" * 64, "dropwise_token=" + "0" * 5000, "x=y"):
            self.assert_refused(self.bench.get("/api/state", headers={"Cookie": cookie}), 401)

    def test_2_wrong_codes_are_limited(self):
        first = self.bench.code
        wrong = "000000" if first != "000000" else "111111"
        for code in (wrong, "", "12345", "1234567", wrong):
            self.assert_refused(self.pair(code), 401)
        time.sleep(1.5)
        self.assertIn("not the code", self.assert_refused(self.pair(first), 401))  # five misses: it has changed

    def test_3_code_once(self):
        bench = Bench("--lan")
        try:
            answer = bench.post("/api/pair", {"code": bench.code})
            self.assertEqual(answer.status, 200)
            cookie = answer.headers["set-cookie"]
            for part in ("HttpOnly", "SameSite=Strict", "Path=/"):
                self.assertIn(part, cookie)
            self.assertEqual(bench.post("/api/pair", {"code": bench.code}).status, 401)
            token = cookie.split(";")[0]
            self.assertEqual(bench.get("/api/state", headers={"Cookie": token}).status, 200)
            almost = token[:-1] + ("0" if token[-1] != "0" else "1")
            self.assertEqual(bench.get("/api/state", headers={"Cookie": almost}).status, 401)
            bench.stop()
            bench.start()
            self.assertEqual(bench.get("/api/state", headers={"Cookie": token}).status, 401)
        finally:
            bench.close()

    def test_4_wrong_codes_wait_and_the_paired_do_not(self):
        bench = Bench("--lan")
        try:
            token = bench.pair()
            for _ in range(30):
                answer = bench.post("/api/pair", {"code": "------"})
                self.assertEqual(answer.status, 401)
            self.assertRegex(answer.json["error"], r"wait \d+ s")
            self.assertEqual(bench.get("/api/state", headers={"Cookie": token}).status, 200)
        finally:
            bench.close()

    def test_6_strangers_make_room_for_the_paired(self):
        """Five addresses of this machine, each with more connections than one may hold."""
        bench, held = Bench("--lan"), []
        try:
            token = bench.pair()
            kept = http.client.HTTPConnection("127.0.0.1", bench.port, timeout=20)
            paired = {"Host": f"127.0.0.1:{bench.port}", "Cookie": token}
            kept.request("GET", "/api/state", headers=paired)
            self.assertEqual(kept.getresponse().read()[:1], b"{")
            same = kept.sock
            for k in range(5):
                for _ in range(130):
                    held.append(socket.create_connection(("127.0.0.1", bench.port), timeout=5,
                                                         source_address=(f"127.0.0.{k + 1}", 0)))
            for _ in range(5):
                self.assertEqual(bench.get("/api/state", headers={"Cookie": token}).status, 200)
            kept.request("GET", "/api/state", headers=paired)
            self.assertEqual(kept.getresponse().status, 200)
            self.assertIs(kept.sock, same)
            kept.close()
        finally:
            for s in held:
                s.close()
            bench.close()

    def test_5_the_terminal_shows_address_code_and_picture(self):
        process = subprocess.Popen([PROGRAM, "bench", "--lan", "--port", "0", "--book", self.bench.book],
                                   stdout=subprocess.PIPE, text=True)
        lines = []
        while not lines or not lines[-1].startswith("Control-C"):
            lines.append(process.stdout.readline())
        process.terminate()
        self.assertEqual(process.wait(30), 0)
        process.stdout.close()
        text = "".join(lines)
        self.assertRegex(text, r"http://[\d.]+:\d+/ and type the code \d{6}")
        self.assertGreater(text.count("\u2588"), 100)


if __name__ == "__main__":
    main()
