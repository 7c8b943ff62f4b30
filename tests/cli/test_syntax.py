"""Syntax without traps: recipes as a shell leaves them, units, values that look like options."""
import sys
import unittest

from shop import Shop

PLUGINS = sys.argv[3]


class Recipes(Shop):
    def setUp(self):
        super().setUp()
        self.crawfish()

    FORMS = (["orange=6,brown=2"], ["orange=6;brown=2"], ["orange=6", "brown=2"], ["orange=6,", "brown=2"],
             [" orange = 6 , brown = 2 "])

    def test_one_recipe_in_every_form(self):
        want = self.json("predict", "--recipe", "orange=6,brown=2")
        for form in self.FORMS:
            self.assertEqual(self.json("predict", "--recipe", *form), want, form)
        self.assertEqual(self.json("predict", "--recipe=orange=6", "brown=2", "--thickness", "10"), want)
        self.assertEqual(self.json("predict", "--recipe", "orange=6", "--over", "gray", "--recipe", "brown=2"), want)

    def test_of_a_cup(self):
        for n, form in enumerate((["orange=12,brown=4"], ["orange=12", "brown=4"], ["orange=12", "--cup", "brown=4"])):
            got = self.json("pour", "creek crawfish", "--batch", n, "--new", "--layer", "back", "--cup", *form)
            self.assertEqual(got["layers"][0]["cup"], {"orange": 12, "brown": 4}, form)
        got = self.json("pour", "creek crawfish", "--layer", "back", "--add", "brown=1", "black=2")
        self.assertEqual(got["layers"][0]["cup"], {"orange": 12, "brown": 5, "black": 2})

    def test_of_several_layers(self):
        self.assertIn("white=3,brown=2 drops", self.ok("advise", "--pattern", "creek crawfish", "--cup", "back:brown=9",
                                                       "orange=4", "--cup", "belly:white=3", "--cup", "belly:brown=2"))

    def test_of_several_cups(self):
        blend = ["blend", "--cup", "orange=12", "brown=4", "--cup", "white=3"]
        self.assertEqual(self.json(*blend), self.json("blend", "--cup", "orange=12,brown=4", "--cup", "white=3"))
        self.assertEqual(len(self.json(*blend)["blends"]), 1)

    def test_what_a_shell_cut_is_questioned(self):
        for recipe in ("orange=6;", "orange=6,", "orange=6 ;  "):
            self.refused(2, "did the shell take the rest?", "predict", "--recipe", recipe)
            self.refused(2, "did the shell take the rest?", "advise", "--target", "45,22,30", "--cup", recipe)
        self.refused(2, "stands twice", "predict", "--recipe", "orange=6", "orange=2")
        self.refused(2, '"5" is not a part', "predict", "--recipe", "orange=1,5")
        # A word that is no part of a recipe is not swallowed.
        self.refused(2, "too much", "predict", "--recipe", "orange=6", "brown")

    def test_the_unit_is_printed_back(self):
        self.assertIn("orange=6,brown=2 drops per fl oz,", self.ok("predict", "--recipe", "orange=6,brown=2"))
        self.assertIn("in the cup: 4 fl oz, orange=12,brown=2 drops\n",
                      self.ok("advise", "--target", "45,22,30", "--cup", "orange=12,brown=2"))
        self.assertIn("in the cup: 4 fl oz, orange=12 drops\n",
                      self.ok("pour", "creek crawfish", "--layer", "back", "--cup", "orange=12"))

    def test_the_drops_of_a_cup_are_no_loading(self):
        # The drops of a usual cup of 4 fl oz: ten per fl oz.
        self.refused(2, "whole cup", "predict", "--recipe", "orange=28,brown=12")
        self.assertIn("xyz", self.json("predict", "--recipe", "orange=28,brown=12", "--force"))
        self.ok("predict", "--recipe", "orange=7,brown=3")
        csv = self.folder / "chips.csv"
        csv.write_text("recipe,thickness_mm,over,L,a,b\n\"orange=28,brown=12\",3,black,30,10,10\n")
        self.assertIn("Line 2: 40 drops per fl oz", " ".join(self.json("bottle", "chips", csv)["warnings"]))


