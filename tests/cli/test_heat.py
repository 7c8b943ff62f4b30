"""How hot the cups are: noted by the minute, their spread against the maker's limit, what the pours say of it."""
import sys
import unittest

from shop import Shop

P = "creek crawfish"


class Heat(Shop):
    def setUp(self):
        super().setUp()
        self.crawfish()
        for layer in ("back", "belly"):
            self.ok("pour", P, "--batch", 1, "--new" if layer == "back" else "--us", "--layer", layer, "--cup", "orange=3")

    def note(self, layer, *words):
        return self.json("heat", P, 1, layer, *words)

    def test_notes_by_the_minute(self):
        self.note("back", "340F", "--minute", 0)
        self.note("belly", "165C", "--minute", 4, "--reheat")
        got = self.note("belly", "--reheat", "--minute", 9)
        self.assertEqual([(n["minute"], n["layer"], n["temperature_f"], n["reheat"]) for n in got["notes"]],
                         [(0, "back", 340, False), (4, "belly", 329, True), (9, "belly", None, True)])
        self.assertEqual((got["spread_f"], got["limit_f"], got["beyond"]), (11, None, False))
        out = self.ok("heat", P, 1)
        self.assertIn("minute   4  belly            329 F  reheated", out)
        self.assertIn("The cups are 11 F apart; no limit is set", out)
        for words in ("common practice, no source", "data sheet", "hot plastisol burns"):
            self.assertIn(words, out)
        self.assertIn("The cups are 6.11 C apart", self.ok("heat", P, 1, "--metric"))

    def test_the_limit_is_the_makers(self):
        self.note("back", "340F")
        self.note("belly", "345F")
        self.ok("settings", "heat-limit", "5F")
        self.assertEqual(self.json("heat", P, 1)["words"], "The cups are 5 F apart, within your limit of 5 F.")
        got = self.note("belly", "347F")
        self.assertTrue(got["beyond"])
        self.assertEqual(got["words"], "The cups are 7 F apart, 2 F over your limit of 5 F: even them before you pour.")
        self.ok("settings", "heat-limit", "3C")
        self.assertIn("3.89 C apart, 0.889 C over your limit of 3 C", self.ok("heat", P, 1, "--metric"))
        poured = self.json("pour", P, "--batch", 1, "--layer", "back", "--temperature", "346F")
        self.assertEqual((poured["heat"]["spread_f"], poured["heat"]["beyond"]), (1, False))

    def test_what_is_corrected_is_the_last_note(self):
        self.note("back", "340F", "--minute", 0)
        self.note("back", "430F", "--minute", 6)
        self.ok("batch", "correct", P, 1, "--layer", "back", "--temperature", "343F")
        self.assertEqual([n["temperature_f"] for n in self.json("heat", P, 1)["notes"]], [340, 343])
        self.assertIn("was 430 F, is 343 F", self.ok("history", "--most", 1))
        self.assertIn("whole", self.ok("book", "check"))

    def test_on_the_sheet(self):
        out = self.ok("sheet", P)
        self.assertEqual(out.count("temperature when poured ____"), 2)
        self.ok("settings", "heat-limit", "5F")
        self.note("back", "340F", "--minute", 12)
        self.note("back", "--reheat", "--minute", 8)
        out = self.ok("sheet", P)
        self.assertIn("temperature 340 F at minute 12, reheated 1 time", out)
        self.assertEqual(out.count("temperature when poured ____"), 1)
        self.note("belly", "332F", "--minute", 13)
        self.assertIn("! The cups are 8 F apart, 3 F over your limit", self.ok("sheet", P))
        page = self.folder / "sheet.html"
        self.ok("sheet", P, "--html", page, "--metric")
        html = page.read_text()
        for words in ("temperature 171 C at minute 12", "4.44 C apart", "common practice, no source"):
            self.assertIn(words, html)
        got = self.json("sheet", P)
        self.assertEqual([(cup["temperature_f"], cup["reheats"]) for cup in got["cups"]], [(340, 1), (332, 0)])
        self.assertTrue(got["heat"]["beyond"])

    def test_what_the_pours_say(self):
        got = self.json("heat", P)
        self.assertFalse(got["heat_blend"]["enough"])
        self.assertIn("not known", got["heat_drift"]["words"])
        spreads = [2, 9, 4, 7, 1, 10, 3, 8, 5, 6]
        for i, spread in enumerate(spreads):
            self.ok("pour", P, "--batch", f"b{i}", "--new", "--layer", "back", "--cup", "brown=5", "--temperature", 340, "--measured",
                    "33,8,10", "--blend", spread / 2 if i else 9)
            self.ok("pour", P, "--batch", f"b{i}", "--layer", "belly", "--cup", "white=5", "--temperature", 340 + spread)
        got = self.json("heat", P)
        answer = got["heat_blend"]
        self.assertEqual((answer["n"], answer["enough"], len(got["batches"])), (10, True, 10))
        # one of ten is out of order by eight places: sum of d^2 is 8^2 and eight neighbors moved by one: rho = 1 - 6 * 72 / 990
        self.assertAlmostEqual(answer["rho"], 1 - 6 * 72 / 990, places=3)
        self.assertLess(answer["low"], answer["rho"])
        self.assertIn("10 pours", answer["words"])
        self.assertIn("95% of", answer["words"])
        self.assertIn(answer["words"], self.ok("heat", P))

    def test_refused(self):
        for words, part in ((("back", "500F"), "did you mistype"), (("back",), "or --reheat"), (("back", "350K"), "as in 350F or 177C"),
                            (("tail", "340F"), "back, belly"), (("back", "340F", "--minute", 2.5), "whole minutes")):
            self.refused(2, part, "heat", P, 1, *words)
        self.refused(2, "name the layer", "heat", P, 1, "--reheat")
        self.refused(2, "no batch", "heat", P, 7, "back", "340F")
        self.assertEqual(self.json("heat", P, 1)["notes"], [])


sys.argv = sys.argv[:1]
unittest.main()
