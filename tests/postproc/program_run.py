"""The figures of a run that the program itself computed: what is drawn is what it printed."""

import json
import os
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

import numpy as np

TREE = Path(os.environ["DRYFRONT_SOURCE_DIR"])
sys.path.insert(0, str(TREE / "postproc"))

import appearance  # noqa: E402

appearance.use()
import matplotlib.pyplot as plt  # noqa: E402

import comparison  # noqa: E402
import run_file  # noqa: E402

HALF_A_PIXEL = 0.5
# The main case, coarse and short of time steps: seconds.
COARSE = ["--set", "time.tolerance=4", "--set", "grid.fine_mm=0.2"]


class MainCase(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(cls.folder.cleanup)
        path = Path(cls.folder.name) / "main.h5"
        done = subprocess.run([
            os.environ["DRYFRONT_BINARY"], "run",
            str(TREE / "cases" / "main.toml"), "--out",
            str(path), "--json", *COARSE
        ],
                              capture_output=True,
                              text=True,
                              check=True)
        cls.printed = {mode["name"]: mode for mode in json.loads(done.stdout)["modes"]}
        cls.run_file = run_file.open_run_file(path)
        cls.addClassCleanup(cls.run_file.close)

    def test_every_pair_drawn_has_the_printed_depths(self):
        modes = self.run_file.modes
        compared = 0
        for left, right in zip(modes, [*modes[1:], modes[0]]):
            figure = comparison.comparison_figure(plt, self.run_file, left, right)
            axes = next(a for a in figure.axes if a.get_label() == "section")
            figure.canvas.draw()
            for mode in (left, right):
                for name, printed in self.printed[mode.name]["depth_mm"].items():
                    lines = [line for line in axes.lines if line.get_gid() == f"{name} {mode.name}"]
                    if printed == 0:
                        self.assertEqual(lines, [], (mode.name, name))
                        continue
                    drawn = np.nanmax(np.concatenate([line.get_ydata() for line in lines]))
                    pixels = axes.transData.transform([(0, drawn), (0, printed)])[:, 1]
                    self.assertLess(abs(pixels[1] - pixels[0]), HALF_A_PIXEL, (mode.name, name, drawn, printed))
                    compared += 1
            plt.close(figure)
        self.assertGreaterEqual(compared, 2 * len(modes))

    def test_half_widths(self):
        """The drawn line meets the surface where the summary says."""
        for mode in self.run_file.modes:
            printed = self.printed[mode.name]["half_width_mm"]["coagulation"]
            figure = comparison.comparison_figure(plt, self.run_file, mode, mode)
            axes = next(a for a in figure.axes if a.get_label() == "section")
            figure.canvas.draw()
            at_surface = [abs(x) for line in axes.lines if line.get_gid() == f"coagulation {mode.name}"
                          for x, z in zip(line.get_xdata(), line.get_ydata()) if z == 0]
            pixels = axes.transData.transform([(max(at_surface), 0), (printed, 0)])[:, 0]
            self.assertLess(abs(pixels[1] - pixels[0]), HALF_A_PIXEL, (mode.name, max(at_surface), printed))
            plt.close(figure)


if __name__ == "__main__":
    unittest.main(verbosity=1)
