"""The lines of an effect against a run file whose contours are known: where they cross columns and the surface."""

import os
import sys
import unittest
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
ROOM = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent)) / "postproc"
sys.path[:0] = [str(ROOM), str(HERE)]

import _synthetic_run as synthetic  # noqa: E402
from _one_run import OneRun  # noqa: E402
import contours  # noqa: E402
import run_file  # noqa: E402


def last_crossing(x, excess):
    """Where the less bent of the two parabolas around the last sign change is zero, and how far off a line is.

    By polynomials through three points and their roots, apart from the formulas of the program.
    """
    k = np.flatnonzero(excess >= 0)[-1]
    fits = [np.polyfit((x[points] - x[k]) / (x[k + 1] - x[k]), excess[points], 2)
            for points in ([k - 1, k, k + 1], [k, k + 1, k + 2]) if points[0] >= 0 and points[-1] < len(x)]
    roots = np.roots(min(fits, key=lambda fit: abs(fit[0])))
    share, = (root.real for root in roots if abs(root.imag) < 1e-12 and -1e-9 <= root.real <= 1 + 1e-9)
    linear = excess[k] / (excess[k] - excess[k + 1])
    return x[k] + share * (x[k + 1] - x[k]), abs(share - linear)


class Contours(OneRun):
    def test_lines_pass_through_the_depth_of_every_column(self):
        for mode in (self.left, self.right):
            for name in ("coagulation", "desiccation"):
                lines = contours.effect_lines(self.data, mode, name, len(mode.time) - 1)
                r = np.concatenate([line[0] for line in lines])
                z = np.concatenate([line[1] for line in lines])
                touched = 0
                for column, radius in enumerate(self.data.r):
                    here = z[np.abs(r - radius) < 1e-12]
                    if here.size:
                        touched += 1
                        truth = self.known_depth(mode, name, radius)
                        self.assertLess(abs(here.max() - truth), 0.02e-3, (mode.name, name, column))
                self.assertGreater(touched, 5)

    def test_lines_are_the_deepest_crossings_of_the_solver(self):
        # The rule of the solver: in a column the deepest cell inside, then a parabola to the next centre below.
        for name, key in (("coagulation", "omega_liver"), ("desiccation", "water_fraction")):
            values = np.asarray(self.right.fields[key][-1], float)
            excess = np.log(np.maximum(values, contours.LEAST_OMEGA)) if name == "coagulation" else 0.5 - values
            self.check_against_the_rule(self.right, name, len(self.right.time) - 1, excess)

    def test_lines_follow_the_rule_where_straight_lines_would_miss(self):
        # Damage that falls by many decades in a cell, faster and faster or slower and slower; one with a jump below it.
        r, z = np.meshgrid(self.data.r, self.data.z)
        above = 1 - (r / 5e-3) ** 2 - z / 2e-3
        steep = 20 * np.sign(above) * np.sqrt(np.abs(above))
        for excess in (20 * above * (1 + z / 2e-4), steep, steep - 5 * (z > 1.3e-3)):
            mode = self.damaged(np.exp(excess))
            linear = self.check_against_the_rule(mode, "coagulation", 0, np.maximum(excess,
                                                                                    np.log(contours.LEAST_OMEGA)))
            self.assertGreater(linear, 0.03)

    def check_against_the_rule(self, mode, name, frame, excess):
        """Every column's deepest point and the crossing of the surface. Returns how much a line would miss [cells]."""
        lines = contours.effect_lines(self.data, mode, name, frame)
        r, z = (np.concatenate([line[k] for line in lines]) for k in (0, 1))
        missed = 0
        for i in np.flatnonzero((excess >= 0).any(axis=0)):
            depth, linear = last_crossing(self.data.z, excess[:, i])
            drawn = z[np.abs(r - self.data.r[i]) < 1e-12].max()
            self.assertAlmostEqual(drawn, depth, delta=1e-9, msg=f"{mode.name} {name} column {i}")
            missed = max(missed, linear)
        half_width, _ = last_crossing(self.data.r, excess[0])
        self.assertAlmostEqual(r[z == 0].max(), half_width, delta=1e-9)
        return missed

    def damaged(self, omega):
        return run_file.Mode(
            "x", "x", np.array([0.0]), {"omega_liver": omega[None]},
            {"coagulation": run_file.Effect("coagulation", np.full(
                (1, len(self.data.r)), 1.0), 1, 0, 0, 0, [])}, {}, {}, {})

    def known_depth(self, mode, name, radius):
        entry = next(e for e in synthetic.MODES if e[0] == mode.name)
        part = synthetic.EFFECT_SHARE[name]
        return float(synthetic.ellipse_depth(radius, part * entry[4] * 1e-3, part * entry[5] * 1e-3))

    def test_lines_reach_the_axis_and_the_surface_and_have_no_branch_along_the_axis(self):
        for mode in self.data.modes:
            (r, z), = contours.effect_lines(self.data, mode, "coagulation", len(mode.time) - 1)
            self.assertEqual(min(r), 0)
            self.assertEqual(min(z), 0)
            self.assertEqual(np.count_nonzero(r < self.data.r[0] / 2), 1)

    def test_overhang_below_the_surface_is_a_closed_line(self):
        r, z = np.meshgrid(self.data.r, self.data.z)
        ball = np.hypot(r - 4e-3, z - 2e-3)
        mode = self.damaged(np.exp(1e3 * (1e-3 - ball)))
        (x, y), = contours.effect_lines(self.data, mode, "coagulation", 0)
        self.assertEqual((x[0], y[0]), (x[-1], y[-1]))
        self.assertLess(np.max(np.abs(np.hypot(x - 4e-3, y - 2e-3) - 1e-3)), 0.03e-3)

    def test_depth_curve_ends_at_the_half_width(self):
        effect = self.left.effects["coagulation"]
        r, z = contours.depth_curve(self.data.r, effect.depth[-1], effect.half_width)
        self.assertEqual((r[0], z[-1]), (0.0, 0.0))
        self.assertAlmostEqual(r[-1], effect.half_width, delta=1e-3)

    def test_no_effect_no_line(self):
        self.assertEqual(contours.effect_lines(self.data, self.left, "coagulation", 0), [])
        self.assertEqual(contours.depth_curve(self.data.r, 0 * self.data.r)[0].size, 0)

    def test_smooth_image_is_exact_at_cell_centres_and_even_up_to_the_axis(self):
        values = np.asarray(self.left.fields["temperature_C"][-1], float)
        image = contours.smooth_image(self.data.r, self.data.z, values, 2 * self.data.r[0], 2 * self.data.z[0], 2, 2)
        self.assertTrue(np.allclose(image[:, 0], values[0, 0]))


if __name__ == "__main__":
    unittest.main(verbosity=1)
