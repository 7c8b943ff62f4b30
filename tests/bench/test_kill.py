"""kill -9 of the page's server at random moments: every pour that it acknowledged over HTTP is in the book afterwards, once, with its
entry; every undo and redo that it acknowledged was done; and the book is whole.

Use: test_kill.py PROGRAM ROOT [KILLS]
"""
import http.client
import random
import sqlite3
import sys
import threading
import time
import unittest

from bench import Bench

KILLS = int(sys.argv[3]) if len(sys.argv) > 3 else 40
DONE, UNDONE = 0, 1


class Pouring(threading.Thread):
    """Pours one drop after the other until the server is gone; every third is taken back, and every other of these brought back.
    `sure` is how many drops were acknowledged, `maybe` how many there may be, if the answer to the last request was on its way."""

    def __init__(self, bench, work, sure):
        super().__init__()
        self.bench, self.work, self.sure, self.maybe, self.acknowledged = bench, work, sure, {sure}, 0
        self.fault = None

    def ask(self, path, body, then):
        self.maybe = {self.sure, then}
        answer = self.bench.post(path, body)
        if answer.status != 200:
            raise AssertionError((path, body, answer.status, answer.bytes[:200]))
        self.sure, self.maybe = then, {then}
        self.acknowledged += 1
        return answer.json

    def pour(self):
        seen = self.work["cups"][0]["seen"]
        self.work = self.ask(f"/api/work/{self.work['id']}/pour", {"layer": "back", "seen": seen, "add": {"brown": 1}}, self.sure + 1)

    def turn(self, way, then):
        self.work = self.ask(f"/api/{way}", {"entry": self.work[way]["entry"], "work": self.work["id"]}, then)["work"]

    def run(self):
        try:
            for i in range(10000):
                self.pour()
                if i % 3 == 2:
                    self.turn("undo", self.sure - 1)
                    if i % 2:
                        self.turn("redo", self.sure + 1)
        except (OSError, http.client.HTTPException):
            pass  # the server is gone
        except AssertionError as fault:
            self.fault = fault


class Kill(unittest.TestCase):
    def drops_in(self, bench):
        """What its book has, which must be whole, and an entry each pour that is done."""
        bench.command("book", "check")
        with sqlite3.connect(bench.book) as db:
            drops = [row[0] for row in db.execute("SELECT drops FROM addition")]
            entries = [row[0] for row in db.execute("SELECT e.state FROM entry e JOIN phrase p ON p.id = e.phrase WHERE p.kind = 'drops'")]
        db.close()
        self.assertTrue(all(n == 1 for n in drops))
        self.assertEqual(entries.count(DONE), len(drops))
        self.assertLessEqual(entries.count(UNDONE), 1)
        return len(drops)

    def test_nothing_acknowledged_is_lost(self):
        rng, sure, acknowledged = random.Random(20260501), 0, 0
        bench = Bench()
        pattern = bench.post("/api/patterns", {"name": "frog", "layers": ["back"]}).json
        work = bench.post("/api/work", {"pattern": pattern["id"]}).json
        for kill in range(KILLS):
            work = bench.get(f"/api/work/{work['id']}").json
            if kill % 20 == 19:  # before the cup is full
                done = bench.post(f"/api/work/{work['id']}/finish", {"seen": work["seen"], "good": False, "note": ""})
                self.assertEqual(done.status, 200, done.bytes)
                work = done.json
            pouring = Pouring(bench, work, sure)
            pouring.start()
            time.sleep(0.3 * rng.random())
            bench.process.kill()
            bench.process.wait()
            pouring.join(60)
            bench.process.stdout.close()
            bench.process.stderr.close()
            self.assertIsNone(pouring.fault)
            sure = self.drops_in(bench)
            self.assertIn(sure, pouring.maybe)
            acknowledged += pouring.acknowledged
            bench.start()
        bench.close()
        print(f"{KILLS} kills, {acknowledged} requests acknowledged, 0 lost, 0 doubled, 0 books corrupt")
        self.assertGreater(acknowledged, 2 * KILLS)  # the kills did hit a server at work


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=1)
