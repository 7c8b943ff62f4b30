"""One adviser: whoever asks the same question of the same book gets the same first additions and the same predicted color.

Two questions: the correction of the cups of a batch (`advise --batch`, `pour`, the page) and the filling of the next ones
(`advise --pattern`, `pour --advised`, `drift --advise`, `sheet --next`, the page). STATES is the table: what is in the book,
then the question. What is compared is what each door gives out, to the digit.
"""
import contextlib
import math
import pathlib
import shutil
import sys
import tempfile
import unittest

HERE = pathlib.Path(__file__).parent
sys.path[:0] = [str(HERE.parent / "cli"), str(HERE.parent / "bench")]
import bench
from shop import SAMPLES, Shop

P = "creek crawfish"
GOOD = "brown=25;orange=1"          # gives the back's target within 1, by the fitted chips
GAVE = "32.1,4.9,8.6"


def cup(drops, *more, layer="back"):
    return ("pour", P, "--layer", layer, "--cup", drops, *more)


def gave(lab, *more, layer="back"):
    return ("pour", P, "--layer", layer, "--measured", lab, *more)


def poured(batch, drops, lab, *more, layer="back"):
    return cup(drops, "--batch", batch, "--measured", lab, *more, layer=layer)


def another(*words):
    """A batch beside those that there are."""
    return poured(*words, "--new")


def target(lab, layer="back"):
    return ("target", "set", P, layer, "--lab", lab)


GOOD_BATCHES = [another(i, GOOD, lab, "--good") for i, lab in enumerate(("32.2,4.8,8.5", "31.9,5,8.8", "32.1,4.9,8.6"), 1)]
OFF = poured("1", "brown=12;orange=4", "40,10,16")
OVER_BROWNED = poured("1", "orange=20;brown=30", "30,9,11")
# A pattern whose back has natural colors alone, its belly those beside its target.
TONES = [("pattern", "rename", P, "with targets"), ("pattern", "add", P, "--layer", "back", "--layer", "belly"), target("66.99,6.94,20.14", "belly"),
         ("tone", "add", "mud back", "--lab", "31,5,9", "--lab", "29,4,8", "--lab", "33,6,10", "--lab", "30,6,9"),
         ("tone", "add", "mud belly", "--lab", "62,8,22", "--lab", "64,7,21", "--lab", "60,8,20", "--lab", "63,9,23"),
         ("pattern", "tone", P, "back", "mud back"), ("pattern", "tone", P, "belly", "mud belly")]
UNWANTED = [("pattern", "unwanted", P, "orange"), ("settings", "unwanted", "red,purple")]
MORE_CHIPS = "recipe,thickness_mm,over,L,a,b\norange=3,3,white,77,20,28\norange=3,3,black,26.5,2.8,1.2\n"
OUT_OF_REACH = target("60,70,-40")

