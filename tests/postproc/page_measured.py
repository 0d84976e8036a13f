"""Sections that a viewer measured: typed, pasted, opened, dragged, drawn; their statistics; the csv they are saved as.

Mean and standard deviation are held against Python's statistics module, the csv against its csv module (RFC 4180).
"""

import csv
import io
import os
import statistics
import sys
import unittest
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOM = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent)) / "postproc"
sys.path[:0] = [str(ROOM), str(HERE)]

import _page_browser as browser  # noqa: E402
from _page_browser import SCREENSHOTS, ActionChains, Keys  # noqa: E402

HEADER = "mode,specimen,effect,depth_mm,half_width_mm,part,r_mm,z_mm"
# A ring-shaped lesion: one closed part beside the axis, and an open line below it.
RING = f"""{HEADER}
continuous,1,coagulation,2.50,6.0,,,
continuous,2,coagulation,2.9,,,,
continuous,3,coagulation,3.3,,,,
interrupted,a,coagulation,,,inner,3.0,0.5
interrupted,a,coagulation,,,inner,5.0,0.50
interrupted,a,coagulation,,,inner,4.0,2.25
interrupted,a,coagulation,,,inner,3.0,0.5
interrupted,a,coagulation,,,outer,6.0,1.0
interrupted,a,coagulation,,,outer,6.5,1.5
"""


