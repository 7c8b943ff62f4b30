"""samples/try.sh, as a newcomer runs it, with what is built already.  test_try.py BUILD SOURCE"""
import pathlib
import re
import struct
import subprocess
import sys
import tempfile
import unittest

BUILD, SOURCE = sys.argv[1], pathlib.Path(sys.argv[2])
del sys.argv[1:]


class Try(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.out = pathlib.Path(cls.folder.name, "out")
        cls.ran = subprocess.run(["sh", SOURCE / "samples" / "try.sh", BUILD, cls.out], capture_output=True, text=True, timeout=120,
                                 env={"PATH": "/usr/bin:/bin", "HOME": cls.folder.name})

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def test_ends_well_and_without_a_fault(self):
        self.assertEqual((self.ran.returncode, self.ran.stderr), (0, ""))

    def test_finds_two_baits_of_three_layers(self):
        found = self.ran.stdout.partition("What to add to which cup")[0]
        baits = re.findall(r"^Bait (\d) at ", found, re.M)
        layers = re.findall(r"^  (\w+) +\d+%  ", found, re.M)
        self.assertEqual((baits, layers), (["1", "2"], ["back", "middle", "belly"] * 2), found)

    def test_advises_each_cup(self):
        advice = self.ran.stdout.partition("What to add to which cup")[2]
        for layer in ("back", "middle", "belly"):
            cup = re.search(rf"^{layer}$(.*?)^(?=\S|\Z)", advice, re.M | re.S)
            self.assertTrue(cup, (layer, advice))
            self.assertRegex(cup[1], r"Add \+\d|[Ll]eave it|[Ss]tart a|Go on", layer)

    def test_leaves_picture_and_report(self):
        picture = (self.out / "crawfish-2.png").read_bytes()
        self.assertEqual(picture[:8], b"\x89PNG\r\n\x1a\n")
        self.assertEqual(struct.unpack(">II", picture[16:24]), (1400, 1000))
        report = (self.out / "crawfish-2.html").read_text()
        self.assertTrue(report.rstrip().endswith("</html>"))
        for layer in ("back", "middle", "belly"):
            self.assertIn(layer, report)
        self.assertIn(str(self.out / "crawfish-2.html"), self.ran.stdout)


if __name__ == "__main__":
    unittest.main()
