"""The page in a real headless browser, opened from disk: no error, no request, and it shows what the run file holds.

Needs Debian's chromium, chromium-driver and python3-selenium; exit code 77 (skipped) without them.
Screenshots are kept in ./screenshots.
"""

import json
import math
import os
import sys
import tempfile
import time
import unittest
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOM = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent)) / "postproc"
sys.path[:0] = [str(ROOM), str(HERE)]

import _page_browser as browser  # noqa: E402
import _synthetic_run as synthetic  # noqa: E402
import h5py  # noqa: E402
import numpy as np  # noqa: E402
import page  # noqa: E402
from _page_browser import SCREENSHOTS, ActionChains, By, Keys, WebDriverWait  # noqa: E402


class Page(browser.Page):
    def file_value(self, mode, key, frame, i, j):
        with h5py.File(self.path, "r") as f:
            return float(f[f"mode/{mode}/frame/{key}"][frame, j, i])

    def test_opens_from_disk_without_an_error_and_asks_for_nothing(self):
        self.open()
        self.browser.save_screenshot(str(SCREENSHOTS / "page_1280x720.png"))
        self.assertEqual([entry for entry in self.browser.get_log("browser")], [])
        asked = []
        for entry in self.browser.get_log("performance"):
            message = json.loads(entry["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                asked.append(message["params"]["request"]["url"])
        # chrome: is the browser's own empty first tab.
        outside = [
            url for url in asked if not url.startswith(("data:", "blob:", "chrome:")) and url != self.html.as_uri()
        ]
        self.assertIn(self.html.as_uri(), asked)
        self.assertEqual(outside, [])

    def test_small_enough_to_send(self):
        self.assertLess(self.html.stat().st_size, 8_000_000)

    def test_slider_changes_the_picture_and_the_words(self):
        self.open()
        before, words = self.picture(), self.element("time-words").text
        self.set_time(10)
        self.assertNotEqual(self.picture(), before)
        self.assertNotEqual(self.element("time-words").text, words)
        cursors = self.script("return [0,1,2].map(k => document.getElementById('history-' + k).layout.shapes[0].x0)")
        with h5py.File(self.path, "r") as f:
            np.testing.assert_allclose(cursors, [f["mode/continuous/frame/t_s"][10]] * 3, rtol=1e-5)

    def test_play_runs_to_the_end(self):
        self.open()
        self.set_time(57)
        self.element("play").click()
        self.wait(lambda: self.element("time").get_property("value") == "60")
        self.wait(lambda: self.element("play").get_attribute("aria-pressed") == "false")

    def test_every_field_can_be_shown(self):
        self.open()
        seen = {self.picture()}
        choices = self.browser.find_elements(By.NAME, "field")
        self.assertEqual(len(choices), 5)  # four fields and the cut specimen
        for choice in choices[1:]:
            choice.click()
            seen.add(self.picture())
        self.assertEqual(len(seen), 5)

    def test_hover_shows_the_value_of_the_file(self):
        self.open()
        for frame in (60, 20):
            self.set_time(frame)
            for side, mode in ((-1, "continuous"), (1, "interrupted")):
                for i, j in ((3, 2), (25, 8), (40, 15)):
                    x, y = self.place_of(side, i, j)
                    self.script(
                        "document.getElementById('section-frame').dispatchEvent(new PointerEvent('pointermove', "
                        "{clientX: arguments[0], clientY: arguments[1], bubbles: true}))", x, y)
                    words = self.element("tip").text.split("\n")
                    self.assertTrue(words[0].startswith(f"{mode}: "))
                    temperature = self.file_value(mode, "temperature_C", frame, i, j)
                    self.assertLessEqual(abs(float(words[1].split()[0]) - temperature),
                                         0.05 + 0.011)  # printed digit, half a quantum
                    water = 100 * self.file_value(mode, "water_fraction", frame, i, j)
                    self.assertLessEqual(abs(float(words[2].split()[2]) - water), 0.05 + 0.026)
                    values = self.script("return document.documentElement.dryfront.cell_values(...arguments)", side, i,
                                         j)
                    omega = self.file_value(mode, "omega_liver", frame, i, j)
                    self.assertAlmostEqual(math.log10(values["omega"]), min(max(math.log10(omega), -6), 8), delta=6e-4)
                    heating = self.file_value(mode, "heating_W_m3", frame, i, j) * 1e-6
                    self.assertAlmostEqual(values["heating"] / heating, 1, delta=0.006)

    def test_real_pointer_shows_the_tip(self):
        self.open()
        x, y = self.place_of(1, 25, 8)
        ActionChains(self.browser).move_to_element(self.element("section")).perform()
        box = self.script("const b = document.getElementById('section').getBoundingClientRect(); "
                          "return [b.left + b.width / 2, b.top + b.height / 2]")
        ActionChains(self.browser).move_by_offset(int(x - box[0]), int(y - box[1])).perform()
        self.assertTrue(self.element("tip").is_displayed())
        self.assertIn("interrupted: ", self.element("readout").text)

    def test_drawn_depth_is_the_printed_depth(self):
        self.open()
        for mode, side in (("continuous", -1), ("interrupted", 1)):
            with h5py.File(self.path, "r") as f:
                printed = 1e3 * float(f[f"mode/{mode}/summary"].attrs["depth_coagulation_m"])
            deepest, pixel = self.script("""
                const s = document.getElementById('section');
                const line = s.data.find(t => t.name === `coagulation ${arguments[0]}`);
                const axis = s._fullLayout.yaxis;
                return [Math.max(...line.y.filter(v => v !== null)), 1 / Math.abs(axis.d2p(1) - axis.d2p(0))];""", mode)
            self.assertLess(abs(deepest - printed), pixel / 2, mode)
            self.assertIn(f"{printed:.2f}", self.element("numbers").text)

    def test_the_table_has_the_ranges_and_what_matters_most(self):
        self.open()
        rows = self.script("return [...document.querySelectorAll('#numbers tbody tr')].map(r => r.textContent)")
        for row, entry in zip(rows, synthetic.MODES, strict=True):
            self.assertIn(f"{0.5 * entry[4]:.2f} to {1.5 * entry[4]:.2f} mm", row)
        words = self.element("interval").text
        for part in ("0.80 to 1.60", "75 % of the 48 runs",
                     "contact fraction of the electrode (rank correlation -0.71)", "not that of tissue"):
            self.assertIn(part, words)

    def operating_points(self):
        """Where the dots of the shown modes stand: load and power, left half first."""
        return self.script("return document.getElementById('power-load').data.filter(t => t.name.startsWith('now ') "
                           ").map(t => [t.x[0], t.y[0], t.marker.symbol]);")

    def test_the_dots_move_along_the_power_against_load(self):
        self.open()
        with h5py.File(self.path, "r") as f:
            times = f["mode/continuous/frame/t_s"][()]
            traces = [{key: f[f"mode/{name}/trace/{key}"][()] for key in ("t_s", "resistance_ohm", "power_W")}
                      for name in ("continuous", "interrupted")]
        seen = []
        for step in (0, 20, 45, 60):
            self.set_time(step)
            points = self.operating_points()
            self.assertEqual(len(points), 2)
            for (load, power, symbol), trace in zip(points, traces):
                for shown, key in ((load, "resistance_ohm"), (power, "power_W")):
                    expected = np.interp(times[step], trace["t_s"], trace[key])
                    self.assertAlmostEqual(shown, expected, delta=0.003 * expected, msg=f"{key} at step {step}")
                self.assertEqual(symbol, "circle-dot")
            seen.append([point[0] for point in points])
            self.assertIn(f"At {times[step]:.2f} s: \u201ccontinuous\u201d 45.0 W into",
                          self.element("power-load-now").text)
        self.assertEqual(len({tuple(pair) for pair in seen}), 4)
        self.script("document.getElementById('power-load-part').scrollIntoView()")
        self.browser.save_screenshot(str(SCREENSHOTS / "power_load.png"))
        said = self.element("power-load-words").text
        for wanted in ("Both to 45 W", "because its source is rated for 500 ohm", "dried out at 7.5 s"):
            self.assertIn(wanted, said)
        self.assertIn("Both to 45 W", self.element("power-load").get_attribute("aria-label"))

    def choose(self, half, mode):
        self.script("const s = document.getElementById(arguments[0] + '-mode'); s.value = arguments[1];"
                    "s.dispatchEvent(new Event('change'));", half, mode)

    def test_power_against_load_follows_the_halves(self):
        self.open()
        self.choose("right", 0)
        self.assertEqual(len(self.operating_points()), 1)
        self.assertIn("was set to 45 W", self.element("power-load-words").text)
        self.choose("left", 1)
        names = self.script("return document.getElementById('power-load').data.map(t => t.name);")
        self.assertIn("gated, half the time on", names)
        self.assertEqual(len(self.operating_points()), 2)

    def test_power_against_load_stands_between_section_and_histories(self):
        self.open()
        order = self.script("return [...document.querySelectorAll('h2')].map(h => h.id);")
        self.assertLess(order.index("section-heading"), order.index("power-load-heading"))
        self.assertEqual(order.index("history-heading"), order.index("power-load-heading") + 1)
        self.assertGreater(order.index("why-heading"), order.index("settings-heading"))

    def unfold_researchers(self):
        """What is folded away at first; its plot is drawn then."""
        self.assertFalse(self.script("return document.getElementById('researchers').open"))
        self.element("why-heading").click()
        self.assertTrue(self.script("return document.getElementById('researchers').open"))

    def test_the_shares_of_the_mechanisms(self):
        self.open()
        self.unfold_researchers()
        WebDriverWait(self.browser, 10).until(
            lambda b: b.execute_script("return Boolean(document.getElementById('shares').data)"))
        bars, spans = self.script(
            "const d = document.getElementById('shares').data; "
            "return [d[0], d[1]].map(t => ({x: t.x, y: t.y, e: t.error_x?.array}))"
        )
        self.assertEqual(bars["y"], list(synthetic.WHY_SHARES))
        np.testing.assert_allclose(bars["x"], [share for share, _, _ in synthetic.WHY_SHARES.values()])
        np.testing.assert_allclose(spans["x"], [least for _, least, _ in synthetic.WHY_SHARES.values()])
        np.testing.assert_allclose(spans["e"],
                                   [greatest - least for _, least, greatest in synthetic.WHY_SHARES.values()])
        self.assertEqual(self.element("sentences").text.count("a sentence to say aloud"), len(synthetic.WHY_SHARES))
        self.assertIn("of which this much was delivered", self.element("sentences").text)
        self.assertIn("without re-wetting", self.element("sentences").text)
        self.assertIn("source +0.70", self.element("shares").get_attribute("aria-label"))
        self.script("document.getElementById('why-heading').scrollIntoView()")
        self.browser.save_screenshot(str(SCREENSHOTS / "why.png"))

    def test_a_file_without_studies_says_so(self):
        bare = Path(self.folder.name) / "bare.h5"
        synthetic.make(bare, frames=3)
        self.open(html=self.written(bare))
        self.assertIn("No interval was computed", self.element("interval").text)
        self.unfold_researchers()
        self.assertIn("not in this run file", self.element("why-words").text)
        self.assertFalse(self.element("shares").is_displayed())

    def test_scale_is_the_same_both_ways(self):
        self.open()
        across, down = self.script("const l = document.getElementById('section')._fullLayout;"
                                   "return [l.xaxis.d2p(1) - l.xaxis.d2p(0), l.yaxis.d2p(1) - l.yaxis.d2p(0)]")
        self.assertAlmostEqual(across / down, 1, delta=0.01)

    def test_keyboard_alone(self):
        self.open()
        self.script("document.getElementById('time').focus()")
        before = self.element("time").get_property("value")
        ActionChains(self.browser).send_keys(Keys.ARROW_LEFT).perform()
        self.assertNotEqual(self.element("time").get_property("value"), before)
        self.script("document.getElementById('section').focus()")
        ActionChains(self.browser).send_keys(Keys.ARROW_RIGHT, Keys.ARROW_RIGHT, Keys.ARROW_DOWN).perform()
        probe = self.script("return document.documentElement.dryfront.view.probe")
        self.assertEqual(probe, {"side": 1, "i": 1, "j": 1})
        ActionChains(self.browser).send_keys(*[Keys.ARROW_LEFT] * 3).perform()
        self.assertEqual(self.script("return document.documentElement.dryfront.view.probe"), {
            "side": -1,
            "i": 1,
            "j": 1
        })
        self.assertIn("continuous: ", self.element("readout").text)
        ActionChains(self.browser).send_keys(",").perform()
        self.assertEqual(self.script("return document.documentElement.dryfront.view.step"), 58)
        # Every control is reached by Tab.
        self.script("document.body.focus(); document.activeElement.blur()")
        reached = set()
        for _ in range(45):
            ActionChains(self.browser).send_keys(Keys.TAB).perform()
            reached.add(
                self.script(
                    "return document.activeElement.id || document.activeElement.name || document.activeElement.tagName")
            )
        for name in ("left-mode", "right-mode", "section", "play", "back", "time", "forth", "field", "show-effects",
                     "show-isolines", "save", "look", "print", "effect", "quantity"):
            self.assertIn(name, reached)

    def test_every_control_has_a_name(self):
        self.open()
        nameless = self.script("""return [...document.querySelectorAll('button, input, select, [tabindex="0"]')]
            .filter(e => !(e.getAttribute('aria-label') || e.textContent.trim() || (e.labels && e.labels.length)
                           || e.getAttribute('aria-labelledby')))
            .map(e => e.outerHTML.slice(0, 80))""")
        self.assertEqual(nameless, [])

    def test_modes_can_be_exchanged(self):
        self.open()
        self.script("const s = document.getElementById('left-mode'); s.value = 2; s.dispatchEvent(new Event('change'))")
        self.assertIn("coagulation to 2.45 mm against 2.10 mm", self.element("sentence").text)
        self.assertIn("5.77", self.element("left-words").text)

    def test_saves_the_view_as_an_image(self):
        self.open()
        self.element("save").click()
        wanted = Path(self.folder.name) / "run_10.00s.png"
        end = time.monotonic() + 30
        while not wanted.exists() and time.monotonic() < end:
            time.sleep(0.1)
        self.assertEqual(wanted.read_bytes()[:8], b"\x89PNG\r\n\x1a\n")

    def test_cautions_and_licence_are_on_the_page(self):
        self.open()
        words = self.script("return document.body.textContent")
        for part in ("For teaching and research only", "Never for choosing settings on a patient", "local codes",
                     "MIT"):
            self.assertIn(part, words)

    def test_dark_and_light(self):
        self.open()
        paper = self.script("return getComputedStyle(document.body).backgroundColor")
        self.element("look").click()
        self.assertNotEqual(self.script("return getComputedStyle(document.body).backgroundColor"), paper)
        self.assertEqual(self.element("look").get_attribute("aria-pressed"), "true")
        self.browser.save_screenshot(str(SCREENSHOTS / "dark.png"))

    def test_nothing_is_wider_than_the_window(self):
        for width, height in ((390, 844), (1280, 720), (1920, 1080)):
            self.open(width, height)
            self.assertLessEqual(self.script("return document.documentElement.scrollWidth"), width)
            self.browser.save_screenshot(str(SCREENSHOTS / f"page_{width}x{height}.png"))


class Text(unittest.TestCase):
    """What a hostile or odd case may carry into the page."""

    def test_mark_up_in_a_title_stays_text(self):
        with tempfile.TemporaryDirectory() as folder:
            path, html = Path(folder) / "run.h5", Path(folder) / "run.html"
            synthetic.make(path, frames=3, modes=2)
            with h5py.File(path, "a") as f:
                f.attrs["title"] = "</script><b>@DATA@ & x"
            self.assertEqual(page.main([str(path), "--out", str(html), "--quiet"]), 0)
            text = html.read_text(encoding="utf-8")
            self.assertIn("<title>&lt;/script&gt;&lt;b&gt;@DATA@ &amp; x</title>", text)
            self.assertEqual(text.count("</script>"), 3)

    def test_packing_is_undone_by_its_rule(self):
        import base64
        import zlib

        import packing
        values = np.random.default_rng(1).uniform(20, 300, (7, 50)).cumsum(axis=0) / 10
        packed = packing.pack(values, values.min(), values.max(), 0.02)
        planes = np.frombuffer(zlib.decompress(base64.b64decode(packed["packed"]), -15), np.uint8).reshape(2, -1)
        whole = (planes[0] + 256 * planes[1].astype(np.uint32)).reshape(7, 50).cumsum(axis=0) % 65536
        self.assertLessEqual(np.max(np.abs(packed["low"] + packed["step"] * whole - values)), 0.0101)


if __name__ == "__main__":
    unittest.main(verbosity=1)