# Name: commands, and whose cups are asked for: a batch, or None for the next ones with the volume in fl oz (None: as last).
CORRECT = {
    "measured, near": ([poured("1", GOOD, GAVE)], "1"),
    "measured, off": ([poured("1", "brown=12;orange=4", "40,10,16")], "1"),
    "exactly right": ([poured("1", GOOD, "31.88,4.97,8.9")], "1"),
    "over-browned": ([OVER_BROWNED], "1"),
    "over-browned, the other layer right": ([OVER_BROWNED, poured("1", "white=13;orange=5;yellow=7", "66.9,6.9,20.2",
                                                                  layer="belly")], "1"),
    "full": ([cup("brown=12;orange=4", "--batch", "1", "--capacity", "4.05"), gave("40,10,16")], "1"),
    "gone too far": ([poured("1", "brown=40;white=4", "33,8,10", "--capacity", "4.3", layer="belly")], "1"),
    "added to since it was measured": ([poured("1", "brown=12;orange=4", "40,10,16"),
                                        ("pour", P, "--layer", "back", "--add", "brown=6")], "1"),
    "measured, corrected, measured": ([poured("1", "brown=12;orange=4", "40,10,16"),
                                       ("pour", P, "--layer", "back", "--add", "brown=8", "--measured", "35,7,12")], "1"),
    "measured twice": ([poured("1", "brown=12;orange=4", "40,10,16"), gave("39,9.5,15.5")], "1"),
    "thinned with clear base": ([poured("1", "brown=40;orange=2", "28,4,7"),
                                 ("pour", P, "--layer", "back", "--clear", "0.5", "--measured", "29,4.4,7.6")], "1"),
    "a new lot since": ([poured("1", "brown=12;orange=4", "40,10,16"), ("bottle", "lot", "brown", "B7")], "1"),
    "out of reach": ([OUT_OF_REACH, poured("1", "red=10", "45,40,20")], "1"),
    "another bottle gone": ([poured("1", "brown=12;orange=4", "40,10,16"), ("bottle", "remove", "black")], "1"),
    "its bottle taken off the shelf": ([OFF, ("bottle", "remove", "orange")], "1"),
    "its bottle gone, and the others fitted": ([OFF, ("bottle", "remove", "orange"), ("bottle", "fit")], "1"),
    "its bottle gone, and added to since": ([OFF, ("bottle", "remove", "orange"),
                                             ("pour", P, "--layer", "back", "--add", "brown=6")], "1"),
    "its bottle gone, not measured": ([cup("brown=12;orange=4", "--batch", "1"), ("bottle", "remove", "orange")], "1"),
    "its bottle fitted anew": ([OFF, ("bottle", "chips", MORE_CHIPS), ("bottle", "fit")], "1"),
    "a bottle that the fit does not know": ([poured("1", "brown=12;purple=2", "30,10,2")], "1"),
    "both layers measured": ([poured("1", "brown=12;orange=4", "40,10,16"),
                              poured("1", "white=10;yellow=4", "72,3,22", layer="belly")], "1"),
    "a reading set aside": ([poured("1", "brown=12;orange=4", "40,10,16"), gave("90,0,0")], "1"),
    "a thin slab over white": ([cup("brown=12;orange=4", "--batch", "1"),
                                gave("52,18,28", "--thickness", "4", "--over", "white")], "1"),
    "good batches before": ([*GOOD_BATCHES, another("4", "brown=12;orange=4", "40,10,16")], "4"),
    "see-through wanted": ([("pattern", "see-through", P, "belly", "0.6"),
                            poured("1", "white=10;yellow=4", "72,3,22", layer="belly")], "1"),
    "two fl oz": ([poured("1", "brown=6;orange=2", "40,10,16", "--volume", "2")], "1"),
    "outside its natural tone": ([*TONES, poured("1", "brown=12;orange=4", "40,10,16")], "1"),
    "inside its natural tone": ([*TONES, poured("1", GOOD, "31.5,5,9")], "1"),
    "the target outside the natural tone": ([*TONES, poured("1", "white=10;yellow=4", "72,3,22", layer="belly")], "1"),
    "unwanted bottles": ([*UNWANTED, poured("1", "brown=12;orange=4", "40,10,16")], "1"),
    "few drops and bottles": ([("settings", "max-drops", "24"), ("settings", "max-bottles", "3"),
                               poured("1", "brown=12;orange=4", "40,10,16")], "1"),
    "with a doubt": ([poured("1", GOOD, "33,5.6,9.6", "--uncertainty", "1.5")], "1"),
}
NEXT = {
    "fresh": ([], None),
    "fresh, 2 fl oz": ([], 2),
    "fresh, 8 fl oz": ([], 8),
    "fresh, out of reach": ([OUT_OF_REACH], None),
    "fresh, a bottle gone": ([("bottle", "remove", "brown")], None),
    "fresh, see-through wanted": ([("pattern", "see-through", P, "belly", "0.6")], None),
    "after a cup that was right": ([poured("1", GOOD, GAVE)], None),
    "after a cup that was right, 2 fl oz": ([poured("1", GOOD, GAVE)], 2),
    "after a cup that was off": ([poured("1", "brown=12;orange=4", "40,10,16")], None),
    "after a cup that was off, 2 fl oz": ([poured("1", "brown=12;orange=4", "40,10,16")], 2),
    "after too much brown": ([OVER_BROWNED], None),
    "after good batches": (GOOD_BATCHES, None),
    "after good batches, 2 fl oz": (GOOD_BATCHES, 2),
    "after good batches, 8 fl oz": (GOOD_BATCHES, 8),
    "good, then other drops went wrong": ([*GOOD_BATCHES, another("4", "brown=12;orange=4", "40,10,16")], None),
    "good, then the same drops went wrong": ([*GOOD_BATCHES, another("4", GOOD, "38,8,14")], None),
    "good, then the same drops went wrong, 8 fl oz": ([*GOOD_BATCHES, another("4", GOOD, "38,8,14")], 8),
    "a new lot since the good batches": ([*GOOD_BATCHES, ("bottle", "lot", "brown", "B7"),
                                          another("4", "brown=20;orange=2", "38,8,14")], None),
    "another target since the good batches": ([*GOOD_BATCHES, target("36,8,12")], None),
    "a bottle of the good batches gone": ([*GOOD_BATCHES, ("bottle", "remove", "orange")], None),
    "a bottle of the last cup gone": ([OFF, ("bottle", "remove", "orange")], None),
    "a bottle of the last cup gone, 2 fl oz": ([OFF, ("bottle", "remove", "orange")], 2),
    "good by force": ([poured("1", "brown=12;orange=4", "40,10,16", "--good", "--force")], None),
    "one layer good, one fresh": ([poured("1", GOOD, GAVE, "--good")], None),
    "both layers good": ([poured("1", GOOD, GAVE), poured("1", "white=13;orange=5;yellow=7", "66.8,6.8,20.2", "--good",
                                                          layer="belly")], None),
    "a thin slab over white": ([cup("brown=12;orange=4", "--batch", "1"),
                                gave("52,18,28", "--thickness", "4", "--over", "white")], None),
    "only a reading set aside": ([cup("brown=12;orange=4", "--batch", "1"), gave("90,0,0")], None),
    "out of reach, after a cup": ([OUT_OF_REACH, poured("1", "red=10", "45,40,20")], None),
    "natural tones, fresh": (TONES, None),
    "natural tones, after a cup inside": ([*TONES, poured("1", GOOD, "31.5,5,9")], None),
    "natural tones, after a cup outside": ([*TONES, poured("1", "brown=12;orange=4", "40,10,16")], None),
    "natural tones, after a cup outside, 2 fl oz": ([*TONES, poured("1", "brown=12;orange=4", "40,10,16")], 2),
    "natural tones, after good batches": ([*TONES, poured("1", "brown=12;orange=4", "40,10,16", "--good", "--force")], None),
    "unwanted bottles, fresh": (UNWANTED, None),
    "unwanted bottles, fresh, 8 fl oz": (UNWANTED, 8),
    "unwanted bottles of the good batches": ([*GOOD_BATCHES, *UNWANTED], None),
    "few drops and bottles": ([("settings", "max-drops", "20"), ("settings", "max-bottles", "2")], None),
    "an own bottle without chips": ([("bottle", "add", "teal")], None),
    "an own bottle like a starter's": ([("bottle", "add", "sun", "--like", "orange")], None),
    "effect bottle in the last cup": ([("bottle", "add", "pearl", "--role", "effect"),
                                       poured("1", "brown=12;orange=4", "40,10,16")], None),
}


