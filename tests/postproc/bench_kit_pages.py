"""The bench kit of one run of the program: its order, its numbers and its pages, and the way there in three "
  "commands."""

import json
import os
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOM = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent)) / "postproc"
sys.path[:0] = [str(ROOM), str(HERE)]

import appearance  # noqa: E402

appearance.use()
import matplotlib.pyplot as plt  # noqa: E402

import bench_kit  # noqa: E402
import handout  # noqa: E402
import run_file  # noqa: E402

PROGRAM = os.environ["DRYFRONT_BINARY"]


class Kit(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.place = Path(cls.folder.name)
        # A case to start from, its run, its page: three commands and no change of the file.
        for words in (["new"], ["run", "comparison.toml", "--out", "one.h5"], ["page", "one.h5"]):
            subprocess.run([PROGRAM, *words], cwd=cls.place, check=True, capture_output=True)
        cls.run_file = run_file.open_run_file(cls.place / "one.h5")
        cls.left, cls.right = cls.run_file.pair()

    @classmethod
    def tearDownClass(cls):
        cls.run_file.close()
        cls.folder.cleanup()

    def tearDown(self):
        plt.close("all")

    def pages(self, paper="a4", number=6, seed=1):
        return list(bench_kit.pages(plt, self.run_file, self.left, self.right, paper, number, seed))

    @staticmethod
    def words(figure):
        texts = figure.texts + [text for axes in figure.axes for text in axes.texts]
        return " ".join(" ".join(text.get_text().split()) for text in texts)

    def test_three_commands_make_a_page(self):
        self.assertGreater((self.place / "one.html").stat().st_size, 1e6)

    def test_every_round_has_each_mode_once_and_the_seed_decides(self):
        order = bench_kit.rounds(self.run_file, 50, 1)
        modes = len(self.run_file.modes)
        for begin in range(0, len(order), modes):
            self.assertEqual(sorted(order[begin:begin + modes]), list(range(modes)))
        self.assertEqual(order, bench_kit.rounds(self.run_file, 50, 1))
        self.assertNotEqual(order, bench_kit.rounds(self.run_file, 50, 2))
        # The first place of a round goes to each mode about as often: binomial, 50 draws, five deviations.
        first = sum(mode == 0 for mode in order[::modes])
        self.assertLess(abs(first - 25), 5 * (50 / 4) ** 0.5)

    def test_nothing_leaves_the_paper_or_lies_over_its_foot(self):
        for paper, size in handout.PAPERS.items():
            for page in self.pages(paper):
                self.assertEqual(tuple(page.get_size_inches()), size)
                page.canvas.draw()
                frame = page.bbox
                foot = bench_kit.FOOT * page.dpi
                for text in (t for t in page.texts if t.get_text()):
                    box = text.get_window_extent()
                    self.assertTrue(frame.x0 <= box.x0 and box.x1 <= frame.x1, text.get_text())
                    in_foot = text.get_position()[1] * size[1] < bench_kit.FOOT
                    self.assertTrue(in_foot or box.y0 >= foot - 0.15 * page.dpi, text.get_text())

    def test_the_record_sheet_has_a_row_for_every_activation(self):
        sheet = self.words(self.pages(number=40)[2])
        self.assertIn("record sheet 2 of 3", sheet)
        self.assertEqual(len(self.pages(number=6)), 4)

    def test_numbers_are_those_of_the_run(self):
        page = self.words(self.pages()[2])
        result = subprocess.run([PROGRAM, "run", "comparison.toml", "--out", "-", "--json", "--quiet"], cwd=self.place,
                                check=True, capture_output=True, text=True)
        specimens = json.loads(result.stdout)["specimens"]
        pair = next(p for p in specimens["pairs"] if p["effect"] == "coagulation")
        for key in ("first_shown", "second_shown"):
            self.assertIn(pair[key], page)
        for row in pair["per_mode"]:
            self.assertIn(" | ".join(str(number) for number in row), page)
        # More spread, more specimens; more certainty, more specimens.
        for lower, higher in zip(pair["per_mode"], pair["per_mode"][1:]):
            self.assertTrue(all(a <= b for a, b in zip(lower, higher)))
        self.assertTrue(all(row[0] <= row[1] for row in pair["per_mode"]))

    def test_the_cautions_stand_on_every_page(self):
        for page in self.pages():
            self.assertIn("Not for choosing settings on a patient", self.words(page))

    def test_figures_draws_it_when_asked(self):
        subprocess.run([PROGRAM, "figures", "one.h5", "--out", "with", "--kit", "--seed", "7", "--quiet"],
                       cwd=self.place, check=True, capture_output=True)
        for paper in handout.PAPERS:
            self.assertEqual((self.place / "with" / f"bench_kit_{paper}.pdf").read_bytes()[:5], b"%PDF-")
        wrong = subprocess.run([PROGRAM, "figures", "one.h5", "--seed", "7"], cwd=self.place, check=False,
                               capture_output=True, text=True)
        self.assertEqual(wrong.returncode, 1)


if __name__ == "__main__":
    unittest.main(verbosity=1)
