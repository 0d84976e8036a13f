"""What the run file says of a mode past the temperatures the model knows stands beneath figures, page and handout."""

import os
import sys
import tempfile
import unittest
from pathlib import Path

import h5py

HERE = Path(__file__).resolve().parent
TREE = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent))
sys.path[:0] = [str(TREE / "postproc"), str(HERE)]

import _synthetic_run as synthetic  # noqa: E402
import appearance  # noqa: E402

appearance.use()
import matplotlib.pyplot as plt  # noqa: E402

import comparison  # noqa: E402
import contact_sheet  # noqa: E402
import handout  # noqa: E402
import page  # noqa: E402
import page_data  # noqa: E402
import run_file  # noqa: E402
import traces  # noqa: E402

# Numbers that nobody could compute from the file, so that they can only come from the sentence itself.
SENTENCE = ("\"interrupted\" passed 300 \u00b0C, up to which the model knows tissue, at 1.23 s (4.56 mm from the "
            "middle, 7.89 mm deep) and reached 4321 \u00b0C: its depths marked * rest on that (coagulation).")


def texts(figure):
    return [t.get_text() for t in figure.findobj(lambda a: hasattr(a, "get_text") and a.get_visible())]


def joined(figure):
    return " ".join(" ".join(texts(figure)).split())


class PastRange(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.addCleanup(plt.close, "all")
        self.path = Path(folder.name) / "run.h5"
        synthetic.make(self.path, frames=5)

    def opened(self, passed):
        if passed:
            with h5py.File(self.path, "r+") as file:
                file["mode/interrupted"].attrs["past_range_sentence"] = SENTENCE
                file["mode/interrupted/summary"].attrs["past_range_coagulation"] = 1
        run = run_file.open_run_file(self.path)
        self.addCleanup(run.close)
        return run, *run.pair("continuous", "interrupted")

    def figures(self, run, left, right):
        return [comparison.comparison_figure(plt, run, left, right), comparison.fields_figure(plt, run, left, right),
                traces.depth_figure(plt, run),
                *(handout.handout_figure(plt, run, left, right, paper) for paper in handout.PAPERS)]

    def test_every_figure_with_depths_says_it_once(self):
        for figure in self.figures(*self.opened(True)):
            self.assertEqual(joined(figure).count(SENTENCE), 1)

    def test_footnotes_stand_clear_of_everything_else(self):
        for figure in self.figures(*self.opened(True))[:3]:
            renderer = figure.canvas.get_renderer()
            note = next(t for t in figure.texts if t.get_gid() == "footnotes").get_window_extent(renderer)
            others = [t for t in figure.texts if t.get_gid() != "footnotes" and t.get_text()]
            for other in [*others, *figure.legends, *figure.axes]:
                box = other.get_tightbbox(renderer) if other in figure.axes else other.get_window_extent(renderer)
                self.assertFalse(note.overlaps(box), other)
            self.assertGreaterEqual(note.x0, 0)
            self.assertLessEqual(note.x1, figure.bbox.width)

    def test_the_depth_and_no_other_is_marked(self):
        run, *_ = self.opened(True)
        _, rows = handout.number_rows(run)
        marked = [(row[0], k) for row in rows for k, cell in enumerate(row) if cell.endswith("*")]
        column = 2 + list(run.effects).index("coagulation")
        self.assertEqual(marked, [(run.mode("interrupted").label, column)])
        sheet, _ = contact_sheet.sheet_page(plt, [self.path], "continuous", "interrupted", 1, 1, lambda: None)
        self.assertRegex(joined(sheet), r"coagulation \d\.\d\d mm\*;")
        self.assertIn("* past the temperatures that the model knows", joined(sheet))

    def test_the_page_carries_sentence_and_mark(self):
        run, left, right = self.opened(True)
        data = page_data.page_data(run, left, right)
        self.assertEqual(data["past_range"], [f"* {SENTENCE}"])
        marks = {(mode["name"], effect) for mode in data["modes"] for effect, r in mode["result"].items() if r["mark"]}
        self.assertEqual(marks, {("interrupted", "coagulation")})
        text = page.assembled(run, data)
        self.assertIn('id="past-range"', text)
        self.assertIn("run.past_range", text)

    def test_a_file_without_it_shows_nothing(self):
        run, left, right = self.opened(False)
        for figure in self.figures(run, left, right):
            self.assertNotIn("*", joined(figure))
        self.assertEqual(page_data.page_data(run, left, right)["past_range"], [])


if __name__ == "__main__":
    unittest.main(verbosity=1)
