"""Power against load: what is drawn is what the file holds, and the words on pairs whose answer is known."""

import dataclasses
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

import describe  # noqa: E402
import handout  # noqa: E402
import page_data  # noqa: E402
import palette  # noqa: E402
import power_load  # noqa: E402
import power_load_figure  # noqa: E402

SOURCE = {"kind": "constant_power", "setting_W": 60.0, "rms_V": 0.0, "rated_load_ohm": 500.0, "peak_limit_V": 0.0,
          "current_limit_A": 0.0, "flat_ohm": [0.0, 0.0]}
WAVEFORM = {"kind": "continuous", "carrier_Hz": 4e5, "duty": 1.0, "repeat_Hz": 3e4, "decay_s": 1e-6,
            "crest_factor": 2**0.5}
GATED = WAVEFORM | {"kind": "gated", "duty": 0.06, "crest_factor": (2 / 0.06)**0.5}


def axes_of(figure):
    return next(a for a in figure.axes if a.get_label() == "power load")


class Words(OneRun):
    """Pairs made up so that only what is named differs; every number in the words is one that was put in."""

    def mode(self, label, depth_mm=3.0, power=60.0, load=(100.0, 120.0), source=SOURCE, waveform=WAVEFORM, dry=np.nan,
             arcing=np.nan):
        t = np.array([0.0, 10.0])
        load, watts = np.array(load), np.broadcast_to(power, 2).astype(float)
        rms = np.sqrt(watts * load)
        trace = {"t_s": t, "resistance_ohm": load, "power_W": watts, "rms_V": rms,
                 "peak_V": waveform["crest_factor"] * rms, "current_A": rms / load}
        effect = dataclasses.replace(self.left.effects["coagulation"], greatest=1e-3 * depth_mm,
                                     shown={"depth": f"{depth_mm:.2f} mm"})
        summary = {"delivered_J": 10 * watts.mean(), "arcing_s": arcing, "dry_out_s": dry}
        moment = {key: "never" if np.isnan(time) else f"{time:.2f} s" for key, time in
                  (("arcing_s", arcing), ("dry_out_s", dry))}
        return dataclasses.replace(self.left, label=label, source=source, waveform=waveform, trace=trace,
                                   summary=summary, shown=moment | {"delivered_J": f"{10 * watts.mean():.0f} J"},
                                   effects={"coagulation": effect}, activation=10.0, after=0.0)

    def said(self, a, b):
        return dict(power_load.sentences(self.data, a, b, "coagulation"))

    def test_only_the_source_differs(self):
        weak = self.mode("b", 2.0, 36.0, source=SOURCE | {"kind": "unregulated"})
        said = self.said(self.mode("a"), weak)
        self.assertEqual(said["Set"], "Both to 60 W. They differ in the source alone.")
        self.assertEqual(
            said["Delivered"], "\u201ca\u201d 60.0 W on average into 100 to 120 ohm; \u201cb\u201d 36.0 W on average "
            "into 100 to 120 ohm, because its source is rated for 500 ohm.")
        self.assertEqual(
            said["What that did"], "\u201ca\u201d delivered 600 J, \u201cb\u201d 360 J. The one that delivered more "
            "reached deeper: coagulation to 3.00 mm against 2.00 mm.")
        self.assertEqual(said["Contact"], "Neither dried out nor arced.")

    def test_only_the_crest_factor_differs(self):
        said = self.said(self.mode("a"), self.mode("b", waveform=GATED))
        self.assertEqual(said["Set"],
                         "Both to 60 W. They differ in the waveform (crest factor 1.41 and 5.77) alone.")
        self.assertEqual(said["Delivered"], "Both 60.0 W on average into 100 to 120 ohm.")
        self.assertEqual(said["What that did"],
                         "Both delivered 600 J, and reached coagulation alike: 3.00 mm and 3.00 mm.")

    def test_the_crest_factor_brings_a_source_to_its_peak_limit(self):
        source = SOURCE | {"peak_limit_V": 300.0}
        rms = 300 / GATED["crest_factor"]
        load = (100.0, 120.0)
        held_back = self.mode("b", 2.4, [rms**2 / r for r in load], load, source, GATED)
        said = self.said(self.mode("a", source=source), held_back)
        self.assertIn("differ in the waveform (crest factor 1.41 and 5.77) alone", said["Set"])
        self.assertIn("because it came to its limit of 300 V peak, which at a crest factor of 5.77 is 52 V rms",
                      said["Delivered"])

    def test_nothing_differs(self):
        said = self.said(self.mode("a"), self.mode("b"))
        self.assertEqual(said["Set"], "Both to 60 W. They differ in nothing that the model sees.")
        self.assertEqual(said["Delivered"], "Both 60.0 W on average into 100 to 120 ohm.")
        self.assertIn("alike: 3.00 mm and 3.00 mm", said["What that did"])

    def test_both_dry_out(self):
        dried = [self.mode("a", 3.5, (60.0, 6.0), (100.0, 4000.0), dry=5.0),
                 self.mode("b", 3.9, (60.0, 30.0), (100.0, 900.0), waveform=GATED, dry=7.5, arcing=5.25)]
        said = self.said(*dried)
        # Half way in the logarithm of the load, half way in the power.
        self.assertEqual(
            said["Contact"], "Both dried out. \u201ca\u201d dried out at 5.00 s (632 ohm, 33.0 W) and ended at 4000 "
            "ohm with 6.0 W. \u201cb\u201d dried out at 7.50 s (520 ohm, 37.5 W) and ended at 900 ohm with 30.0 W "
            "and arced from 5.25 s.")
        self.assertIn("delivered 450 J", said["What that did"])
        self.assertIn("The one that delivered more reached deeper: coagulation to 3.90 mm", said["What that did"])

    def test_less_energy_that_goes_deeper_is_not_explained_away(self):
        said = self.said(self.mode("a", 2.0), self.mode("b", 3.0, 40.0))
        self.assertIn("The one that delivered less reached deeper: coagulation to 3.00 mm", said["What that did"])
        said = self.said(self.mode("a", 2.0), self.mode("b", 3.0))
        self.assertIn("that difference is not one of energy", said["What that did"])

    def test_other_sources(self):
        held = SOURCE | {"kind": "temperature", "hold_C": 70.0, "probe": "under_the_tip"}
        fixed = SOURCE | {"kind": "voltage", "rms_V": 80.0}
        said = self.said(self.mode("a", power=20.0, source=held), self.mode("b", source=fixed))
        self.assertIn("\u201ca\u201d to hold 70 \u00b0C at under the tip with at most 60 W, \u201cb\u201d to 80 V rms",
                      said["Set"])
        self.assertIn("because its source gives no more than holds 70 \u00b0C", said["Delivered"])
        flat = self.mode("c", power=40.0, source=SOURCE | {"flat_ohm": [200.0, 900.0]})
        self.assertIn("holds the power from 200 to 900 ohm alone", self.said(flat, flat)["Delivered"])
        self.assertEqual(describe.source_words(flat), "constant power from 200 to 900 ohm, set to 60 W")

    def test_a_mode_beside_itself(self):
        a = self.mode("a")
        self.assertEqual(self.said(a, a)["Set"], "\u201ca\u201d was set to 60 W.")


