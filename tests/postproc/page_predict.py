"""The question before the answer: nothing on the page tells the depth until it was predicted or asked for.

The depths are those of _synthetic_run.py; a second run that differs from the first in nothing but its depths has to
look the same, word by word and pixel by pixel, until its answer is shown.
"""

import os
import sys
import unittest
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOM = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent)) / "postproc"
sys.path[:0] = [str(ROOM), str(HERE)]

import _page_browser as browser  # noqa: E402
import _synthetic_run as synthetic  # noqa: E402
from _page_browser import SCREENSHOTS, ActionChains, Keys  # noqa: E402

# All that a reader, a screen reader or a pointer at rest may get: texts and attributes outside scripts and styles.
# What is random in the plot library's identifiers is left out.
WORDS = """
const body = document.body.cloneNode(true);
body.querySelectorAll('script, style').forEach(e => e.remove());
const attributes = [...body.querySelectorAll('*')].flatMap(e => [...e.attributes]
  .filter(a => !['id', 'class', 'd', 'clip-path', 'href'].includes(a.name)).map(a => a.value));
return body.textContent + '\\n' + attributes.join('\\n').replace(/url\\(.*?\\)/g, '');
"""


class Predict(browser.Page):
    frames = 21

    def type_both(self, left, right):
        for name, text in (("left", left), ("right", right)):
            self.element(f"predict-{name}").send_keys(text)

    def test_nothing_tells_the_answer_before_it_is_asked_for(self):
        deeper = synthetic.MODES
        other = Path(self.folder.name) / "other" / self.path.name
        other.parent.mkdir()
        synthetic.MODES = [(*entry[:4], 0.6 * entry[4], 0.9 * entry[5]) for entry in deeper]
        try:
            synthetic.make(other, frames=self.frames)
            synthetic.add_studies(other)
        finally:
            synthetic.MODES = deeper
        other_html = self.written(other)
        seen = []
        for html in (self.html, other_html):
            self.open(at="", html=html)
            self.assertEqual(self.stage(), "question")
            seen.append((self.script(WORDS), self.browser.get_screenshot_as_png()))
            self.script("scrollTo(0, 1e6)")
            seen[-1] += (self.browser.get_screenshot_as_png(), )
        self.assertTrue(seen[0][0] == seen[1][0], "the words differ")
        self.assertTrue(seen[0][1:] == seen[1][1:], "the pictures differ")
        for entry in deeper:
            for share in synthetic.EFFECT_SHARE.values():
                self.assertNotIn(f"{share * entry[4]:.2f} mm", seen[0][0])
        self.assertNotIn("deeper:", seen[0][0])
        # The same two differ once they are shown: the comparison above could have failed.
        shown = []
        for html in (self.html, other_html):
            self.open(html=html)
            shown.append(self.script(WORDS))
        self.assertFalse(shown[0] == shown[1])

    def test_predicted_by_keyboard_alone_then_compared_in_words(self):
        self.open(at="")
        self.browser.save_screenshot(str(SCREENSHOTS / "question.png"))
        self.script("document.activeElement.blur()")
        focus = "return document.activeElement.id"
        for _ in range(20):
            ActionChains(self.browser).send_keys(Keys.TAB).perform()
            if self.script(focus) == "predict-left":
                break
        self.assertEqual(self.script(focus), "predict-left")
        ActionChains(self.browser).send_keys("4,0", Keys.TAB, "2.5").perform()
        self.script("document.getElementById('speed').value = 2")  # quick: 6 s
        ActionChains(self.browser).send_keys(Keys.ENTER).perform()
        self.assertEqual(self.stage(), "running")
        self.wait(lambda: self.script("return document.documentElement.dryfront.view.step") > 3)
        for name in ("sentence", "verdict", "history-part", "numbers-part"):
            self.assertEqual(self.element(name).text, "", name)
        self.wait(lambda: self.stage() == "answer")
        words = self.element("verdict-words").text
        # 4.0 - 3.1 and 2.5 - 2.1 of the synthetic run; 0.9 / 3.1 and 0.4 / 2.1 of 100.
        self.assertIn("“continuous”: predicted 4,0 mm, computed 3.10 mm: 0.90 mm too deep (29 %).", words)
        self.assertIn("“interrupted”: predicted 2.5 mm, computed 2.10 mm: 0.40 mm too deep (19 %).", words)
        self.assertIn("You expected “continuous” to be the deeper, and so it is.", words)
        self.assertIn("reached deeper", self.element("sentence").text)
        depths = sorted(line[0][1] for line in self.entered_lines())
        self.assertEqual(depths, [2.5, 4.0])
        self.browser.save_screenshot(str(SCREENSHOTS / "verdict.png"))
        self.no_faults()

    def test_other_verdicts(self):
        self.open(at="")
        for left, right, parts in (
            ("1", "2", ["2.10 mm too shallow (68 %)", "it is the other way round"]),
            ("3,1", "3.1", ["as predicted, within the cells there", "You expected both alike; “continuous” is deeper"]),
            ("0", ".5", ["predicted 0 mm", "predicted .5 mm"]),
        ):
            self.type_both(left, right)
            self.element("reveal").click()
            self.element("to-the-end").click()
            for part in parts:
                self.assertIn(part, self.element("verdict-words").text)
            self.element("predict-again").click()
            self.assertEqual(self.stage(), "question")
            self.assertEqual(self.element("predict-left").get_property("value"), "")
            self.assertEqual(self.element("sentence").text, "")

    def test_what_is_no_depth_is_refused_with_its_reason(self):
        self.open(at="")
        limit = self.script("return document.documentElement.dryfront.run.question_view.bottom")
        field = self.element("predict-left")
        for text, parts in (("three", ["“three” is no number", "7.0 or 7,0"]), ("1.234,5", ["“1.234,5” is no number"]),
                            ("1e1", ["“1e1” is no number"]), ("70", ["“70” is outside", f"from 0 to {limit:g} mm"]),
                            ("-1", ["“-1” is outside"])):
            field.clear()
            field.send_keys(text)
            for part in parts:
                self.assertIn(part, self.element("predict-fault").text)
            self.assertEqual(field.get_attribute("aria-invalid"), "true")
            self.assertEqual(field.get_property("value"), text)
            self.element("reveal").click()
            self.assertEqual(self.stage(), "question")
        field.clear()
        field.send_keys("2")
        self.element("reveal").click()
        self.assertIn("right half is missing", self.element("predict-fault").text)
        self.assertEqual(self.script("return document.activeElement.id"), "predict-right")

    def test_dragged_by_pointer_finger_and_arrow_keys(self):
        self.open(at="")
        left = self.element("predict-handle-left")
        x, y = self.window_place(-3, 2.0)
        down = int(y - self.window_place(0, 0)[1])
        ActionChains(self.browser).click_and_hold(left).move_by_offset(0, down).release().perform()
        pixel = 1 / (self.window_place(0, 1)[1] - self.window_place(0, 0)[1])
        value = float(self.element("predict-left").get_property("value"))
        self.assertAlmostEqual(value, 2.0, delta=0.05 + 1.5 * pixel)  # half a step, and where the handle was taken
        left.send_keys(Keys.ARROW_DOWN, Keys.ARROW_DOWN, Keys.ARROW_UP)
        self.assertAlmostEqual(float(self.element("predict-left").get_property("value")), value + 0.1, delta=1e-9)
        self.assertEqual(left.get_attribute("aria-valuetext"), f"{value + 0.1:.1f} mm")
        x, y = self.window_place(3, 0)
        depth = self.window_place(3, 4.0)[1]
        for kind, at in (("touchStart", y), ("touchMove", (y + depth) / 2), ("touchMove", depth), ("touchEnd", None)):
            points = [] if at is None else [{"x": x, "y": at}]
            self.browser.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        self.wait(lambda: self.element("predict-right").get_property("value") == "4.0")

    def test_show_at_once_lives_in_the_address_alone(self):
        self.open(at="#show")
        self.assertEqual(self.stage(), "answer")
        self.assertTrue(self.element("show-at-once").is_selected())
        self.assertFalse(self.element("verdict").is_displayed())
        self.element("show-at-once").click()
        self.assertEqual(self.stage(), "question")
        self.assertNotIn("#", self.browser.current_url)
        self.element("show-at-once").click()
        self.assertEqual(self.stage(), "answer")
        self.assertTrue(self.browser.current_url.endswith("#show"))
        self.open(at="")
        self.assertEqual(self.stage(), "question")
        self.script("location.hash = '#show'")
        self.wait(lambda: self.stage() == "answer")


if __name__ == "__main__":
    unittest.main(verbosity=1)
