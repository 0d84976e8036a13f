"""A headless Chromium that opens the page of a synthetic run from disk, for the tests of the page.

Needs Debian's chromium, chromium-driver and python3-selenium; ends the test with exit code 77 (skipped) without them.
"""

import shutil
import sys
import tempfile
import unittest
from pathlib import Path

try:
    from selenium import webdriver
    from selenium.webdriver import ActionChains  # noqa: F401
    from selenium.webdriver.chrome.service import Service
    from selenium.webdriver.common.by import By
    from selenium.webdriver.common.keys import Keys  # noqa: F401
    from selenium.webdriver.support.ui import WebDriverWait  # noqa: F401
except ImportError:
    print("skipped: python3-selenium is missing", file=sys.stderr)
    sys.exit(77)
if not (shutil.which("chromium") and shutil.which("chromedriver")):
    print("skipped: chromium or chromedriver is missing", file=sys.stderr)
    sys.exit(77)

import _synthetic_run as synthetic  # noqa: E402
import page  # noqa: E402

SCREENSHOTS = Path.cwd() / "screenshots"
FLAGS = [
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage"
]


class Page(unittest.TestCase):
    """One browser and one page with studies for all tests of a class."""

    frames = 61

    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(cls.folder.cleanup)
        cls.path = Path(cls.folder.name) / "run.h5"
        synthetic.make(cls.path, frames=cls.frames)
        synthetic.add_studies(cls.path)
        cls.html = cls.written(cls.path)
        SCREENSHOTS.mkdir(exist_ok=True)
        options = webdriver.ChromeOptions()
        options.binary_location = shutil.which("chromium")
        for flag in [*FLAGS, f"--user-data-dir={tempfile.mkdtemp(dir=cls.folder.name)}", "--window-size=1920,1080"]:
            options.add_argument(flag)
        options.add_experimental_option("prefs", {"download.default_directory": cls.folder.name})
        options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
        cls.browser = webdriver.Chrome(service=Service(shutil.which("chromedriver")), options=options)
        cls.addClassCleanup(cls.browser.quit)

    @staticmethod
    def written(run_file):
        html = run_file.with_suffix(".html")
        if page.main([str(run_file), "--out", str(html), "--quiet"]) != 0:
            raise RuntimeError("the page was not written")
        return html

    def open(self, width=1280, height=720, at="#show", html=None):
        """The page as a first visitor sees it who follows the address with `at`; a window of that size."""
        self.browser.get("about:blank")
        for log in ("browser", "performance"):
            self.browser.get_log(log)  # empties it
        self.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
            "width": width,
            "height": height,
            "deviceScaleFactor": 1,
            "mobile": False
        })
        self.browser.get((html or self.html).as_uri() + at)
        WebDriverWait(self.browser,
                      60).until(lambda b: b.execute_script("return document.documentElement.dataset.ready") == "yes")
        return self.browser

    def script(self, text, *words):
        return self.browser.execute_script(text, *words)

    def element(self, name):
        return self.browser.find_element(By.ID, name)

    def wait(self, condition, seconds=15):
        return WebDriverWait(self.browser, seconds, poll_frequency=0.1).until(lambda _: condition())

    def stage(self):
        return self.script("return document.body.dataset.stage")

    def no_faults(self):
        self.assertEqual(self.browser.get_log("browser"), [])

    def picture(self):
        """All that the section shows: the filled images and the lines."""
        return self.script(
            "return [...document.querySelectorAll('#section image')]"
            ".map(i => i.getAttribute('xlink:href') || i.href.baseVal)"
            ".join() + [...document.querySelectorAll('#section path')].map(p => p.getAttribute('d')).join()")

    def set_time(self, step):
        self.script(
            "const t = document.getElementById('time'); t.value = arguments[0]; t.dispatchEvent(new Event('input'));",
            step)

    def window_place(self, x, z):
        """Where a place of the specimen [mm, across and down] stands in the window."""
        return self.script(
            """
            const s = document.getElementById('section'), l = s._fullLayout, box = s.getBoundingClientRect();
            return [box.left + l._size.l + l.xaxis.d2p(arguments[0]), box.top + l._size.t + l.yaxis.d2p(arguments[1])];
            """, x, z)

    def place_of(self, side, i, j):
        """Where the middle of a cell stands in the window."""
        r, z = self.script(
            "const g = document.documentElement.dryfront.run.grid, [i, j] = arguments;"
            "return [(g.r_face[i] + g.r_face[i + 1]) / 2, (g.z_face[j] + g.z_face[j + 1]) / 2];", i, j)
        return self.window_place(side * r, z)

    def entered_lines(self):
        """The points of every line of the viewer in the picture, [mm] across and down."""
        return self.script("""
            return document.getElementById('section').layout.shapes
              .filter(s => s.type === 'path' && s.line.color === '#0a38a0')
              .map(s => s.path.slice(1).replace(/Z$/, '').split('L').map(p => p.split(',').map(Number)));""")