class Drawn(OneRun):
    def figure(self, left=None, right=None):
        figure = power_load_figure.power_load_figure(plt, self.data, left or self.left, right or self.right)
        figure.canvas.draw()
        return figure

    def lines(self, axes):
        return {line.get_gid(): line for line in axes.lines if line.get_gid()}

    def test_curves_and_paths_are_those_of_the_file(self):
        axes = axes_of(self.figure())
        self.assertEqual((axes.get_xscale(), axes.get_xlim()), ("log", (10.0, 1e4)))
        self.assertEqual((axes.get_xlabel(), axes.get_ylabel()), ("load [ohm]", "power [W]"))
        drawn = self.lines(axes)
        for mode in (self.left, self.right):
            position = self.data.modes.index(mode)
            load, power = drawn[f"curve {mode.name}"].get_data()
            kept = mode.power_load["load_ohm"] >= 10
            np.testing.assert_array_equal(load, mode.power_load["load_ohm"][kept])
            np.testing.assert_array_equal(power, mode.power_load["power_W"][kept])
            self.assertEqual(drawn[f"curve {mode.name}"].get_color(), palette.MODE_COLOURS[position])
            np.testing.assert_array_equal(drawn[f"path {mode.name}"].get_xdata(), mode.trace["resistance_ohm"])
            np.testing.assert_array_equal(drawn[f"path {mode.name}"].get_ydata(), mode.trace["power_W"])

    def test_a_dot_a_second_and_what_happened(self):
        drawn = self.lines(axes_of(self.figure()))
        for mode in (self.left, self.right):
            seconds = drawn[f"seconds {mode.name}"]
            self.assertEqual(len(seconds.get_xdata()), 11)
            np.testing.assert_allclose(seconds.get_xdata(), np.interp(range(11), mode.trace["t_s"],
                                                                      mode.trace["resistance_ohm"]), rtol=1e-3)
        self.assertIn(f"dried out {self.left.name}", drawn)
        self.assertIn(f"arcing sets in {self.right.name}", drawn)
        self.assertNotIn(f"arcing sets in {self.left.name}", drawn)
        star = drawn[f"arcing sets in {self.right.name}"]
        np.testing.assert_allclose(star.get_xdata(), np.interp(4.0, self.right.trace["t_s"],
                                                               self.right.trace["resistance_ohm"]), rtol=1e-3)
        self.assertIn("rated load", drawn)
        self.assertEqual(drawn["rated load"].get_xdata()[0], 500)

    def test_it_says_what_it_shows_and_nothing_leaves_the_picture(self):
        for left, right in ((self.left, self.right), (self.left, self.left)):
            figure = self.figure(left, right)
            shown = [text for text in figure.findobj(lambda a: hasattr(a, "get_text") and a.get_visible())
                     if text.get_text()]
            said = " ".join(text.get_text() for text in shown).replace("\u00a0", " ")
            rated = ["rated load 500 ohm"] if right is not left else []
            for wanted in (left.label, right.label, "Set", "Delivered", "What that did", "every second", *rated,
                           palette.CAUTION):
                self.assertIn(wanted, said)
            renderer = figure.canvas.get_renderer()
            axes = axes_of(figure)
            beyond = [tick.label1 for tick in axes.xaxis.get_major_ticks() if not 10 <= tick.get_loc() <= 1e4]
            for text in shown:
                if text in beyond:  # matplotlib has them and does not draw them
                    continue
                box = text.get_window_extent(renderer)
                self.assertTrue(figure.bbox.padded(1).contains(box.x0, box.y0) and
                                figure.bbox.padded(1).contains(box.x1, box.y1), text.get_text())

    def test_no_mark_looks_like_the_unit_of_the_axis(self):
        self.assertEqual(set(power_load_figure.EVENT_MARKS.values()), {"*", "s"})
        figure = self.figure()
        self.assertNotIn("ohm =", " ".join(text.get_text() for text in figure.texts))

    def test_loads_beyond_the_curves_stand_at_their_end(self):
        trace = self.left.trace | {"resistance_ohm": np.full_like(self.left.trace["power_W"], 5e5)}
        path = power_load.path_of(dataclasses.replace(self.left, trace=trace))
        self.assertTrue(path.clipped)
        self.assertEqual(set(path.load), {1e4})

    def test_without_current_there_is_no_path(self):
        still = dataclasses.replace(self.left, trace=self.left.trace | {"power_W": 0 * self.left.trace["power_W"]})
        self.assertIsNone(power_load.path_of(still))

    def test_the_handout_has_it_on_its_first_page_and_the_histories_on_the_second(self):
        first, second = handout.pages(plt, self.data, self.left, self.right, "a4")
        drawn = self.lines(axes_of(first))
        self.assertIn(f"path {self.right.name}", drawn)
        said = " ".join(text.get_text() for text in first.texts)
        self.assertIn("Delivered:", said)
        self.assertIn("For researchers", " ".join(text.get_text() for text in second.texts))
        self.assertTrue(any(line.get_gid() == f"power_W {self.left.name}" for a in second.axes for line in a.lines))
        self.assertFalse(any(line.get_gid() == f"power_W {self.left.name}" for a in first.axes for line in a.lines))

    def test_the_page_carries_it(self):
        data = page_data.page_data(self.data, self.left, self.right)
        self.assertEqual(data["power_load_range"], (10.0, 1e4))
        for mode, carried in zip(self.data.modes, data["modes"]):
            part = carried["power_load"]
            np.testing.assert_allclose(part["curve"]["power_W"], mode.power_load["power_W"], rtol=1e-4)
            self.assertEqual(len(part["seconds"]["t"]), 11)
            self.assertEqual(part["rated_load"], 500.0 if mode.source["kind"] == "unregulated" else None)
            self.assertEqual(set(part["events"]), set(power_load.events_of(mode)))
        self.assertEqual(len(data["power_load_words"]), len(self.data.modes))


if __name__ == "__main__":
    unittest.main(verbosity=1)
