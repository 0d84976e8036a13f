"""Labels of the section by geometry, outlines of the effects, and the cut specimen's colours, on a known run file."""

import os
import sys
import unittest
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
ROOM = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent)) / "postproc"
sys.path[:0] = [str(ROOM), str(HERE)]

from _one_run import OneRun  # noqa: E402
import matplotlib.pyplot as plt  # noqa: E402
from matplotlib.colors import to_rgb  # noqa: E402

import comparison  # noqa: E402
import contours  # noqa: E402
import cutaway  # noqa: E402
import labels  # noqa: E402
import palette  # noqa: E402


def luminance(colour):
    """Relative luminance (WCAG 2.2)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055)**2.4 for c in to_rgb(colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a, b):
    low, high = sorted((luminance(a), luminance(b)))
    return (high+0.05) / (low+0.05)


def area(r, z):
    return 0.5 * np.sum(r * np.roll(z, -1) - np.roll(r, -1) * z)


class Labels(OneRun):
    def check_axes(self, axes):
        axes.figure.canvas.draw()
        renderer = axes.figure.canvas.get_renderer()
        named = {a.get_gid() or "": a for a in [*axes.texts, *axes.lines]}
        boxes = {gid: t.get_window_extent(renderer) for gid, t in named.items() if gid.startswith("label ")}
        leaders = {gid: line for gid, line in named.items() if gid.startswith("leader ")}
        self.assertEqual({g.replace("label", "leader", 1) for g in boxes}, set(leaders))
        self.assertGreater(len(boxes), 3)
        for name, box in boxes.items():
            for other, its in boxes.items():
                self.assertFalse(other != name and box.overlaps(its), (name, other))
            for other, line in leaders.items():
                if other.split(" ", 1)[1] == name.split(" ", 1)[1]:
                    continue
                (x0, y0), (x1, y1) = axes.transData.transform(line.get_xydata())
                self.assertFalse(labels.crosses(((x0, y0), (x1, y1)), (box.x0, box.x1, box.y0, box.y1)), (name, other))
        for gid, leader in leaders.items():
            own = [line for line in axes.lines if line.get_gid() == gid.split(" ", 1)[1]]
            start = axes.transData.transform(leader.get_xydata()[0])
            points = np.concatenate([axes.transData.transform(line.get_xydata()) for line in own])
            self.assertLess(np.min(np.hypot(*(points - start).T)), 1.0, gid)  # on its own line, to a pixel
            self.assertEqual(leader._unscaled_dash_pattern[1], own[0]._unscaled_dash_pattern[1], gid)
            self.assertEqual(leader.get_color(), own[0].get_color())

    def test_every_label_is_tied_to_its_own_line(self):
        self.check_axes(comparison.comparison_figure(plt, self.data, self.left, self.right).axes[0])
        self.check_axes(cutaway.cutaway_figure(plt, self.data, self.left, self.right).axes[0])

    def test_labels_of_close_lines_are_placed_apart(self):
        close = [labels.Label(str(k), "x", 3.0, 0.5, [(0.8 * j, 1 + 0.1*k) for j in range(7)])
                 for k in range(4)]
        placed = labels.place(close, 1.4, 5.0, 8.0)
        for k, a in enumerate(placed):
            for b in placed[k + 1:]:
                self.assertTrue(labels.apart(a, b))

    def test_segments(self):
        self.assertTrue(labels.meet(((0, 0), (2, 2)), ((0, 2), (2, 0))))
        self.assertTrue(labels.meet(((0, 0), (0, 2)), ((0, 1), (0, 3))))  # along each other
        self.assertFalse(labels.meet(((0, 0), (1, 0)), ((0, 1), (1, 1))))
        self.assertTrue(labels.crosses(((0, 0), (4, 4)), (1, 2, 1, 2)))
        self.assertFalse(labels.crosses(((0, 0), (4, 0)), (1, 2, 1, 2)))


class Regions(OneRun):
    def test_the_area_is_that_of_the_known_half_ellipse(self):
        (r, z), = contours.effect_regions(self.data, self.left, "coagulation", len(self.left.time) - 1)
        self.assertAlmostEqual(abs(area(r, z)) / (np.pi / 4 * 7.4e-3 * 3.1e-3), 1, delta=0.01)

    def test_a_line_comes_to_the_axis_level(self):
        for mode in self.data.modes:
            for name in ("coagulation", "desiccation"):
                (r, z), = contours.effect_lines(self.data, mode, name, len(mode.time) - 1)
                order = np.argsort(r)
                self.assertEqual(r[order[0]], 0)
                self.assertAlmostEqual(z[order[0]], z[order[1]], delta=1e-12)

    def test_strokes_lie_over_what_has_coagulated(self):
        axes = comparison.comparison_figure(plt, self.data, self.left, self.right).axes[0]
        for mode in (self.left, self.right):
            patch, = [p for p in axes.patches if p.get_gid() == f"hatched {mode.name}"]
            self.assertEqual(patch.get_hatch(), palette.HATCH)
            self.assertAlmostEqual(patch.get_path().vertices[:, 1].max(), 1e3 * mode.effects["coagulation"].greatest,
                                   delta=0.01)


class Cut(OneRun):
    def test_it_says_that_it_is_an_illustration(self):
        figure = cutaway.cutaway_figure(plt, self.data, self.left, self.right)
        words = " ".join(t.get_text() for t in figure.texts)
        self.assertIn("Illustration: the outlines are computed, the colours are chosen", words)
        self.assertIn("Not for choosing settings on a patient", words)
        named = [t.get_text() for t in figure.axes[0].get_legend().get_texts()]
        self.assertEqual(named, ["fresh liver, ex vivo", "coagulated", "desiccated", "charred"])

    def test_labels_can_be_read(self):
        self.assertGreaterEqual(contrast(palette.INK, palette.CUT_PAPER), 4.5)  # WCAG 2.2, level AA

    def test_neighbouring_colours_can_be_told_apart_in_grey(self):
        pale, brown, black = (colour for colour, _ in palette.CUT_EFFECTS.values())
        for a, b in ((pale, brown), (brown, black), (palette.CUT_FRESH["liver"], pale)):
            self.assertGreater(contrast(a, b), 1.5, (a, b))


if __name__ == "__main__":
    unittest.main(verbosity=1)