class Measured(browser.Page):
    frames = 5

    def opened(self, width=1280, height=900):
        self.open(width, height)
        self.script("document.getElementById('measured').open = true")
        self.wait(lambda: len(self.rows()) == 2)

    def rows(self):
        return self.browser.find_elements("class name", "specimen")

    def field(self, row, column="depth_mm"):
        return self.rows()[row].find_element("css selector", f"input[data-key={column}]")

    def words(self):
        return self.script("return document.getElementById('measured-words').textContent")

    def paste(self, text):
        self.script("document.getElementById('measured-paste').open = true;"
                    "document.getElementById('measured-text').value = arguments[0];"
                    "document.getElementById('measured-read').click()", text)
        return self.element("measured-message").text

    def saved(self):
        path = Path(self.folder.name) / "run_sections.csv"
        path.unlink(missing_ok=True)
        self.script("document.getElementById('measured-save').click()")
        self.wait(path.exists)
        return path.read_text(encoding="utf-8")

    def section_depths(self):
        """Depth of the deepest point of every line of the viewer in the picture."""
        return sorted(max(z for _, z in line) for line in self.entered_lines())

    def test_nothing_is_called_measured_before_it_was_entered(self):
        self.opened()
        panel = "return document.getElementById('measured').innerText + [...document.querySelectorAll('#measured *," \
                "#handles *')].map(e => e.getAttribute('aria-label') ?? '').join(' ')"
        self.assertNotIn("easured ", self.script(panel))
        self.assertIn("No section has been entered yet", self.element("measured-none").text)
        self.assertEqual([self.words(), self.entered_lines()], ["", []])
        self.assertEqual([self.field(k).get_property("value") for k in (0, 1)], ["", ""])

    def test_what_was_typed_stays_as_it_was_typed(self):
        self.opened()
        for text in ("7.0", "7,0"):
            self.field(0).clear()
            self.field(0).send_keys(text, Keys.TAB)
            self.assertEqual(self.field(0).get_property("value"), text)
            self.assertIn("mean 7.0 mm", self.words())
            self.assertEqual(self.section_depths(), [7.0])
            self.assertGreater(self.script("return document.documentElement.dryfront.run.view.bottom"), 7.0)
        self.field(0).clear()
        self.field(0).send_keys("2,5")
        self.assertIn("continuous: coagulation measured on 1 section, mean 2.5 mm; computed 3.10 mm, "
                      "range 1.55 to 4.65 mm, 0.6 mm deeper than measured (+24 %)", self.words())
        self.field(0, "half_width_mm").send_keys("6")
        self.assertEqual(self.entered_lines()[0][0], [-6, 0])
        self.browser.save_screenshot(str(SCREENSHOTS / "measured.png"))

    def test_what_cannot_be_is_refused_and_says_what_can(self):
        self.opened()
        limit = self.script("return document.documentElement.dryfront.run.question_view")
        for column, text, parts in (("depth_mm", "seven", ["“seven” is no number", "depth"]),
                                    ("depth_mm", "70", ["“70” is outside the picture", f"0 to {limit['bottom']:g} mm"]),
                                    ("half_width_mm", "-0.5", ["“-0.5” is outside", f"0 to {limit['reach']:g} mm"])):
            field = self.field(1, column)
            field.send_keys(text)
            for part in parts:
                self.assertIn(part, self.rows()[1].text)
            self.assertEqual(field.get_property("value"), text)
            self.assertEqual(field.get_attribute("aria-invalid"), "true")
            self.assertEqual([self.words(), self.entered_lines()], ["", []])
            field.clear()

    def test_several_specimens_have_a_mean_and_a_spread(self):
        self.opened()
        self.assertEqual(self.paste(RING), "The lines: 4 sections read.")
        depths = [2.50, 2.9, 3.3]
        mean, deviation = statistics.mean(depths), statistics.stdev(depths)
        self.assertIn(f"on 3 sections, mean {mean:.2f} mm, standard deviation {deviation:.2f} mm; computed 3.10 mm",
                      self.words())
        cells = self.script("return [...document.querySelectorAll('#measured-numbers tbody tr')]"
                            ".map(r => [...r.cells].map(c => c.textContent))")
        self.assertEqual(cells[0], ["continuous", "coagulation", "3", f"{mean:.2f}", f"{deviation:.2f}", "3.10",
                                    "1.55 to 4.65", "+0.20"])
        # An outline counts by its deepest point.
        self.assertEqual(cells[1][:5], ["interrupted", "coagulation", "1", "2.25", "–"])
        self.assertIn([[3, 0.5], [5, 0.5], [4, 2.25], [3, 0.5]], self.entered_lines())
        self.assertIn([[6, 1], [6.5, 1.5]], self.entered_lines())
        self.browser.save_screenshot(str(SCREENSHOTS / "ring.png"))

    def test_saved_and_read_back_the_same(self):
        self.opened()
        self.paste(RING)
        text = self.saved()
        self.assertEqual(text, RING)
        table = list(csv.DictReader(io.StringIO(text)))
        self.assertEqual({row["mode"] for row in table}, {"continuous", "interrupted"})
        # The same with a comma as decimal sign, fields by semicolons or tabs, in another order, opened as a file.
        for separator in (";", "\t"):
            other = Path(self.folder.name) / "other.csv"
            head, *lines = [line.split(",") for line in RING.splitlines()]
            order = [head.index(c) for c in ("specimen", "mode", "z_mm", "r_mm", "part", "half_width_mm", "depth_mm",
                                             "effect")]
            other.write_text("\ufeff" + "\r\n".join(
                [separator.join(head[k] for k in order)]
                + [separator.join(line[k].replace(".", ",") for k in order) for line in lines]) + "\r\n",
                encoding="utf-8")
            self.opened()
            self.element("measured-file").send_keys(str(other))
            self.wait(lambda: "4 sections read" in self.element("measured-message").text)
            self.assertEqual(self.saved(), RING)
        self.assertIn("4 of them in place", self.paste(RING))
        self.assertEqual(len(self.rows()), 4)
        self.no_faults()

    def test_the_format_in_the_document_is_the_one_that_is_read_and_written(self):
        document = (ROOM.parent / "docs" / "figures.md").read_text(encoding="utf-8")
        example = document.split("```csv\n")[1].split("```")[0]
        for name, here in (("low_voltage", "continuous"), ("gated_6_percent", "interrupted")):
            example = example.replace(name, here)
        self.opened()
        self.assertIn("3 sections read.", self.paste(example))
        self.assertEqual(self.saved(), example)

    def test_a_table_with_a_fault_is_not_read_at_all(self):
        self.opened()
        for text, parts in (
            ("", ["Nothing to read"]),
            ("mode,depth_mm\ncontinuous,2\n", ["specimen, effect is missing", "half_width_mm"]),
            (f"{HEADER}\ncontinuous,1,coagulation,2.5,,,,\nsaw,1,coagulation,2,,,,\n", ["Line 3", "no mode “saw”",
                                                                                      "continuous"]),
            (f"{HEADER}\ncontinuous,1,coagulation,2,5,6,,,\n", ["Line 2 has 9 fields, the header 8", "semicolons"]),
            (f"{HEADER}\ncontinuous,1,coagulation,99,,,,\n", ["Line 2", "“99” is outside the picture"]),
            (f"{HEADER}\ncontinuous,1,warmth,2,,,,\n", ["no effect “warmth”", "desiccation"]),
            (f"{HEADER}\ncontinuous,1,coagulation,2,,,,\ncontinuous,1,coagulation,3,,,,\n", ["Line 3", "given twice"]),
            (f"{HEADER}\ncontinuous,1,coagulation,,,1,2.0,\n", ["needs both r_mm and z_mm"]),
            (f'{HEADER}\n"continuous,1,coagulation,2,,,,\n', ["Line 2", "quotation mark"]),
        ):
            message = self.paste(text)
            self.assertIn("nothing was read", message)
            for part in parts:
                self.assertIn(part, message)
            self.assertEqual([self.words(), len(self.rows())], ["", 2])
        message = self.paste("mode,specimen,effect,depth_mm,cook\ncontinuous,1,coagulation,2.5,Ann\n")
        self.assertIn("1 section read; not read: column cook", message)

    def test_an_outline_drawn_point_by_point(self):
        self.opened(1280, 1300)
        self.script("document.querySelectorAll('.specimen')[1].querySelectorAll('button')[0].click()")
        self.script("scrollTo(0, 0)")
        for x, z in ((3.0, 0.5), (5.0, 0.5), (4.0, 2.0)):
            self.click_at(x, z)
        self.script("document.getElementById('outline-close').click()")
        self.click_at(-3, 1)  # the other mode's half
        self.assertIn("left half", self.element("outline-words").text)
        for x, z in ((6.0, 1.0), (6.5, 1.5), (6.8, 2.0)):
            self.click_at(x, z)
        self.script("document.getElementById('section').focus({preventScroll: true})")
        ActionChains(self.browser).send_keys(Keys.BACKSPACE, Keys.ARROW_RIGHT, Keys.ENTER, Keys.ESCAPE).perform()
        table = list(csv.DictReader(io.StringIO(self.saved())))
        half_pixel = 0.5 / abs(self.window_place(1, 0)[0] - self.window_place(0, 0)[0])
        grid = self.script("const g = document.documentElement.dryfront.run.grid; return [g.r[0], g.z[0]]")
        wanted = [("1", 3, .5), ("1", 5, .5), ("1", 4, 2), ("1", 3, .5), ("2", 6, 1), ("2", 6.5, 1.5), ("2", *grid)]
        for row, (part, r, z) in zip(table, wanted, strict=True):
            self.assertEqual((row["mode"], row["part"]), ("interrupted", part))
            self.assertAlmostEqual(float(row["r_mm"]), r, delta=half_pixel + 0.0051)
            self.assertAlmostEqual(float(row["z_mm"]), z, delta=half_pixel + 0.0051)
        self.assertEqual((table[0]["r_mm"], table[0]["z_mm"]), (table[3]["r_mm"], table[3]["z_mm"]))
        self.assertFalse(self.element("outline-tools").is_displayed())

    def click_at(self, x, z):
        across, down = (round(v) for v in self.window_place(x, z))
        for kind in ("mousePressed", "mouseReleased"):
            self.browser.execute_cdp_cmd("Input.dispatchMouseEvent", {
                "type": kind,
                "x": across,
                "y": down,
                "button": "left",
                "clickCount": 1
            })

    def test_dragged(self):
        self.opened(1280, 1300)
        self.field(1).send_keys("2.0")
        handle = self.element("measured-handle-depth")
        pixels_per_mm = self.window_place(0, 1)[1] - self.window_place(0, 0)[1]
        ActionChains(self.browser).drag_and_drop_by_offset(handle, 0, 20).perform()
        value = float(self.field(1).get_property("value"))
        self.assertAlmostEqual(value - 2.0, 20 / pixels_per_mm, delta=1.5 / pixels_per_mm + 0.01)
        handle.send_keys(Keys.ARROW_UP)
        self.assertAlmostEqual(float(self.field(1).get_property("value")), value - 0.05, delta=0.006)
        self.element("measured-handle-half_width").send_keys(Keys.ARROW_RIGHT)
        self.assertEqual(self.field(1, "half_width_mm").get_property("value"), "0.05")


if __name__ == "__main__":
    unittest.main(verbosity=1)