def first_of(layers):
    """By layer: additions, clear base, and the color to come, of `advise --json` and the page's answer."""
    firsts = {layer["name"]: layer["advice"][0] for layer in layers if layer["advice"]}
    return {name: (a["add"], a["add_clear_floz"], a["predicted"]) for name, a in firsts.items()}


def drops_of(recipe):
    return {name: float(drops) for name, drops in (part.split("=") for part in recipe.split(",") if part)}


class OneAdviser(Shop):
    @classmethod
    def setUpClass(cls):
        cls.kept = tempfile.TemporaryDirectory()

    @classmethod
    def tearDownClass(cls):
        cls.kept.cleanup()

    def set_up_book(self, commands):
        """A book with the sample bottles fitted and two targets; then what the state says."""
        fitted = pathlib.Path(self.kept.name) / "fitted.db"
        if not fitted.exists():
            self.fitted()
            self.ok("pattern", "add", P, "--layer", "back", "--layer", "belly")
            self.ok(*target("31.88,4.97,8.9"))
            self.ok(*target("66.99,6.94,20.14", "belly"))
            self.ok("book", "backup", fitted)
        self.copy(fitted, self.book)
        more = self.folder / "more.csv"
        more.write_text(MORE_CHIPS)
        for command in commands:
            self.ok(*[more if word is MORE_CHIPS else word for word in command])

    def copy(self, one, other):
        for path in (other, pathlib.Path(f"{other}-wal"), pathlib.Path(f"{other}-shm")):
            path.unlink(missing_ok=True)
        shutil.copyfile(one, other)

    def page(self, body):
        return first_of(self.page_answer(body)["layers"])

    @contextlib.contextmanager
    def served(self):
        """The page's server, on a copy of the book as it is now."""
        book = self.folder / "page.db"
        book.unlink(missing_ok=True)
        self.ok("book", "backup", book)
        served = bench.Bench(book=book)
        try:
            yield served
        finally:
            served.close()

    def page_answer(self, body):
        with self.served() as served:
            answer = served.post("/api/advise", {"pattern": P, **body})
        self.assertEqual(answer.status, 200, answer.bytes)
        return answer.json

    def empty_cups(self, volume):
        """The question as the page puts it: with the cups that stand on it, still empty."""
        layers = self.json("pattern", "show", P)["layers"]
        return {"slab": {"thickness_mm": 10, "over": "gray"},
                "layers": [{"name": layer["name"], "target": layer["target"], "see_through": layer["see_through"],
                            "volume_floz": volume, "capacity_floz": 1.25 * volume, "drops": {}} for layer in layers]}

    def same(self, doors, least):
        """Every layer that a door speaks of, as the first door has it."""
        name, expected = next(iter(doors.items()))
        self.assertTrue(expected)
        for other, got in doors.items():
            self.assertGreaterEqual(len(got), least.get(other, 0), f"{other} says nothing")
            for layer, answer in got.items():
                self.assertEqual(answer, expected[layer], f"{other} and {name} on the {layer}")

    def correct(self, commands, batch):
        self.set_up_book(commands)
        doors = {"advise": first_of(self.json("advise", "--pattern", P, "--batch", batch)["layers"]),
                 "page": self.page({"batch": batch})}
        layers = self.json("pour", P, "--batch", batch, "--note", "asked")["layers"]
        doors["pour"] = {layer["name"]: (layer["add"], layer["add_clear_floz"], layer["then"])
                         for layer in layers if "add" in layer}
        for layer in layers:
            if "go_on" in layer:
                self.assertEqual(layer["go_on"], bool(layer["add"]) or layer["add_clear_floz"] > 0)
        self.same(doors, {"advise": 1, "page": 1})
        return doors

    def next(self, commands, volume, usual_slab=True):
        self.set_up_book(commands)
        more = ("--volume", volume) if volume else ()
        said = self.json("advise", "--pattern", P, *more)
        doors = {"advise": first_of(said["layers"]),
                 "page": self.page({"volume_floz": volume} if volume else {})}
        if usual_slab:
            doors["the page's cups"] = self.page(self.empty_cups(volume or 4))
        if not volume:
            drift = self.json("drift", P, "--advise")["layers"]
            doors["drift"] = {layer["name"]: (drops_of(layer["next"]["recipe"]), 0, layer["next"]["predicted"])
                              for layer in drift if layer.get("next", {}).get("known")}
            sheet = self.json("sheet", P, "--next")["cups"]
            doors["sheet"] = {cup["layer"]: (cup["drops"], 0, cup["color"]) for cup in sheet}
        poured_now = self.json("pour", P, "--advised", *more)["layers"]
        doors["pour --advised"] = {layer["name"]: (layer["cup"], 0, layer["predicted"]) for layer in poured_now}
        self.same(doors, {"advise": 2, "page": 2, "pour --advised": 2} | ({} if volume else {"sheet": 2}))
        return doors