class Units(Shop):
    def test_volumes(self):
        # 1 US fl oz = 29.5735295625 ml (NIST Handbook 44, appendix C)
        self.crawfish()
        cup = ["pour", "creek crawfish", "--layer", "back", "--cup", "orange=12", "--volume"]
        for volume in ("4floz", "4 fl oz", "118.29411825ml", "0.11829411825 l"):
            for metric in ([], ["--metric"]):
                self.assertEqual(self.json(*cup, volume, *metric)["layers"][0]["volume_floz"], 4, volume)
        for wrong in ("4oz", "4 ml oz", "ml", "-4ml", "4000000ml"):
            self.refused(2, "as in 4floz or 120ml", *cup, wrong)

    def test_temperatures(self):
        self.crawfish()
        cup = ["pour", "creek crawfish", "--layer", "back", "--cup", "orange=12", "--temperature"]
        for temperature, want in (("350F", 350), ("177C", 350.6), ("177 \u00b0C", 350.6)):
            for metric in ([], ["--metric"]):
                got = self.json(*cup, temperature, *metric)
                self.assertEqual((got["layers"][0]["temperature_f"], got["warning"]), (want, ""), temperature)
        self.refused(2, "or mean 325F", *cup, "325C")
        self.refused(2, "as in 350F or 177C", *cup, "350K")


class Settings(Shop):
    def test_list_show_set_unset(self):
        self.assertEqual(self.json("settings"), {"settings": {"units": "us", "volume": "4floz", "max-drops": "by-volume",
                                                              "max-bottles": "4", "step": "drops", "unwanted": "none", "heat-limit": "none", "card-width": "none"}, "set": []})
        self.assertFalse(self.book.exists())
        self.refused(2, "which takes", "settings", "volume", "much")
        self.refused(2, "there are units, volume", "settings", "color", "red")
        self.assertFalse(self.book.exists())
        self.assertEqual(self.json("settings", "volume", "3floz"), {"settings": {"volume": "3floz"}, "set": ["volume"]})
        self.assertIn("volume       3floz", self.ok("settings", "volume"))
        self.assertIn("Took back: setting volume 3floz", self.ok("undo"))
        self.assertEqual(self.json("settings")["set"], [])
        self.ok("redo")
        self.ok("settings", "volume", "--unset")
        self.assertIn("volume       4floz      (not set)", self.ok("settings"))

    def test_commands_go_by_them(self):
        self.crawfish()
        for name, value in (("units", "metric"), ("volume", "88.7205886875ml"), ("max-bottles", "1"), ("step", "syringe")):
            self.ok("settings", name, value)
        cup = ["pour", "creek crawfish", "--layer", "back", "--cup", "orange=12"]
        out = self.ok(*cup, "--temperature", "177")  # degrees Celsius by the setting
        self.assertIn("in the cup: 89 ml, orange=12 drops", out)
        got = self.json(*cup, "--volume", "4", "--us", "--temperature", "350")["layers"][0]
        self.assertEqual((got["volume_floz"], got["temperature_f"]), (4, 350))
        self.refused(2, "either --metric or --us", *cup, "--us", "--metric")
        advise = ["advise", "--target", "45,22,30", "--plugins", PLUGINS, "--plugin", "nearest"]
        by_settings = self.json(*advise)
        over_them = self.json(*advise, "--max-bottles", 4, "--step", "drops", "--volume", "4floz")
        self.book, other = self.folder / "other.db", self.book
        self.crawfish()
        self.assertEqual(self.json(*advise, "--max-bottles", 1, "--step", "syringe", "--volume", "3floz"), by_settings)
        self.assertEqual(self.json(*advise), over_them)
        self.assertNotEqual(by_settings["layers"], over_them["layers"])
        self.book = other
        advised = self.json("pour", "creek crawfish", "--advised")["layers"]
        self.assertEqual([(l["volume_floz"], len(l["cup"])) for l in advised], [(3, 1)] * len(advised))

    def test_a_book_that_is_damaged_is_said_by_who_needs_it(self):
        self.book.write_bytes(b"x" * 5000)
        self.refused(2, "not a book", "predict", "--recipe", "orange=6")
        self.assertEqual(self.run_any("compare", "50,0,0", "51,0,0")[0], 0)


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0]], verbosity=1)
