"""How the page lies on a projector, a phone and paper, and whether it can be read there.

Contrast is that of WCAG 2.1 (W3C Recommendation, 2018): relative luminance and ratio as defined there; 4.5 for text,
3 for large text (24 px, or 18.66 px bold) and for lines and edges that carry meaning (success criteria 1.4.3, 1.4.11).
"""

import base64
import itertools
import os
import shutil
import subprocess
import sys
import unittest
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOM = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent)) / "postproc"
sys.path[:0] = [str(ROOM), str(HERE)]

import _page_browser as browser  # noqa: E402
import palette  # noqa: E402
from _page_browser import SCREENSHOTS, ActionChains  # noqa: E402

SIZES = ((1280, 720), (1920, 1080), (390, 844))
A4 = {"paperWidth": 8.27, "paperHeight": 11.69, "printBackground": True}
LETTER = {"paperWidth": 8.5, "paperHeight": 11.0, "printBackground": True}

# Every visible text with its colour and what lies behind it. In the picture: the label's own box, laid over black and
# over white; the electrode where a label has none; elsewhere the paper of the plot.
TEXTS = """
const own = c => { const m = c.match(/[\\d.]+/g).map(Number); return m.length < 4 ? [...m, 1] : m; };
const over = (a, b) => a.slice(0, 3).map((v, k) => v * a[3] + b[k] * (1 - a[3]));
const root = own(getComputedStyle(document.body).backgroundColor).slice(0, 3);
const behind = e => {
  const layers = [];
  for (let n = e; n; n = n.parentElement) {
    const c = own(getComputedStyle(n).backgroundColor);
    if (c[3] > 0) layers.push(c);
    if (c[3] === 1) break;
  }
  return layers.reverse().reduce((under, c) => over(c, under), root);
};
const found = [];
const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walk.nextNode()) {
  const e = walk.currentNode.parentElement, style = getComputedStyle(e), box = e.getBoundingClientRect();
  if (!walk.currentNode.textContent.trim() || e.closest('script, style, option, .unseen, .skip')) continue;
  if (!e.checkVisibility({checkOpacity: true, checkVisibilityCSS: true}) || box.width === 0) continue;
  const svg = e.closest('svg');
  const color = own(svg ? style.fill : style.color), size = parseFloat(style.fontSize);
  const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
  let grounds = [svg ? root : behind(e)];
  const note = e.closest('.annotation-text-g');
  if (note) {
    const c = own(getComputedStyle(note.querySelector('rect')).fill);
    const opacity = Number(getComputedStyle(note.querySelector('rect')).fillOpacity);
    const boxed = c[3] * opacity > 0.1 && !note.closest('#waveforms, #shares');
    if (boxed) grounds = [[0, 0, 0], [255, 255, 255]].map(b => over([...c.slice(0, 3), c[3] * opacity], b));
    else if (note.closest('#section')) grounds = [[0xc9, 0xcc, 0xd1]];
  }
  grounds.forEach(g => found.push([walk.currentNode.textContent.trim().slice(0, 40), color.slice(0, 3), g, large]));
}
return found;
"""


def luminance(colour):
    if isinstance(colour, str):
        colour = [int(colour[k:k + 2], 16) for k in (1, 3, 5)]
    parts = [c / 255 / 12.92 if c / 255 <= 0.03928 else ((c / 255 + 0.055) / 1.055)**2.4 for c in colour]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(a, b):
    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