class Held(OneAdviser):
    """A cup that holds a bottle that is not at hand any more."""

    CUP = cup("brown=12;orange=4", "--batch", "1")

    def doors(self, *commands):
        """By door: the cup's color by its drops, and all that is proposed to go into it."""
        self.set_up_book(commands)
        advise = self.json("advise", "--pattern", P, "--batch", "1")
        page = self.page_answer({"batch": "1"})
        work_cup = {"name": "back", "target": [31.88, 4.97, 8.9], "volume_floz": 4, "capacity_floz": 5,
                    "drops": {"brown": 12, "orange": 4}}
        asked = self.page_answer({"layers": [work_cup], "slab": {"thickness_mm": 10, "over": "gray"}})
        colors = {door: answer["layers"][0]["now"] for door, answer in
                  (("advise", advise), ("page", page), ("the page's cup", asked))}
        colors["pour"] = self.json("pour", P, "--batch", "1", "--note", "asked")["layers"][0]["predicted"]
        colors["sheet"] = self.json("sheet", P)["cups"][0]["color"]
        added = set()
        for answer in (advise, page, asked):
            self.assertTrue(answer["layers"][0]["advice"])
            for advice in answer["layers"][0]["advice"]:
                added |= set(advice["add"])
        return colors, added, advise

    def test_it_is_predicted_as_it_was_and_none_is_added(self):
        before, usual, _ = self.doors(self.CUP)
        self.assertEqual(len({tuple(color) for color in before.values()}), 1, before)
        self.assertIn("brown", usual)
        for what in ([("bottle", "remove", "brown")],
                     [("bottle", "remove", "brown"), ("bottle", "remove", "white")],
                     [("bottle", "remove", "brown", "--keep-chips")]):
            colors, added, said = self.doors(self.CUP, *what)
            self.assertEqual(colors, before, what)
            self.assertNotIn("brown", added)
            self.assertIn("The cup of the back holds brown", " ".join(said["warnings"]))

    def test_what_was_learned_of_it_stays(self):
        learned = [poured(i, "brown=12;orange=8", "46,20,30", "--new") for i in range(2, 5)]
        before, _, _ = self.doors(self.CUP, *learned)
        self.assertEqual(self.doors(self.CUP, *learned, ("bottle", "remove", "orange"))[0]["advise"], before["advise"])

    def test_the_newest_fit_that_knows_it_tells_its_color(self):
        gone = [("bottle", "remove", "orange"), ("bottle", "fit")]
        before, after = self.doors(self.CUP)[0], self.doors(self.CUP, *gone)[0]
        del after["pour"]  # what was predicted when it was poured
        self.assertEqual(len({tuple(color) for color in after.values()}), 1, after)
        for one, other in zip(before["advise"], after["advise"]):
            self.assertAlmostEqual(one, other, delta=1)  # the clear base and its surface are fitted anew

    def test_a_bottle_fitted_anew_is_the_one_at_hand(self):
        colors, added, said = self.doors(self.CUP, ("bottle", "chips", MORE_CHIPS), ("bottle", "fit"))
        del colors["pour"]  # what was predicted when it was poured
        self.assertEqual(len({tuple(color) for color in colors.values()}), 1, colors)
        self.assertNotIn("holds orange", " ".join(said["warnings"]))
        self.assertNotEqual(colors["advise"], self.doors(self.CUP)[0]["advise"])

    def test_the_starter_shelfs_bottles_under_the_own_fit(self):
        colors, added, said = self.doors(cup("brown=12;orange=4;purple=1", "--batch", "1"))
        self.assertEqual({tuple(colors[door]) for door in ("advise", "page", "pour", "sheet")}, {tuple(colors["advise"])})
        self.assertNotIn("purple", added)

    def test_a_reading_of_it_is_judged(self):
        before = self.correct([OFF], "1")["advise"]["back"]
        after = self.correct([OFF, ("bottle", "remove", "orange")], "1")["advise"]["back"]
        self.assertNotIn("orange", before[0])
        self.assertEqual(after, before)
        self.set_up_book([cup("brown=12;orange=4", "--batch", "1"), ("bottle", "remove", "orange"), gave("90,0,0")])
        self.assertIn("nothing was learned", self.json("pour", P, "--batch", "1", "--note", "x")["layers"][0]["set_aside_words"])


