"""A bench of a test's own: its folder, its book, a free port; and a client that speaks to it plainly."""
import http.client
import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

PROGRAM, ROOT = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve()
SAMPLES = ROOT / "samples"


def marks_of(name, *layers):
    """Those of a sample photo as the page has them, with all layers or only these."""
    marks = json.loads((SAMPLES / f"{name}.marks.json").read_text())
    marks.pop("photo")
    if layers:
        marks["layers"] = [layer for layer in marks["layers"] if layer["name"] in layers]
    return marks


class Answer:
    def __init__(self, response):
        self.status = response.status
        self.headers = {name.lower(): value for name, value in response.getheaders()}
        self.bytes = response.read()

    @property
    def json(self):
        return json.loads(self.bytes)


class Bench:
    """Starts `dropwise bench`, ends it by SIGTERM, and holds that it then exits with 0."""

    def __init__(self, *options, book=None, port=0):
        self.folder = tempfile.TemporaryDirectory(prefix="bench-")
        self.book = book or pathlib.Path(self.folder.name) / "book.db"
        self.photos = pathlib.Path(str(self.book) + ".photos")
        self.options = options
        self.wanted_port = port
        self.cookie = None
        self.start()

    def start(self):
        command = [PROGRAM, "bench", "--port", str(self.wanted_port), "--book", self.book, "--json", "--plugins",
                   PROGRAM.parent / "plugins", *self.options]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        text = ""
        while not text.endswith("}\n"):
            line = self.process.stdout.readline()
            if not line:
                raise RuntimeError("the bench did not start: " + self.process.stderr.read())
            text += line
        said = json.loads(text)
        self.code = said["code"]
        self.port = int(said["address"].rstrip("/").rsplit(":", 1)[1])

    def stop(self):
        self.process.terminate()
        code = self.process.wait(60)
        words = self.process.stderr.read()
        self.process.stdout.close()
        self.process.stderr.close()
        if code != 0:
            raise AssertionError(f"the bench ended with {code}: {words}")

    def close(self):
        self.stop()
        self.folder.cleanup()

    def ask(self, method, path, body=None, headers=None, kind="application/json"):
        """One request on a connection of its own. headers replace the usual ones; None leaves one out."""
        usual = {"Host": f"127.0.0.1:{self.port}"}
        if method not in ("GET", "HEAD"):
            usual |= {"X-Dropwise": "1", "Content-Type": kind}
        if self.cookie:
            usual["Cookie"] = self.cookie
        usual |= headers or {}
        if isinstance(body, (dict, list)):
            body = json.dumps(body).encode()
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in usual.items():
                if value is not None:
                    connection.putheader(name, value)
            if body is not None:
                connection.putheader("Content-Length", str(len(body)))
            connection.endheaders(body)
            return Answer(connection.getresponse())
        finally:
            connection.close()

    def get(self, path, **how):
        return self.ask("GET", path, **how)

    def post(self, path, body=None, **how):
        return self.ask("POST", path, {} if body is None else body, **how)

    def pair(self):
        """Pairs a device; its cookie."""
        return self.post("/api/pair", {"code": self.code}).headers["set-cookie"].split(";")[0]

    def upload(self, path_or_bytes, kind="image/jpeg", **how):
        data = path_or_bytes if isinstance(path_or_bytes, bytes) else pathlib.Path(path_or_bytes).read_bytes()
        return self.ask("POST", "/api/photos", data, kind=kind, **how)

    def sample_chips(self):
        """The body of POST /api/chips that takes in the sample photo of chips."""
        sample = self.post("/api/samples/chips-1").json
        chips = [{key: layer[key] for key in ("recipe", "thickness_mm", "over", "shape")} for layer in sample["marks"]["layers"]]
        return {"photo": sample["id"], "marks": {"card": sample["marks"]["card"]}, "chips": chips}

    def command(self, *words, code=0):
        """The command line on the same book: what it gives out, or says where it is to end with another code than 0."""
        done = subprocess.run([PROGRAM, *map(str, words), "--book", self.book], capture_output=True, text=True, timeout=120)
        if done.returncode != code:
            raise AssertionError((words, done.returncode, done.stderr))
        return done.stderr if code else done.stdout

    def memory_mib(self, field="VmRSS"):
        for line in pathlib.Path(f"/proc/{self.process.pid}/status").read_text().splitlines():
            if line.startswith(field + ":"):
                return int(line.split()[1]) / 1024
        raise RuntimeError("no " + field)


class BenchTest(unittest.TestCase):
    """One bench for all tests of a class."""
    options = ()

    @classmethod
    def setUpClass(cls):
        cls.bench = Bench(*cls.options)

    @classmethod
    def tearDownClass(cls):
        cls.bench.close()

    def assert_refused(self, answer, *status):
        """Refused with one of these, and with a sentence that a person can read."""
        self.assertIn(answer.status, status, answer.bytes[:300])
        words = answer.json["error"]
        self.assertRegex(words, r"^[A-Z\"].*[.)]$")
        self.assertNotIn(str(self.bench.folder.name), words, "a path of the server shows")
        return words

    def assert_alive(self):
        self.assertEqual(self.bench.get("/api/state").status, 200)


class WorkTest(BenchTest):
    """A bench of its own for each test, with cups of one pattern on it."""

    @classmethod
    def setUpClass(cls):
        pass

    @classmethod
    def tearDownClass(cls):
        pass

    def setUp(self):
        self.bench = Bench(*self.options)

    def tearDown(self):
        self.bench.close()

    def lay_out(self, name, targets):
        """Clear base on the bench for the layers of a new pattern, whose targets are these."""
        self.pattern = self.bench.post("/api/patterns", {"name": name, "note": "", "layers": list(targets)}).json["id"]
        for layer, lab in targets.items():
            self.bench.post(f"/api/patterns/{self.pattern}/targets", {"layer": layer, "lab": lab})
        self.work = self.bench.post("/api/work", {"pattern": self.pattern}).json

    def pour(self, cups):
        for layer, add in cups.items():
            seen = next(cup["seen"] for cup in self.work["cups"] if cup["layer"] == layer)
            answer = self.bench.post(f"/api/work/{self.work['id']}/pour", {"layer": layer, "seen": seen, "add": add})
            self.assertEqual(answer.status, 200, answer.bytes)
            self.work = answer.json


def main():
    unittest.main(argv=sys.argv[:1], verbosity=1)
