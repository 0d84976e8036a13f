"""What stands on a figure or a handout in place of keys and names; every key and contact of the program has words."""

import os
import re
import subprocess
import sys
import unittest
from pathlib import Path

import h5py

HERE = Path(__file__).resolve().parent
TREE = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent))
sys.path[:0] = [str(TREE / "postproc"), str(HERE)]

import _synthetic_run as synthetic  # noqa: E402
from _one_run import OneRun  # noqa: E402
import matplotlib.pyplot as plt  # noqa: E402

import comparison  # noqa: E402
import contact_sheet  # noqa: E402
import describe  # noqa: E402
import handout  # noqa: E402
import power_load_figure  # noqa: E402
import run_file  # noqa: E402
import traces  # noqa: E402
import waveforms  # noqa: E402
import words  # noqa: E402


def table_of_keys():
    """Name, unit and allowed values of every key, from the program's own reference."""
    listing = subprocess.run([os.environ["DRYFRONT_BINARY"], "keys", "--markdown"],
                             capture_output=True,
                             text=True,
                             check=True)
    rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in listing.stdout.splitlines()
            if line.startswith("| `")]
    return [[row[0].strip("`"), *row[1:]] for row in rows]


class Words(unittest.TestCase):
    def test_keys(self):
        self.assertEqual(words.key_words("electrode.contact_fraction"), "contact fraction of the electrode")
        self.assertEqual(words.key_words("tissue.liver_ex_vivo.heat_J_kgK"), "heat of liver, ex vivo")
        self.assertEqual(words.key_parts("mode.*.source.setting_W"), ("setting", "W"))
        self.assertEqual(words.key_parts("tissue.x.conductivity_per_C"), ("conductivity", "per \u00b0C"))

    def test_tissues(self):
        for name, said in (("liver_ex_vivo", "liver, ex vivo"), ("liver_perfused", "perfused liver"),
                           ("skin_wet", "wet skin"), ("saline_agar", "saline agar"), ("potato", "potato")):
            self.assertEqual(words.tissue_words(name), said)

    def test_every_key_ends_in_a_unit_that_has_words(self):
        counted = 0
        for name, *columns in table_of_keys():
            unit = columns[0]
            if unit != "-":
                self.assertNotEqual(words.key_parts(name)[1], "", name)
                counted += 1
        self.assertGreater(counted, 50)

    def test_every_contact_has_words(self):
        row = next(row for row in table_of_keys() if row[0] == "contact")
        self.assertEqual(set(re.findall(r"[a-z_]+", row[3])) - {"one", "of", "or"}, set(words.CONTACT))

    def test_every_source_is_said_by_what_it_is(self):
        mode = run_file.Mode("x", "x", [], {}, {}, {}, {}, {})
        for kind, said in (("constant_power", "constant power, set to 60 W"),
                           ("unregulated", "unregulated, rated for 500 ohm, set to 60 W"),
                           ("voltage", "constant voltage, 80 V rms"),
                           ("table", "power by a measured table of loads, set to 60 W"),
                           ("temperature", "holds 70 \u00b0C at under the tip, at most 60 W")):
            mode.source = {"kind": kind, "setting_W": 60.0, "rated_load_ohm": 500.0, "rms_V": 80.0,
                           "hold_C": 70.0, "probe": "under_the_tip"}
            self.assertEqual(describe.source_words(mode), said)


class Shown(OneRun):
    def test_no_name_of_a_file_or_a_key_stands_on_a_figure(self):
        path = Path(self.folder.name) / "studied.h5"
        synthetic.make(path, frames=5)
        synthetic.add_studies(path)
        with h5py.File(path, "r+") as file:
            file.attrs["case_toml"] += "\n[physics]\nstrike_V = 300\n"
        run = run_file.open_run_file(path)
        self.addCleanup(run.close)
        left, right = run.pair()
        pictures = [
            comparison.comparison_figure(plt, run, left, right),
            comparison.fields_figure(plt, run, left, right),
            traces.depth_figure(plt, run),
            traces.electric_figure(plt, run),
            waveforms.waveform_figure(plt, run),
            power_load_figure.power_load_figure(plt, run, left, right),
            *handout.pages(plt, run, left, right, "a4")
        ]
        for figure in pictures:
            shown = [t.get_text() for t in figure.findobj(lambda a: hasattr(a, "get_text") and a.get_visible())]
            self.assertGreater(len(shown), 5)
            for text in shown:
                self.assertNotRegex(text, r"[a-z]_[A-Za-z]|electrode\.|physics\.")
        sheet, _ = contact_sheet.sheet_page(plt, [path], "", "", 1, 1, lambda: None)
        self.assertIn("arcing from", " ".join(t.get_text() for t in sheet.texts))


if __name__ == "__main__":
    unittest.main(verbosity=1)
