"""The page asked from many sides at once: whatever comes between, each is answered, and the book is whole. Built with
-DDW_TSAN=ON the server ends with a code of its own where two threads met at the same memory unguarded."""
import collections
import random
import threading

from bench import BenchTest, main, marks_of

THREADS, ROUNDS = 6, 12
# Done; not found, not as it was, refused by what somebody else did meanwhile.
ANSWERS = {200, 201, 204, 404, 409, 422}


class Together(BenchTest):
    def setUp(self):
        self.photo = "/api/photos/" + self.bench.post("/api/samples/crawfish-1").json["id"]
        self.card = {"card": marks_of("crawfish-1")["card"]}
        pattern = self.bench.post("/api/patterns", {"name": "perch", "note": "", "layers": ["back", "belly"]}).json["id"]
        self.pattern = f"/api/patterns/{pattern}"
        self.bench.post(self.pattern + "/targets", {"layer": "back", "lab": [31, 5, 9]})
        self.work = f"/api/work/{self.bench.post('/api/work', {'pattern': pattern}).json['id']}"
        self.answers, self.faults = collections.Counter(), []

    def look(self, dice):
        return [("GET", dice.choice(["/api/state", "/api/history", "/api/settings", self.work, self.pattern + "/drift",
                                     self.photo, self.photo + "/preview", "/app/main.js", "/api/backup"]), None)]

    def drag(self, dice):
        shape = f"ellipse:{dice.randrange(500, 620)},257,60x10"
        return [("POST", self.photo + "/measure", {"marks": self.card, "shape": shape, "classes": True, "quick": True}),
                ("POST", self.photo + "/light", self.card)]

    def pour(self, dice):
        cup = self.bench.get(self.work).json["cups"][0]
        return [("POST", self.work + "/pour", {"layer": "back", "seen": cup["seen"], "add": {"brown": dice.randrange(1, 3)}})]

    def change(self, dice):
        return [("PATCH", "/api/settings", {"units": dice.choice(["us", "metric"])}),
                ("PATCH", self.pattern, {"note": f"note {dice.random()}"}),
                ("POST", "/api/undo", {}), ("POST", "/api/redo", {})]

    def advise(self, dice):
        layer = {"name": "back", "target": [31, 5, dice.randrange(5, 15)], "drops": {"orange": 6}, "volume_floz": 4,
                 "capacity_floz": 5}
        return [("POST", "/api/advise", {"slab": {"thickness_mm": 10, "over": "gray"}, "layers": [layer]})]

    def person(self, number):
        dice = random.Random(number)
        try:
            for _ in range(ROUNDS):
                deed = dice.choice([self.look, self.look, self.drag, self.pour, self.change, self.advise])
                for request in deed(dice):
                    self.answers[self.bench.ask(*request).status] += 1
        except Exception as fault:  # a thread's own, told below
            self.faults.append(fault)

    def test_many_at_once(self):
        people = [threading.Thread(target=self.person, args=(i,)) for i in range(THREADS)]
        for person in people:
            person.start()
        for person in people:
            person.join()
        self.assertEqual(self.faults, [])
        self.assertGreaterEqual(self.answers.total(), THREADS * ROUNDS)
        self.assertLessEqual(set(self.answers), ANSWERS, self.answers)
        self.assertGreater(self.answers[200], self.answers.total() // 2, self.answers)
        self.assert_alive()
        self.bench.command("book", "check")


if __name__ == "__main__":
    main()
