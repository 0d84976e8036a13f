"""The run file with known contours, made once for all tests of a class and opened."""
import tempfile
import unittest
from pathlib import Path

import _synthetic_run as synthetic
import appearance
import run_file

appearance.use()
import matplotlib.pyplot as plt  # noqa: E402


class OneRun(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.path = Path(cls.folder.name) / "run.h5"
        synthetic.make(cls.path)
        cls.data = run_file.open_run_file(cls.path)
        cls.left, cls.right = cls.data.pair()

    @classmethod
    def tearDownClass(cls):
        cls.data.close()
        cls.folder.cleanup()

    def tearDown(self):
        plt.close("all")
