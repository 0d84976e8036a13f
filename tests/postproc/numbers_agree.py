"""One run of the program, its numbers read from the print, a figure, the handout and the page: the same texts.

And what must not stand there: a sign for damage that can be read as ohm, keys, names of tissues in the file.
"""

import html
import json
import os
import re
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

TREE = Path(os.environ["DRYFRONT_SOURCE_DIR"])
sys.path.insert(0, str(TREE / "postproc"))

import appearance  # noqa: E402

appearance.use()
import matplotlib.pyplot as plt  # noqa: E402

import figures  # noqa: E402
import handout  # noqa: E402
import page  # noqa: E402
import run_file  # noqa: E402

# Coarse and short of time steps: seconds.
COARSE = ["--set", "time.tolerance=4", "--set", "grid.fine_mm=0.1"]
ROWS = {  # of the printed table -> name in the run file
    "crest factor": "crest_factor",
    "greatest depth, coagulation": "depth_coagulation_m",
    "greatest depth, desiccation": "depth_desiccation_m",
    "half-width, coagulation": "half_width_coagulation_m",
    "volume, coagulation": "volume_coagulation_m3",
    "load at the start": "resistance_start_ohm",
    "load at the end": "resistance_end_ohm",
    "energy delivered": "delivered_J",
    "of it into the surface": "surface_J",
    "arcing from": "arcing_s",
    "dry-out at": "dry_out_s",
    "greatest temperature": "peak_C",
}
OMEGA = "[\u03a9\u03c9\u2126]"


