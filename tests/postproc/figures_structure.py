"""The figures against a run file whose contours are known: axes, labels, positions; never pixels."""

import os
import sys
import tempfile
import unittest
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import h5py
import numpy as np

HERE = Path(__file__).resolve().parent
ROOM = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent)) / "postproc"
sys.path[:0] = [str(ROOM), str(HERE)]

import _synthetic_run as synthetic  # noqa: E402
from _one_run import OneRun  # noqa: E402
import appearance  # noqa: E402

appearance.use()
import matplotlib.pyplot as plt  # noqa: E402
from matplotlib.colors import to_rgb  # noqa: E402

import comparison  # noqa: E402
import contact_sheet  # noqa: E402
import describe  # noqa: E402
import figures  # noqa: E402
import handout  # noqa: E402
import mechanisms  # noqa: E402
import palette  # noqa: E402
import run_file  # noqa: E402
import scene  # noqa: E402
import section  # noqa: E402
import traces  # noqa: E402
import waveforms  # noqa: E402

HALF_A_PIXEL = 0.5


def lightness(colour):
    """CIE 1976 L* of an sRGB colour (CIE 15:2004)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


def lines_named(figure, name):
    return [line for axes in figure.axes for line in axes.lines if line.get_gid() == name]


class Reading(OneRun):
    def test_modes_are_shown_by_their_labels(self):
        self.assertEqual([d.label for d in self.data.modes], ["continuous", *synthetic.LABELS.values(), "interrupted"])
        left, right = self.data.pair("half", "gated")
        words = " ".join(t.get_text() for t in comparison.comparison_figure(plt, self.data, left, right).texts)
        for label in synthetic.LABELS.values():
            self.assertIn(label, words)

    def test_modes_in_the_order_of_the_case(self):
        self.assertEqual([d.name for d in self.data.modes], [entry[0] for entry in synthetic.MODES])

    def test_pair_is_lowest_and_highest_crest_factor(self):
        self.assertEqual((self.left.name, self.right.name), ("continuous", "interrupted"))

    def test_pair_can_be_chosen(self):
        self.assertEqual([d.name for d in self.data.pair("gated", "half")], ["gated", "half"])
        with self.assertRaisesRegex(run_file.RunFileError, "no mode 'x'.*continuous, half, gated, interrupted"):
            self.data.pair("x")

    def test_delivered_energy_is_the_integral_of_the_power(self):
        for mode in self.data.modes:
            self.assertAlmostEqual(mode.energy[-1], mode.summary["delivered_J"], places=6)


class WrongFiles(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)
        self.path = Path(self.folder.name) / "run.h5"

    def refused(self, words):
        with self.assertRaisesRegex(run_file.RunFileError, words):
            run_file.open_run_file(self.path)

    def test_missing(self):
        self.refused("no such file")

    def test_not_hdf5(self):
        self.path.write_text("r,z\n")
        self.refused("not a readable HDF5 file")

    def test_truncated(self):
        synthetic.make(self.path, frames=3, modes=2)
        self.path.write_bytes(self.path.read_bytes()[:50000])
        self.refused("not a readable HDF5 file")

    def test_other_hdf5(self):
        h5py.File(self.path, "w").close()
        self.refused("not a run file of dryfront")

    def test_unfinished(self):
        synthetic.make(self.path, frames=3, modes=2, finished=False)
        self.refused("did not finish")

    def test_newer(self):
        synthetic.make(self.path, frames=3, modes=2, format_version=99)
        self.refused("version 99.*newer dryfront")

    def test_without_a_mode_group(self):
        synthetic.make(self.path, frames=3, modes=2)
        with h5py.File(self.path, "a") as f:
            del f["mode"]
        self.refused("'/mode' is missing")


class Comparison(OneRun):
    def setUp(self):
        self.figure = comparison.comparison_figure(plt, self.data, self.left, self.right)
        self.axes = next(a for a in self.figure.axes if a.get_label() == "section")

    def test_axes_are_labelled_in_mm_and_drawn_to_scale(self):
        self.assertEqual(self.axes.get_xlabel(), "distance from the axis [mm]")
        self.assertEqual(self.axes.get_ylabel(), "depth [mm]")
        self.figure.canvas.draw()
        a, b = self.axes.transData.transform([(0, 0), (1, 1)])
        self.assertAlmostEqual(abs(b[0] - a[0]), abs(b[1] - a[1]), places=6)
        self.assertGreater(self.axes.get_ylim()[0], self.axes.get_ylim()[1])  # depth points down

    def test_depth_measured_on_the_picture_is_the_printed_depth(self):
        self.figure.canvas.draw()
        for mode in (self.left, self.right):
            for name, effect in mode.effects.items():
                if effect.greatest == 0:
                    self.assertEqual(lines_named(self.figure, f"{name} {mode.name}"), [])
                    continue
                drawn = np.concatenate([line.get_ydata() for line in lines_named(self.figure, f"{name} {mode.name}")])
                printed = float(effect.shown["depth"].split()[0])
                pixels = self.axes.transData.transform([(0, np.max(drawn)), (0, printed)])[:, 1]
                self.assertLess(abs(pixels[1] - pixels[0]), HALF_A_PIXEL, (mode.name, name))

    def test_halves_are_on_their_sides(self):
        for mode, side in ((self.left, -1), (self.right, 1)):
            for line in lines_named(self.figure, f"coagulation {mode.name}"):
                self.assertTrue(np.all(side * line.get_xdata() >= 0))
            image = next(i for i in self.axes.images if i.get_gid() == f"temperature_C {mode.name}")
            self.assertEqual(np.sign(sum(image.get_extent()[:2])), side)

    def test_image_is_the_field(self):
        image = next(i for i in self.axes.images if i.get_gid() == "temperature_C continuous")
        raster = np.asarray(image.get_array())[:, ::-1]
        x0, x1 = sorted(abs(e) for e in image.get_extent()[:2])
        field = self.left.fields["temperature_C"][-1]
        for i, j in ((5, 3), (30, 10), (12, 20)):
            column = int(1e3 * self.data.r[i] / (x1 - x0) * raster.shape[1])
            row = int(1e3 * self.data.z[j] / image.get_extent()[2] * raster.shape[0])
            self.assertAlmostEqual(raster[row, column], field[j, i], delta=1.0)

    def test_labels_name_the_printed_depths(self):
        words = [t.get_text() for t in self.axes.texts]
        for mode in (self.left, self.right):
            self.assertIn(f"coagulation {mode.effects['coagulation'].shown['depth']}", words)

    def test_traces_of_all_modes_with_their_own_line(self):
        for key in ("resistance_ohm", "power_W"):
            looks = set()
            for mode in self.data.modes:
                line, = lines_named(self.figure, f"{key} {mode.name}")
                looks.add((line.get_color(), line.get_linestyle() + str(line._unscaled_dash_pattern)))
                np.testing.assert_array_equal(line.get_xdata(), mode.trace["t_s"])
            self.assertEqual(len(looks), len(self.data.modes))

    def test_electrode_is_drawn_to_size(self):
        contact, = lines_named(self.figure, "contact")
        self.assertEqual(list(contact.get_xdata()), [-6.0, 0.0, 6.0])
        self.assertTrue(any("electrode, 12 mm" in t.get_text() for t in self.axes.texts))

    def test_about_a_plane_the_distance_is_from_it(self):
        self.assertEqual(self.axes.get_xlabel(), "distance from the axis [mm]")  # a file that does not say which
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "plane.h5"
            synthetic.make(path)
            with h5py.File(path, "r+") as file:
                file["grid"].attrs.update(symmetry="plane", length_m=0.02)
            run = run_file.open_run_file(path)
            axes = comparison.comparison_figure(plt, run, *run.pair()).axes[0]
            self.assertEqual(axes.get_xlabel(), "distance from the plane [mm]")
            self.assertTrue(lines_named(axes.figure, "plane of symmetry"))
            self.assertIn("strip, 12 mm across and 20 mm long", describe.specimen_words(run))
            run.close()

    def test_caution_and_result_are_said(self):
        words = " ".join(t.get_text() for t in self.figure.texts)
        self.assertIn("Not for choosing settings on a patient", words)
        self.assertIn("Said by the program, which reached deeper: coagulation to 3.10 mm against 2.10 mm", words)

    def test_no_text_leaves_the_picture(self):
        self.figure.canvas.draw()
        renderer = self.figure.canvas.get_renderer()
        box = self.figure.bbox
        for text in self.figure.findobj(lambda a: hasattr(a, "get_text") and a.get_visible() and a.get_text()):
            extent = text.get_window_extent(renderer)
            self.assertTrue(extent.x0 >= box.x0 - 1 and extent.x1 <= box.x1 + 1, text.get_text())


class Shapes(unittest.TestCase):
    def test_every_electrode_is_drawn(self):
        for shape, deepest in (("disc", 0), ("ring", 0), ("dome", 1.0), ("rod", 3.0)):
            with self.subTest(shape), tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / "run.h5"
                synthetic.make(path, frames=3, modes=2, shape=shape)
                run = run_file.open_run_file(path)
                figure = comparison.comparison_figure(plt, run, *run.pair())
                contact = lines_named(figure, "contact")
                self.assertEqual(len(contact), 2 if shape == "ring" else 1)
                self.assertAlmostEqual(max(np.max(line.get_ydata()) for line in contact), deepest)
                plt.close(figure)
                run.close()

    def test_one_mode_alone(self):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "run.h5"
            synthetic.make(path, frames=3, modes=1)
            run = run_file.open_run_file(path)
            figure = comparison.comparison_figure(plt, run, *run.pair())
            self.assertIn("reached coagulation to 3.10 mm", " ".join(t.get_text() for t in figure.texts))
            handout.handout_figure(plt, run, *run.pair(), "a4")
            plt.close("all")
            run.close()


class OtherFigures(OneRun):
    def test_four_fields_each_with_both_halves(self):
        figure = comparison.fields_figure(plt, self.data, self.left, self.right)
        panels = [a for a in figure.axes if len(a.images) == 2]
        self.assertEqual([a.get_label() for a in panels],
                         ["temperature_C", "water_fraction", "omega_liver", "heating_W_m3"])

    def test_depth_against_time_and_energy(self):
        figure = traces.depth_figure(plt, self.data)
        self.assertEqual({a.get_xlabel() for a in figure.axes}, {"time [s]", "energy delivered [J]"})
        for mode in self.data.modes:
            for line in lines_named(figure, f"depth coagulation {mode.name}"):
                self.assertAlmostEqual(line.get_ydata()[-1], 1e3 * mode.effects["coagulation"].greatest_trace[-1])
            ends = {round(line.get_xdata()[-1], 6) for line in lines_named(figure, f"depth coagulation {mode.name}")}
            self.assertEqual(ends, {synthetic.ACTIVATION_S, round(mode.energy[-1], 6)})

    def test_electric_figure_has_its_four_quantities(self):
        figure = traces.electric_figure(plt, self.data)
        self.assertEqual([a.get_title(loc="left") for a in figure.axes], list(traces.QUANTITIES.values()))

    def test_waveforms_mark_rms_peak_and_crest_factor(self):
        figure = waveforms.waveform_figure(plt, self.data)
        self.assertEqual(len(figure.axes), len(self.data.modes))
        for axes, mode in zip(figure.axes, self.data.modes):
            marks = {line.get_gid(): line.get_ydata()[0] for line in axes.lines if line.get_gid() in ("rms", "peak")}
            self.assertAlmostEqual(marks["peak"] / marks["rms"], mode.crest_factor, places=9)
            self.assertIn(f"{mode.crest_factor:.2f}", axes.get_title(loc="left"))
            curve, = [line for line in axes.lines if line.get_gid() == f"waveform {mode.name}"]
            self.assertAlmostEqual(np.max(np.abs(curve.get_ydata())) / marks["peak"], 1, delta=0.01)
            # Over two whole bursts of this mode the curve's own mean square is that of the crest factor.
            time, v = curve.get_xdata(), curve.get_ydata()
            self.assertAlmostEqual(np.sqrt(np.trapz(v**2, time) / time[-1]) / marks["rms"], 1, delta=0.03)

    def test_every_figure_says_the_caution(self):
        for figure in (comparison.fields_figure(plt, self.data, self.left,
                                                self.right), traces.depth_figure(plt, self.data),
                       traces.electric_figure(plt, self.data), waveforms.waveform_figure(plt, self.data)):
            words = " ".join(t.get_text() for t in figure.texts)
            self.assertIn("Not for choosing settings on a patient", words)

    def test_table_says_none_where_there_is_none(self):
        header, rows = handout.number_rows(self.data)
        column = header.index("depth of\nchar")
        deepest = [1e3 * mode.effects["char"].greatest for mode in self.data.modes]
        self.assertEqual([row[column] for row in rows], ["none", "none", *(f"{depth:.2f} mm" for depth in deepest[2:])])

    def test_handout_fits_its_paper_and_says_the_cautions(self):
        for paper, size in handout.PAPERS.items():
            figure = handout.handout_figure(plt, self.data, self.left, self.right, paper)
            self.assertEqual(tuple(figure.get_size_inches()), size)
            texts = [t for t in figure.texts if t.get_text()]
            self.assertGreater(min(t.get_position()[1] for t in texts), 0.015)
            words = " ".join(t.get_text() for t in texts)
            for caution in ("Never for choosing settings on a patient", "local codes"):
                self.assertIn(caution, words)

    def test_contact_sheet_has_a_row_for_each_run_and_names_what_it_cannot_show(self):
        bad = Path(self.folder.name) / "bad.h5"
        bad.write_text("no")
        steps = []
        figure, failures = contact_sheet.sheet_page(plt, [self.path, bad, self.path], "", "", 1, 1,
                                                    lambda: steps.append(1))
        self.assertEqual(len([a for a in figure.axes if len(a.images) == 2]), 2)
        self.assertEqual((len(failures), len(steps)), (1, 3))


class Studies(OneRun):
    """A file with an interval and with the shares of what differs, and one without."""

    def with_studies(self, modes=4):
        path = Path(self.folder.name) / f"studied_{modes}.h5"
        synthetic.make(path, frames=5, modes=modes)
        synthetic.add_studies(path, modes)
        run = run_file.open_run_file(path)
        self.addCleanup(run.close)
        return run

    def test_bars_stand_from_end_to_end_of_the_range(self):
        run = self.with_studies()
        figure = traces.depth_figure(plt, run)
        for entry in synthetic.MODES:
            bar, = lines_named(figure, f"interval {entry[0]}")
            np.testing.assert_allclose(bar.get_ydata(), [0.5 * entry[4], 1.5 * entry[4]])
            low, high = bar.axes.get_ylim()
            self.assertTrue(low <= 0.5 * entry[4] and 1.5 * entry[4] <= high)
            self.assertLess(bar.get_xdata()[0], bar.axes.get_xlim()[1])

    def test_comparison_and_handout_say_the_range(self):
        run = self.with_studies()
        left, right = run.pair()
        pages = handout.pages(plt, run, left, right, "a4")
        for figure in (comparison.comparison_figure(plt, run, left, right), *pages):
            words = " ".join(" ".join(t.get_text() for t in figure.texts).split())
            for part in ("coagulation 1.55 to 4.65 mm against 1.05 to 3.15 mm", "0.80 to 1.60"):
                self.assertIn(part, words)
        self.assertIn("rank correlation -0.71", words)
        self.assertIn("75 % of the 48 runs", words.replace("\n", " "))

    def test_the_ratio_is_not_told_of_another_pair(self):
        run = self.with_studies()
        self.assertNotIn("0.80", describe.interval_line(run, run.mode("half"), run.mode("gated")))
        self.assertIn("1.43 to 4.28 mm", describe.interval_line(run, run.mode("half"), run.mode("gated")))

    def test_a_depth_beside_its_range_is_told(self):
        quantity = {"here": 3.0, "low": {"value": 1.0}, "high": {"value": 2.0}}
        self.assertIn("above its range", describe.outside_words("x", quantity))
        self.assertIn("below its range", describe.outside_words("x", quantity | {"here": 0.5}))
        self.assertEqual(describe.outside_words("x", quantity | {"here": 1.5}), "")

    def test_without_an_interval_it_says_so(self):
        for figure in (comparison.comparison_figure(plt, self.data, self.left,
                                                    self.right), traces.depth_figure(plt, self.data),
                       handout.handout_figure(plt, self.data, self.left, self.right, "letter")):
            words = " ".join(t.get_text() for a in [figure, *figure.axes] for t in a.texts).lower()
            self.assertIn("no interval was computed", words)

    def test_shares_are_bars_with_their_spans(self):
        figure = mechanisms.why_figure(plt, self.with_studies())
        axes = next(a for a in figure.axes if a.get_label() == "shares")
        self.assertEqual([label.get_text() for label in axes.get_yticklabels()], list(synthetic.WHY_SHARES))
        bars = {bar.get_gid(): bar.get_width() for bar in axes.patches}
        for name, (share, least, greatest) in synthetic.WHY_SHARES.items():
            self.assertAlmostEqual(bars[f"share {name}"], share)
            span, = lines_named(figure, f"span {name}")
            np.testing.assert_allclose(span.get_xdata(), [least, greatest])
        words = " ".join(t.get_text() for t in figure.texts).replace("\n", " ")
        for name in synthetic.WHY_SHARES:
            self.assertIn(f"{name.capitalize()}: a sentence to say aloud", words)
        for sentence in ("of which this much was delivered", "Nothing differs in peak limit and breakdown",
                         "2.60 and 2.20 mm without re-wetting"):
            self.assertEqual(words.count(sentence), 1)
        self.assertIn("difference +1.00 mm", words)
        self.assertIn("Not for choosing settings on a patient", words)

    def test_modes_that_do_not_differ_have_no_bars(self):
        run = self.with_studies()
        for player in run.why["players"]:
            player.update(differs=False, sentence=None)
        said = "The two modes differ in nothing that the model sees: the difference and every share are zero."
        run.why["sentences"] = [run.why["sentences"][0], said]
        figure = mechanisms.why_figure(plt, run)
        self.assertFalse(any(a.get_label() == "shares" for a in figure.axes))
        self.assertIn(said, " ".join(t.get_text() for t in figure.texts).replace("\n", " "))
        page = handout.researchers_figure(plt, run, *run.pair(), "a4")
        self.assertIn("differ in nothing that the model sees", " ".join(t.get_text() for t in page.texts))

    def test_handout_has_the_shares_and_keeps_to_its_paper(self):
        run = self.with_studies()
        for paper in handout.PAPERS:
            for number, figure in enumerate(handout.pages(plt, run, *run.pair(), paper)):
                # The shares are for researchers: on the second page.
                self.assertEqual(any(a.get_label() == "shares" for a in figure.axes), number == 1)
                texts = [t for t in figure.texts if t.get_text()]
                lowest = sorted(t.get_position()[1] * figure.get_figheight() for t in texts)
                # Nothing stands on the last line, which tells the origin.
                self.assertGreater(lowest[1], lowest[0] + 0.1)

    def test_one_mode_has_an_interval_of_its_own(self):
        run = self.with_studies(1)
        self.assertIn("coagulation 1.55 to 4.65 mm.", describe.interval_line(run, *run.pair()))

    def test_files(self):
        run = self.with_studies()
        out = Path(self.folder.name) / "studied"
        self.assertEqual(figures.main([str(run.path), "--out", str(out), "--quiet"]), 0)
        self.assertTrue((out / "why.svg").exists())


class Colours(unittest.TestCase):
    def test_maps_fall_in_lightness_all_the_way(self):
        for name, colour_map in appearance.MAPS.items():
            levels = [lightness(colour_map(x)) for x in np.linspace(0, 1, 64)]
            self.assertTrue(all(b < a for a, b in zip(levels, levels[1:])), name)
            self.assertGreater(levels[0] - levels[-1], 70, name)

    def test_modes_differ_in_colour_and_dash(self):
        self.assertEqual(len(set(palette.MODE_COLOURS)), len(set(map(str, palette.MODE_DASHES))))


class WholeProgram(OneRun):
    def test_files_of_every_format(self):
        for ending in figures.FORMATS:
            out = Path(self.folder.name) / ending
            self.assertEqual(figures.main([str(self.path), "--out", str(out), "--format", ending, "--quiet"]), 0)
            names = sorted(p.name for p in out.iterdir())
            self.assertEqual(
                names,
                sorted([f"{n}.{ending}" for n in ("comparison", "comparison_cutaway", "power_load", "fields", "depth",
                                                  "electric", "waveforms")] +
                       ["handout_a4.pdf", "handout_letter.pdf"]))
        ElementTree.parse(Path(self.folder.name) / "svg" / "comparison.svg")

    def test_same_file_same_bytes(self):
        pictures = []
        for name in ("one", "two"):
            out = Path(self.folder.name) / name
            figures.main([str(self.path), "--out", str(out), "--quiet"])
            pictures.append([(out / file).read_bytes() for file in ("comparison.svg", "power_load.svg",
                                                                    "handout_a4.pdf")])
        self.assertEqual(*pictures)

    def test_exit_codes(self):
        out = str(Path(self.folder.name) / "codes")
        self.assertEqual(figures.main([str(self.path) + "x", "--out", out]), 4)
        self.assertEqual(figures.main([str(self.path), "--out", out, "--left", "nobody"]), 1)
        self.assertEqual(figures.main([str(self.path), "--out", str(self.path)]),
                         4)  # a file where the folder should be
        with self.assertRaises(SystemExit) as stop:
            figures.main([str(self.path), "--out", out, "--format", "gif"])
        self.assertEqual(stop.exception.code, 1)


if __name__ == "__main__":
    unittest.main(verbosity=1)
