"""postproc/read_results.py opens a run file, a table and an answer, and refuses what is none."""

import json
import os
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOM = Path(os.environ.get("DRYFRONT_SOURCE_DIR", HERE.parent.parent)) / "postproc"
sys.path.insert(0, str(ROOM))

import numpy as np  # noqa: E402

import read_results  # noqa: E402

PROGRAM = os.environ["DRYFRONT_BINARY"]
QUICK = ["--set", "grid.fine_mm=0.3", "--set", "grid.growth=1.4", "--set", "mode.*.activation_s=0.5"]


class Results(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.place = Path(cls.folder.name)
        for words in (["new"], ["new", "sweep"]):
            subprocess.run([PROGRAM, *words], cwd=cls.place, check=True, capture_output=True)
        printed = subprocess.run([PROGRAM, "run", "comparison.toml", "--out", "run.h5", "--json", "--quiet", *QUICK],
                                 cwd=cls.place, check=True, capture_output=True, text=True).stdout
        (cls.place / "answer.json").write_text(printed, encoding="utf-8")
        plan = (cls.place / "sweep.toml").read_text(encoding="utf-8").replace("points = 8", "points = 1")
        (cls.place / "sweep.toml").write_text(plan, encoding="utf-8")
        subprocess.run([PROGRAM, "sweep", "sweep.toml", "--out", "out", "--quiet"], cwd=cls.place, check=True,
                       capture_output=True)

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def test_a_run_file_says_what_was_printed(self):
        run = read_results.open_run(self.place / "run.h5")
        answer = read_results.open_json(self.place / "answer.json")
        self.assertEqual(list(run["modes"]), [mode["name"] for mode in answer["modes"]])
        for printed in answer["modes"]:
            mode = run["modes"][printed["name"]]
            self.assertEqual(mode["summary"]["delivered_J"], printed["delivered_J"])
            np.testing.assert_array_equal(mode["trace"].power_W, printed["trace"]["power_W"])
            self.assertEqual(mode["frame"].temperature_C.dims, ("t_s", "z_m", "r_m"))
            self.assertEqual(mode["frame"].temperature_C.units, "degC")
            # A place by its coordinates, near the one of the deepest grid line that is asked for.
            there = mode["frame"].temperature_C.sel(r_m=0, z_m=1e-3, method="nearest")
            self.assertLess(abs(float(there.z_m) - 1e-3), 3e-4)
        self.assertEqual(run["attributes"]["Conventions"], "CF-1.8")

    def test_a_table_has_its_points_as_coordinate(self):
        table = read_results.open_table(self.place / "out" / "table.h5")
        points = table.sizes["point"]
        self.assertEqual(list(table.point.values), list(range(points)))
        self.assertEqual(table.attrs["rows"], points)
        self.assertTrue(all(table[name].dims == ("point",) for name in table.data_vars))
        self.assertEqual({str(text) for text in table.status.values}, {"done"})
        self.assertEqual(table["continuous.depth_mm.coagulation"].units, "mm")

    def test_root_and_every_group_open_by_themselves(self):
        import xarray
        root = xarray.open_dataset(self.place / "run.h5", engine="netcdf4")
        self.assertEqual(set(root.coords), {"r_m", "z_m"})

    def test_other_files_are_refused(self):
        with self.assertRaises(read_results.NotDryfront):
            read_results.open_run(self.place / "out" / "table.h5")
        with self.assertRaises(read_results.NotDryfront):
            read_results.open_table(self.place / "run.h5")
        with self.assertRaises(OSError):
            read_results.open_run(self.place / "answer.json")
        with self.assertRaises(json.JSONDecodeError):
            (self.place / "no.json").write_text("{", encoding="utf-8")
            read_results.open_json(self.place / "no.json")


if __name__ == "__main__":
    unittest.main(verbosity=1)