class Numbers(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        folder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(folder.cleanup)
        cls.folder = Path(folder.name)
        path = cls.folder / "run.h5"
        cls.printed = subprocess.run([
            os.environ["DRYFRONT_BINARY"], "run",
            str(TREE / "cases" / "blade_edge.toml"), "--out",
            str(path), *COARSE
        ], capture_output=True, text=True, check=True).stdout
        if figures.main([str(path), "--out", str(cls.folder), "--quiet"]) != 0:
            raise RuntimeError("no figures")
        if page.main([str(path), "--out", str(cls.folder / "run.html"), "--quiet"]) != 0:
            raise RuntimeError("no page")
        cls.run_file = run_file.open_run_file(path)
        cls.addClassCleanup(cls.run_file.close)
        text = (cls.folder / "run.html").read_text(encoding="utf-8")
        cls.page = json.loads(re.search(r'<script type="application/json" id="run">(.*?)</script>', text, re.S)[1])
        cls.svg = {path.stem: path.read_text(encoding="utf-8") for path in cls.folder.glob("*.svg")}
        left, right = cls.run_file.pair()
        cls.paper = handout.handout_figure(plt, cls.run_file, left, right, "a4")

    def printed_rows(self):
        """Cells of the printed table by row: a column for each mode."""
        rows = {}
        for line in self.printed.splitlines():
            for name in ROWS:
                if line.startswith(name + "  "):
                    rows.setdefault(name, []).extend(re.split(r"\s{2,}", line[len(name):].strip()))
        return rows

    def svg_texts(self, name):
        return [html.unescape(re.sub("<[^>]*>", "", t)) for t in re.findall(r"<text.*?</text>", self.svg[name], re.S)]

    def paper_texts(self):
        return [t.get_text() for t in self.paper.findobj(lambda a: hasattr(a, "get_text") and a.get_visible())]

    def test_print_and_page_have_the_texts_of_the_file(self):
        rows = self.printed_rows()
        self.assertEqual(set(rows), set(ROWS))
        for row, key in ROWS.items():
            self.assertEqual(len(rows[row]), len(self.run_file.modes))
            for cell, mode, shown in zip(rows[row], self.run_file.modes, self.page["modes"]):
                self.assertEqual(cell.rstrip("*"), mode.shown[key], (row, mode.name))
                self.assertEqual(shown["shown"][key], mode.shown[key], (row, mode.name))

    def test_figure_and_cut_specimen_name_the_same_depths(self):
        for name in ("comparison", "comparison_cutaway"):
            texts = self.svg_texts(name)
            for mode in self.run_file.pair():
                for effect in ("coagulation", "desiccation"):
                    depth = mode.shown[f"depth_{effect}_m"]
                    if depth != "none":
                        self.assertTrue(any(t.rstrip("*") == f"{effect} {depth}" for t in texts), (name, effect, depth))

    def test_the_handout_has_them(self):
        words = self.paper_texts()
        for mode in self.run_file.modes:
            for key in ("depth_coagulation_m", "half_width_coagulation_m", "delivered_J", "surface_J", "crest_factor"):
                self.assertTrue(any(t.rstrip("*") == mode.shown[key] for t in words), (mode.name, key))
            self.assertIn(f"{mode.shown['resistance_start_ohm']} | {mode.shown['resistance_end_ohm']}", words)

    def test_the_sentence_of_the_pair_is_the_same_everywhere(self):
        left, right = self.run_file.pair()
        said = self.run_file.pairs[left.name, right.name, "coagulation"]
        a, b = self.page["left"], self.page["right"]
        self.assertEqual(self.page["pairs"]["coagulation"][a][b], said)
        for texts in (self.svg_texts("comparison"), self.paper_texts()):
            self.assertIn(said, " ".join(" ".join(texts).split()))

    def test_no_depth_has_more_digits_than_its_cell_bears(self):
        for mode in self.run_file.modes:
            for effect in mode.effects.values():
                number = re.match(r"[\d.]+", effect.shown["depth"])
                if number is None:
                    continue
                row = int((self.run_file.z_face <= effect.greatest).sum()) - 1
                cell = 1e3 * (self.run_file.z_face[row + 1] - self.run_file.z_face[row])
                last_digit = 10.0**-len(number[0].partition(".")[2])
                self.assertGreaterEqual(last_digit, cell / 10 * (1 - 1e-9), (mode.name, effect.name))
                self.assertLessEqual(abs(float(number[0]) - 1e3 * effect.greatest), last_digit / 2 * (1 + 1e-9))

    def test_nothing_reads_as_ohm_that_is_damage_and_no_key_stands_alone(self):
        listing = subprocess.run([os.environ["DRYFRONT_BINARY"], "keys", "--markdown"],
                                 capture_output=True, text=True, check=True).stdout
        keys = {key.split(".")[-1] for key in re.findall(r"^\| `([^`]+)`", listing, re.M) if "_" in key}
        tissues = {"liver_ex_vivo", "liver_perfused", "skin_wet", "saline_agar"}
        self.assertGreater(len(keys), 50)
        forbidden = re.compile(r"\b(" + "|".join(map(re.escape, keys | tissues)) + r")\b")
        pictures = [text for name in self.svg for text in self.svg_texts(name)] + self.paper_texts()
        on_page = [self.page[key] for key in ("title", "question", "specimen", "caution")]
        on_page += [f["label"] for f in self.page["fields"]] + [e["meaning"] for e in self.page["effects"]]
        on_page += [*self.page["histories"].values(), *self.page["spared"]]
        for text in [*pictures, *on_page, self.printed]:
            self.assertNotRegex(text, OMEGA)
        for text in [*pictures, *on_page]:
            self.assertIsNone(forbidden.search(text), text)
        for script in (TREE / "postproc" / "page").glob("*.js"):
            self.assertNotRegex(script.read_text(encoding="utf-8"), OMEGA, script.name)

    def test_every_svg_has_a_title_and_a_description_and_text_that_is_text(self):
        for name, svg in self.svg.items():
            self.assertRegex(svg, r'<title id="title">[^<]+</title>\s*<desc id="description">[^<]+</desc>', name)
            self.assertIn('role="img"', svg)
            self.assertGreater(len(self.svg_texts(name)), 5, name)


if __name__ == "__main__":
    unittest.main(verbosity=1)
