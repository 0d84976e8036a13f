"""What the tests of sweeps share: a plan of a few hundred short runs over the case of _run_program."""
import shutil
import subprocess
import sys
from pathlib import Path

from _run_program import Scratch

PLAN = """
title = "A plan of short runs"
case = "case.toml"
seed = 7
[set]
grid.fine_mm = 0.3
grid.growth = 1.4
output.frames = 1
time.tolerance = 8
[axis.setting]
key = "mode.*.source.setting_W"
range = { from = 5, to = 40, points = 12 }
[axis.contact]
key = "electrode.contact_fraction"
log_range = { from = 0.1, to = 1, points = 6 }
[axis.activation]
key = "mode.*.activation_s"
list = [0.5, 1, 2]
[axis.spark]
key = "physics.spark_S_m2"
distribution = "log_uniform"
low = 10
high = 40
[[design]]
name = "map"
kind = "grid"
axes = ["setting", "contact", "activation"]
[[design]]
name = "spread"
kind = "sobol"
points = 40
[analysis]
map = ["setting", "contact"]
"""
POINTS = 12 * 6 * 3 + 40
JOURNAL_HEAD = 40


class SweepScratch(Scratch):
    """A folder with case.toml and plan.toml."""

    def __init__(self, plan=PLAN):
        self._plan = plan

    def __enter__(self):
        super().__enter__()
        self.plan(self._plan)
        return self

    def plan(self, text):
        (self.path / "plan.toml").write_text(text, encoding="utf-8")

    def sweep(self, *arguments, out="out", **options):
        return self.call("sweep", "plan.toml", "--out", out, *arguments, **options)

    def table(self, out="out"):
        """The bytes of the table in both forms and of what is said about it."""
        names = ("table.h5", "table.csv", "analysis.json", "map.csv", "quantiles.csv")
        return {name: (self.path / out / name).read_bytes() for name in names}

    def journal_rows(self, out="out"):
        """How many records lie in the journals, and whether any is torn."""
        columns = (self.path / out / "manifest.json").exists() and self.columns(out)
        rows, torn = 0, False
        for journal in sorted((self.path / out).glob("*.journal")):
            size = journal.stat().st_size - JOURNAL_HEAD
            rows += size // columns
            torn = torn or size % columns != 0
        return rows, torn

    def columns(self, out):
        """The size of a record, from the journal's head."""
        journal = next((self.path / out).glob("*.journal"))
        head = journal.read_bytes()[:JOURNAL_HEAD]
        return 224 + 8 * int.from_bytes(head[12:16], "little")

    def remove(self, out):
        shutil.rmtree(self.path / out, ignore_errors=True)


def mounted_tmpfs(folder: Path, size: int):
    """Whether a small file system in memory could be mounted there."""
    folder.mkdir(exist_ok=True)
    return subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)], capture_output=True,
                          check=False).returncode == 0


def skip(why):
    print(f"skipped: {why}")
    sys.exit(77)