def add_tests():
    for kind, table in (("correct", CORRECT), ("next", NEXT)):
        for name, (commands, what) in table.items():
            def test(self, kind=kind, name=name, commands=commands, what=what):
                more = {"usual_slab": "slab" not in name} if kind == "next" else {}
                getattr(self, kind)(commands, what, **more)
            setattr(OneAdviser, f"test_{kind}: {name}", test)


class Order(OneAdviser):
    """What comes first."""

    def test_the_last_good_cup_again(self):
        doors = self.next(GOOD_BATCHES, None)
        self.assertEqual(doors["advise"]["back"][0], {"brown": 25, "orange": 1})

    def test_what_is_right_is_poured_again(self):
        doors = self.next([poured("1", GOOD, GAVE)], None)
        self.assertEqual(doors["advise"]["back"][0], {"brown": 25, "orange": 1})
        self.assertEqual(self.correct([poured("1", GOOD, GAVE)], "1")["pour"]["back"][:2], ({}, 0))

    def test_another_volume_keeps_the_bottles(self):
        for commands in ([], GOOD_BATCHES, [poured("1", "brown=12;orange=4", "40,10,16")]):
            usual = self.next(commands, None)["advise"]
            double = self.next(commands, 8)["advise"]
            for layer, (drops, _, _) in usual.items():
                self.assertEqual({name: 2 * n for name, n in drops.items()}, double[layer][0])

    def test_a_new_color_speaks_against_the_good_cup(self):
        doors = self.next([*GOOD_BATCHES, another("4", GOOD, "38,8,14")], None)
        self.assertNotEqual(doors["advise"]["back"][0], {"brown": 25, "orange": 1})

    def test_what_is_unwanted_is_in_no_recipe(self):
        for commands in (UNWANTED, [*GOOD_BATCHES, *UNWANTED]):
            for layers in self.next(commands, None).values():
                for drops, _, _ in layers.values():
                    self.assertFalse({"orange", "red", "purple"} & set(drops))
        for layers in self.correct([*UNWANTED, poured("1", "brown=12;orange=4", "40,10,16")], "1").values():
            self.assertFalse({"orange", "red", "purple"} & set(layers["back"][0]))

    def test_limits_hold_at_every_door(self):
        for layers in self.next([("settings", "max-drops", "20"), ("settings", "max-bottles", "2")], None).values():
            for drops, _, _ in layers.values():
                self.assertLessEqual(len(drops), 2)
                self.assertLessEqual(sum(drops.values()), 20)

    def test_led_to_its_tone_and_left_alone_inside(self):
        self.assertEqual(self.correct([*TONES, poured("1", GOOD, "31.5,5,9")], "1")["pour"]["back"][:2], ({}, 0))
        self.correct([*TONES, poured("1", "brown=12;orange=4", "40,10,16")], "1")
        back = self.json("advise", "--pattern", P, "--batch", "1")["layers"][0]
        self.assertEqual((back["aim"], back["tone"]["inside"]), ("natural tone", False))
        self.assertIn("too light, too bright", back["tone"]["words"])
        self.assertIn("natural", [a["plugin"] for a in back["advice"]] + [also for a in back["advice"] for also in a["also"]])
        after = back["advice"][0]["predicted"]
        spot = self.json("tone", "check", "mud back", "--lab=" + ",".join(map(str, after)))
        self.assertLess(spot["away_de00"], back["tone"]["away_de00"])
        poured_back = self.json("pour", P, "--batch", "1", "--note", "asked")["layers"][0]
        self.assertEqual((poured_back["tone"], poured_back["aim"]), (back["tone"], "natural tone"))
        drift = self.json("drift", P)["layers"][0]
        self.assertEqual(drift["tone"], back["tone"])
        for text in (self.ok("advise", "--pattern", P, "--batch", "1"), self.ok("drift", P)):
            self.assertIn(back["tone"]["words"], text)

    def test_a_target_goes_before_its_tone(self):
        self.correct([*TONES, poured("1", "white=10;yellow=4", "72,3,22", layer="belly")], "1")
        said = self.json("advise", "--pattern", P, "--batch", "1")
        belly = said["layers"][1]
        self.assertEqual((belly["aim"], belly["target"]), ("target", [66.99, 6.94, 20.14]))
        self.assertTrue(any("outside its natural tone \"mud belly\"" in note for note in said["warnings"]), said["warnings"])

    def test_the_table_is_long_enough(self):
        self.assertGreaterEqual(len(CORRECT) + len(NEXT), 30)