class Layout(browser.Page):
    frames = 11

    def shot(self, name):
        self.browser.save_screenshot(str(SCREENSHOTS / f"{name}.png"))

    def box(self, selector):
        return self.script("const b = document.querySelector(arguments[0]).getBoundingClientRect();"
                           "return {left: b.left, top: b.top, right: b.right, bottom: b.bottom}", selector)

    def printed(self, name, paper=A4):
        """The pdf's number of pages and its text."""
        pdf = SCREENSHOTS / f"{name}.pdf"
        pdf.write_bytes(base64.b64decode(self.browser.execute_cdp_cmd("Page.printToPDF", paper)["data"]))
        info = subprocess.run(["pdfinfo", pdf], capture_output=True, text=True, check=True).stdout
        text = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True, check=True).stdout
        return int(info.split("Pages:")[1].split()[0]), text

    def predicted(self, *size):
        """Predicted, run to the end, with a measured section."""
        self.open(*size, at="")
        for name in ("left", "right"):
            self.element(f"predict-{name}").send_keys("2.75")
        self.element("reveal").click()
        self.element("to-the-end").click()
        self.script("document.getElementById('measured').open = true")
        self.wait(lambda: self.browser.find_elements("css selector", ".specimen input[data-key=depth_mm]"))
        self.browser.find_element("css selector", ".specimen input[data-key=depth_mm]").send_keys("2,25")

    def test_projector_has_section_plot_and_panel_on_one_screen(self):
        for at in ("#show", ""):
            for width, height in SIZES[:2]:
                self.open(width, height, at=at)
                self.script("document.activeElement.blur()")
                ActionChains(self.browser).send_keys("p").perform()
                self.assertEqual(self.element("projector").get_attribute("aria-pressed"), "true")
                parts = ["#section .plotly", "#section-frame"]
                shown = ["#controls", "#markers", ".projected .plotly", "#measured", ".specimen"]
                parts += shown if at else ["#reveal"]
                for part in parts:
                    box = self.box(part)
                    self.assertGreaterEqual(min(box["left"], box["top"]), 0, part)
                    self.assertLessEqual(box["right"], width, part)
                    self.assertLessEqual(box["bottom"], height, part)
                self.assertLessEqual(self.script("return document.documentElement.scrollWidth"), width)
                small = self.script("""
                    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), small = [];
                    while (walk.nextNode()) {
                      const e = walk.currentNode.parentElement, box = e.getBoundingClientRect();
                      if (!walk.currentNode.textContent.trim() || e.closest('script, style, option, .unseen, .skip'))
                        continue;
                      if (e.closest('#waveforms') || !e.checkVisibility() || box.top > innerHeight || !box.width)
                        continue;
                      const size = parseFloat(getComputedStyle(e).fontSize);
                      if (size < 22.79) small.push(`${size} ${walk.currentNode.textContent.trim()}`);
                    }
                    return small;""")
                # The load in the electrode is set a twentieth smaller than the rest; below the first screen lie the
                # waveforms, of which a strip may show.
                self.assertEqual(small, [])
                self.shot(f"projector_{width}_{'answer' if at else 'question'}")
        self.no_faults()

    def test_projector_with_prediction_and_measured_section(self):
        self.predicted(1280, 720)
        self.element("projector").click()
        self.assertLessEqual(self.box("#controls")["bottom"], 720)
        self.assertLessEqual(self.box("#measured")["bottom"], 720)
        self.assertIn("mean 2.25 mm", self.element("measured-words").text)
        self.shot("projector_measured")

    def test_phone_has_the_section_first_and_the_table_as_cards(self):
        for at in ("", "#show"):
            self.open(390, 844, at=at)
            self.assertLessEqual(self.box("#section")["bottom"], 600)
            self.assertGreater(self.box("#section")["right"] - self.box("#section")["left"], 300)
            self.assertLessEqual(self.script("return document.documentElement.scrollWidth"), 390)
            self.shot(f"phone_{'answer' if at else 'question'}")
        self.assertLess(self.box("#section")["bottom"], self.box("#sentence")["top"])
        cells = self.script("""
            const rows = [...document.querySelectorAll('#numbers tbody tr')];
            return rows.map(r => [...r.cells].map(c => {
            const b = c.getBoundingClientRect();
            return [b.left, b.right, b.top, getComputedStyle(c, '::before').content, c.textContent]}))""")
        for row in cells:
            for left, right, _, _, words in row:
                self.assertGreaterEqual(left, 0, words)
                self.assertLessEqual(right, 390, words)
            tops = [cell[2] for cell in row]
            self.assertEqual(tops, sorted(set(tops)))  # one below the other
        self.assertEqual(cells[0][1][3], '"crest factor"')
        self.script("document.getElementById('numbers').scrollIntoView()")
        self.shot("phone_cards")

    def test_touch_reads_values_beside_the_finger(self):
        self.open(390, 844)
        x, y = self.window_place(3.0, 1.0)
        for kind, points in (("touchStart", [{"x": x, "y": y}]), ("touchEnd", [])):
            self.browser.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        self.wait(lambda: "interrupted: " in self.element("readout").text)
        self.assertFalse(self.element("tip").is_displayed())
        finger = 24  # half of what a finger covers [px], from memory
        self.assertGreater(self.box("#readout")["top"], y + finger)
        self.assertLessEqual(self.box("#readout")["bottom"], 844)
        probe = self.script("return document.documentElement.dryfront.view.probe")
        faces = self.script("const g = document.documentElement.dryfront.run.grid; return [g.r_face, g.z_face]")
        self.assertEqual(probe["side"], 1)
        for axis, index, place in zip(faces, (probe["i"], probe["j"]), (3.0, 1.0)):
            self.assertLessEqual(axis[index] - 0.1, place)
            self.assertGreaterEqual(axis[index + 1] + 0.1, place)

    def test_prints_on_two_pages_with_the_whole_table(self):
        if not shutil.which("pdftotext"):
            self.skipTest("poppler-utils is missing")
        self.predicted(1280, 720)
        for name, paper in (("answer_a4", A4), ("answer_letter", LETTER)):
            pages, text = self.printed(name, paper)
            self.assertLessEqual(pages, 2)
            for part in ("dry-out at", "7.5 s", "4.0 s", "interrupted", "predicted 2.75 mm", "standard", "2.25",
                         "Not for choosing settings on a patient", "What that did", "local codes", "synthetic"):
                self.assertIn(part, text)
            rows = {line.strip().split("  ")[0] for line in text.splitlines()}
            heads = "return [...document.querySelectorAll('#numbers thead th')].map(h => h.textContent)"
            for label in self.script(heads):
                self.assertTrue(label in rows or label.split("[")[0].strip() in rows, label)
        self.assertEqual(self.script("return document.body.className"), "")  # as it was before
        self.open(at="")
        pages, text = self.printed("question_a4")
        self.assertLessEqual(pages, 2)
        self.assertIn("Before it runs", text)
        self.assertNotIn("3.10", text)

    def test_texts_have_the_contrast_of_wcag(self):
        for at in ("", "#show"):
            if at:
                self.predicted(1280, 900)
            else:
                self.open(1280, 900, at=at)
            self.script("document.querySelectorAll('details').forEach(d => { d.open = true; })")
            self.texts_stand_out(f"light, {at}")
            self.script("document.getElementById('look').click()")
            self.texts_stand_out(f"dark, {at}")
            self.shot("dark_answer" if at else "dark_question")
            self.script("document.getElementById('look').click()")
            self.script("document.querySelectorAll('details').forEach(d => { d.open = false; })")
            self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
            self.script("window.dispatchEvent(new Event('beforeprint'))")
            self.texts_stand_out(f"print, {at}")
            self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})

    def texts_stand_out(self, where):
        texts = self.script(TEXTS)
        self.assertGreater(len(texts), 60, where)
        poor = [(words, round(contrast(ink, ground), 2)) for words, ink, ground, large in texts
                if contrast(ink, ground) < (3 if large else 4.5)]
        self.assertEqual(poor, [], where)

    def test_lines_and_edges_have_the_contrast_of_wcag(self):
        self.predicted(1280, 900)
        for dark in (False, True):
            paper, quiet, panel, accent, on_accent, entered = self.script(
                "const s = getComputedStyle(document.documentElement);"
                "return ['--paper', '--quiet', '--panel', '--accent', '--on-accent', '--entered']"
                ".map(n => s.getPropertyValue(n).trim())")
            lines = self.script("const plot = document.getElementById('history-0');"
                                "return plot.data.map(t => [t.line.color, t.line.dash])")
            self.assertEqual(len(lines), 4)
            for colour, _ in lines:
                self.assertGreaterEqual(contrast(colour, paper), 3, colour)
            for (a, dash_a), (b, dash_b) in itertools.combinations(lines, 2):
                self.assertTrue(dash_a != dash_b or contrast(a, b) >= 3, (a, b))
            for a, b in ((quiet, panel), (quiet, paper), (accent, paper), (accent, on_accent), (entered, paper)):
                self.assertGreaterEqual(contrast(a, b), 3, (a, b))
            self.element("look").click()
        for colours in (palette.MODE_COLOURS, palette.MODE_COLOURS_ON_DARK):
            paper = "#ffffff" if colours is palette.MODE_COLOURS else "#161718"
            for colour in colours:
                self.assertGreaterEqual(contrast(colour, paper), 3, colour)
        # Lines in the picture have an edge of their own: each has to stand out from its edge, and the edge or the line
        # from every colour of every field.
        shapes = self.script("return document.getElementById('section').layout.shapes.filter(s => s.type === 'path' "
                             "&& s.line.color === '#0a38a0').length")
        self.assertGreaterEqual(shapes, 3)  # two predictions, one section
        for line in ("#0a38a0", "#1c1b1a"):
            self.assertGreaterEqual(contrast(line, "#ffffff"), 3)
            for ground in itertools.chain(*palette.ANCHORS.values()):
                self.assertGreaterEqual(max(contrast(line, ground), contrast("#ffffff", ground)), 3, (line, ground))


if __name__ == "__main__":
    unittest.main(verbosity=1)