class OwnBottles(OneAdviser):
    """A maker's own bottles beside the invented starter shelf, which was poured from before."""
    OWN = [("bottle", "add", "mud", "--like", "brown"), ("bottle", "add", "sun", "--like", "orange"), ("bottle", "add", "snow", "--like", "white"),
           ("bottle", "add", "teal")]
    LACK = "teal: in no recipe without chips. Pour chips of 0.5, 2 and 8 drops per fl oz"

    def set_up_book(self, commands):
        for path in self.folder.glob("book.db*"):
            path.unlink()
        self.ok("pattern", "add", P, "--layer", "back", "--layer", "belly")
        self.ok(*target("31.88,4.97,8.9"))
        self.ok(*target("66.99,6.94,20.14", "belly"))
        for command in commands:
            self.ok(*command)

    def test_the_starter_shelf_is_in_no_recipe(self):
        for before in ([], [cup("brown=25;orange=1", "--batch", "1")], [poured("1", "brown=25;orange=1", "33,6,10", "--good", "--force")]):
            for commands in ([*before, *self.OWN], [*before, *self.OWN, ("bottle", "add", "orange")]):
                for door, layers in self.next(commands, None, usual_slab=not before).items():
                    for drops, _, _ in layers.values():
                        self.assertTrue(set(drops) <= {"mud", "sun", "snow"}, (door, drops))
        self.set_up_book([*self.OWN, poured("1", "mud=12;sun=4", "40,10,16")])
        layers = self.json("advise", "--pattern", P, "--batch", "1")["layers"]
        self.assertTrue(all(set(a["add"]) <= {"mud", "sun", "snow"} for layer in layers for a in layer["advice"]))
        self.assertEqual({"mud", "sun", "snow"}, {b["id"] for b in self.json("bottle", "list")["bottles"]} - {"teal"})

    def test_each_door_says_what_chips_are_missing(self):
        self.set_up_book(self.OWN)
        self.assertIn(self.LACK, " ".join(self.json("advise", "--pattern", P)["warnings"]))
        self.assertIn(self.LACK, " ".join(self.json("advise", "--target", "40,10,16")["warnings"]))
        self.assertIn(self.LACK, self.json("sheet", P, "--next")["warning"])
        self.assertIn(self.LACK, self.json("drift", P, "--advise")["warning"])
        self.assertIn(self.LACK, self.ok("bottle", "list"))
        self.assertIn("teal has no chips yet", self.run_any("predict", "--recipe", "teal=2")[2])
        self.assertIn(self.LACK, " ".join(self.json("pour", P, "--advised")["notes"]))
        self.assertIn(self.LACK, " ".join(self.json("pour", P, "--layer", "back", "--measured", "40,10,16")["notes"]))

    def test_nothing_known_is_no_recipe(self):
        self.set_up_book([("bottle", "add", "orange"), ("bottle", "add", "brown")])
        said = self.json("advise", "--pattern", P)
        self.assertEqual([a["add"] for layer in said["layers"] for a in layer["advice"] if a["add"]], [])
        self.assertIn("brown, orange: in no recipe without chips", " ".join(said["warnings"]))

    def test_show(self):
        self.set_up_book(self.OWN)
        sun, teal = self.json("bottle", "show", "sun"), self.json("bottle", "show", "teal")
        self.assertEqual((sun["known"], sun["look"], sun["known_range"]), (True, "orange", None))
        self.assertEqual((teal["known"], teal["look"], teal["swatches"], teal["hiding"]), (False, None, [], None))
        self.assertIn(self.LACK, self.ok("bottle", "show", "teal"))
        self.ok("bottle", "like", "teal", "blue")
        self.assertTrue(self.json("bottle", "show", "teal")["known"])
        self.ok("undo")
        self.assertFalse(self.json("bottle", "show", "teal")["known"])
        self.refused(2, "like one of the starter shelf", "bottle", "like", "teal", "plaid")

    def test_show_a_fitted_one(self):
        self.set_up_book([("bottle", "chips", SAMPLES / "chips.csv"), ("bottle", "fit")])
        orange, black = self.json("bottle", "show", "orange"), self.json("bottle", "show", "black")
        self.assertEqual(orange["known_range"], [0.5, 8])  # the smallest and largest loading in samples/chips.csv
        self.assertEqual([s["loading"] for s in orange["swatches"]], [0.5, 2, 8])
        # Contrast ratio Y over black / Y over white of ISO 6504-3: as predict has it for the same let-down.
        again = self.json("predict", "--recipe", "orange=4", "--thickness", "10", "--over", "white")
        self.assertEqual(orange["hiding"], {"see_through": again["see_through"], "loading": 4, "thickness_mm": 10})
        self.assertGreater(black["hiding"]["see_through"], orange["hiding"]["see_through"])
        text = self.ok("bottle", "show", "orange")
        for part in ("known from 0.5 to 8 drops per fl oz", "at 4 drops per fl oz in 10 mm", "strength 1.00, as its chips said"):
            self.assertIn(part, text)
        page = self.folder / "orange.html"
        self.ok("bottle", "show", "orange", "--html", page)
        self.assertEqual(page.read_text().count("<i style=\"background:#"), 3)

    def test_a_role_follows_the_chips(self):
        self.set_up_book([("bottle", "add", "brown", "--role", "white"), ("bottle", "add", "white", "--role", "brown"),
                          ("bottle", "chips", SAMPLES / "chips.csv"), ("bottle", "fit")])
        roles = {b["id"]: b["role"] for b in self.json("bottle", "list")["bottles"]}
        self.assertEqual((roles["brown"], roles["white"], roles["black"], roles["red"]), ("brown", "white", "black", "color"))
        self.ok("undo")
        self.assertEqual({b["id"]: b["role"] for b in self.json("bottle", "list")["bottles"]}["brown"], "white")


class Learned(OneAdviser):
    """What pours taught is said, the same at every door, only where the evidence is beyond two deviations."""

    def at_doors(self, said):
        by_pour = {b["bottle"]: b["words"] for b in said["learned"]}
        text = self.ok("pour", P, "--layer", "back", "--note", "asked")
        with self.served() as served:
            page = {b["id"]: b["learned"] for b in served.get("/api/state").json["shelf"]["bottles"]}
        spoke = False
        for name, words in by_pour.items():
            shown = self.json("bottle", "show", name)
            sure = shown["strength_sd"] > 0 and abs(math.log(shown["strength"])) > 2 * shown["strength_sd"]
            spoke = spoke or sure
            self.assertEqual(bool(words), sure, (name, shown["strength"], shown["strength_sd"]))
            self.assertEqual((words, page[name]), (shown["learned"], shown["learned"]))
            if not sure:
                self.assertNotIn(f"Learned: {name}", text)
        return spoke

    def test_one_photo_says_nothing_and_several_do(self):
        self.set_up_book([])
        lab = self.json("predict", "--recipe", "orange=5;brown=1", "--thickness", "10", "--over", "gray")["lab"]
        spoke = []
        for batch in range(1, 9):
            spoke.append(self.at_doors(self.json(*poured(str(batch), "orange=16;brown=4", ",".join(map(str, lab)), "--new"))))
        self.assertFalse(spoke[0])  # a quarter stronger, by one reading
        self.assertTrue(spoke[-1])  # by eight


add_tests()
for name in [name for name in dir(OneAdviser) if name.startswith("test_")]:
    for other in (Order, Held, OwnBottles, Learned):
        setattr(other, name, None)  # once is enough
unittest.main(argv=sys.argv[:1])
