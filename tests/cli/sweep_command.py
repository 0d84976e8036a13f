#!/usr/bin/env python3
"""The commands sweep and merge: the table against single runs, shards, threads, refusals, kept run files."""
import csv
import json
import os
import pty
import subprocess

import h5py
import numpy

from _run_program import PROGRAM, Checks
from _sweep import PLAN, POINTS, SweepScratch

checks = Checks()

with SweepScratch() as s:
    result = s.sweep(out="out")
    checks.that(result.returncode == 0, "the sweep", result)
    checks.that(f"{POINTS} of {POINTS} runs done" in result.stderr, "what was done is said", result)
    checks.that("\r" not in result.stderr, "no progress line in a log", result)
    checks.that("map(s) over setting and contact" in result.stdout, "what the table says is printed", result)
    wanted = s.table()

    # The table holds what single runs print.
    table = h5py.File(s.path / "out" / "table.h5")
    checks.that(table.attrs["finished"] == 1 and table.attrs["rows"] == POINTS, "the table says that it is whole")
    checks.that("For teaching and research only" in table.attrs["caution"].decode(), "the caution")
    columns = table["table"]
    checks.that(all("units" in columns[name].attrs and "long_name" in columns[name].attrs for name in columns),
                "every column has its unit and a name in words")
    checks.that(columns["continuous.depth_mm.coagulation"].attrs["units"] == b"mm", "the unit of a depth")
    checks.that(list(columns["point"]) == list(range(POINTS)), "a row per point in their order")
    for point in (0, 100, 200, 230, POINTS - 1):
        settings = [
            "mode.*.source.setting_W", "electrode.contact_fraction", "mode.*.activation_s", "physics.spark_S_m2"
        ]
        names = ["setting", "contact", "activation", "spark"]
        overrides = ["grid.fine_mm=0.3", "grid.growth=1.4", "output.frames=1", "time.tolerance=8"]
        for name, key in zip(names, settings):
            overrides.append(f"{key}={columns[name][point]!r}".replace("np.float64(", "").replace(")", ""))
        arguments = [text for override in overrides for text in ("--set", override)]
        single = s.call("run", "case.toml", "--out", "-", "--json", "--quiet", *arguments)
        checks.that(single.returncode == 0, "the single run", single)
        for mode in json.loads(single.stdout)["modes"]:
            for path in ("depth_mm.coagulation", "volume_mm3.desiccation", "resistance_ohm.least", "delivered_J",
                         "arcing_s",
                         "ledger.energy", "steps"):
                value = mode
                for part in path.split("."):
                    value = value[part]
                value = float("nan") if value is None else float(value)
                got = columns[f"{mode['name']}.{path}"][point]
                checks.that(value == got or (numpy.isnan(value) and numpy.isnan(got)),
                            f"point {point}, {mode['name']} {path}: {got} in the table, {value} alone")
    depth = {name: columns[f"{name}.depth_mm.coagulation"][:] for name in ("continuous", "interrupted")}
    with numpy.errstate(divide="ignore", invalid="ignore"):
        ratio = depth["continuous"] / depth["interrupted"]
    got = columns["depth_ratio.continuous_over_interrupted.coagulation"][:]
    checks.that(numpy.allclose(ratio, got, rtol=1e-14, equal_nan=True), "the ratio of the depths")

    # CSV says the same.
    with open(s.path / "out" / "table.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    checks.that(len(rows) == POINTS, "the CSV has a row per point")
    for name in ("setting", "spark", "continuous.depth_mm.coagulation", "continuous.arcing_s"):
        values = numpy.array([float(row[name]) if row[name] else float("nan") for row in rows])
        checks.that(numpy.array_equal(values, columns[name][:], equal_nan=True), f"the CSV's column {name}")

    # Shards and threads.
    for shard in (3, 1, 2):
        part = s.sweep("--quiet", "--shard", f"{shard}/3", "--threads", "2", out="parts")
        checks.that(part.returncode == 0 and part.stderr == "", "a shard", part)
        if shard == 1:
            early = s.call("merge", "parts")
            checks.refused(early, 4, "have no row yet (shards 2 of 3)", "--resume")
    merged = s.call("merge", "parts", "--quiet")
    checks.that(merged.returncode == 0 and s.table("parts") == wanted, "three shards give the same table", merged)
    array = {**os.environ, "SLURM_ARRAY_TASK_ID": "5", "SLURM_ARRAY_TASK_MIN": "4", "SLURM_ARRAY_TASK_MAX": "5",
             "SLURM_ARRAY_TASK_COUNT": "2"}
    automatic = s.sweep("--quiet", "--shard", "auto", out="array", env=array)
    checks.that(automatic.returncode == 0 and (s.path / "array" / "rows-00002-of-00002.journal").exists(),
                "the shard from a job array", automatic)
    checks.refused(s.sweep("--shard", "auto", out="array", env={**array, "SLURM_ARRAY_TASK_MAX": "9"}), 2, "gaps")
    checks.refused(s.sweep("--shard", "auto", out="array"), 2, "SLURM_ARRAY_TASK_ID")
    for wrong in ("0/3", "4/3", "1", "a/b", "1/2/3"):
        checks.refused(s.sweep("--shard", wrong, out="array"), 2, "--shard", wrong)

    # A folder that has a sweep, and a plan that has changed.
    checks.refused(s.sweep(out="out"), 4, "holds a sweep already", "--resume")
    again = s.sweep("--resume")
    checks.that(again.returncode == 0 and "0 of them now" in again.stderr, "nothing is repeated", again)
    s.plan("# only a comment\n" + PLAN)
    checks.that(s.sweep("--resume", "--quiet").returncode == 0, "a comment is no change")
    s.plan(PLAN.replace("high = 40", "high = 41"))
    checks.refused(s.sweep("--resume"), 2, "not the one this folder was started with", "- axis spark", "+ axis spark")
    case = (s.path / "case.toml").read_text(encoding="utf-8")
    s.plan(PLAN)
    (s.path / "case.toml").write_text(case.replace("conductivity_S_m = 0.5", "conductivity_S_m = 0.4"))
    checks.refused(s.sweep("--resume"), 2, "- conductivity_S_m = 0.5", "+ conductivity_S_m = 0.4")
    (s.path / "case.toml").write_text(case)

    # Wrong plans and folders.
    s.plan(PLAN.replace("electrode.contact_fraction", "electrode.contact_fracton"))
    checks.refused(s.sweep(out="wrong"), 2, "plan.toml:13:", "did you mean 'contact_fraction'")
    checks.that(not (s.path / "wrong").exists(), "a wrong plan leaves nothing behind")
    s.plan("case = [")
    checks.refused(s.sweep(out="wrong"), 2, "plan.toml:1:")
    checks.refused(s.call("sweep", "none.toml"), 4, "none.toml", "cannot read")
    checks.refused(s.call("merge", "nowhere"), 4, "holds no sweep")
    checks.that(s.call("sweep").returncode == 1, "a missing plan is a usage error")
    s.plan(PLAN + "outputs = [\"continuous.depth_mm.coagulaton\"]\n")
    checks.refused(s.sweep("--quiet", out="wrong"), 2, "did you mean 'continuous.depth_mm.coagulation'")

    # Failing runs are recorded and the rest goes on; run files are kept where the plan says so.
    s.plan("""case = "case.toml"
keep = [1]
constraints = ["inner >= 0"]
[set]
electrode.shape = "ring"
electrode.inner_radius_mm = 1
output.frames = 2
[axis.inner]
key = "electrode.inner_radius_mm"
list = [1, 2, 5]
[[design]]
name = "rings"
kind = "grid"
""")
    failing = s.sweep(out="failing")
    checks.that(failing.returncode == 0 and "1 failed" in failing.stderr, "a failing run is counted", failing)
    rows = h5py.File(s.path / "failing" / "table.h5")["table"]
    checks.that(list(rows["status"]) == [b"done", b"done", b"bad case"], f"the status: {list(rows['status'])}")
    checks.that(b"inner_radius_mm" in rows["reason"][2], f"the reason: {rows['reason'][2]}")
    checks.that(numpy.isnan(rows["continuous.depth_mm.desiccation"][2]), "a failed run has no numbers")
    checks.that(sorted(os.listdir(s.path / "failing" / "runs")) == ["point-0000001.h5", "point-0000001.xdmf"],
                "the run file of the point that is kept, and no other")
    kept = h5py.File(s.path / "failing" / "runs" / "point-0000001.h5")
    checks.that(kept.attrs["finished"] == 1 and kept["mode/continuous/frame/temperature_C"].shape[0] == 3,
                "a kept run file is whole")

    # Progress belongs on a terminal.
    s.plan(PLAN)
    master, slave = pty.openpty()
    with subprocess.Popen([PROGRAM, "sweep", "plan.toml", "--out", "shown"], cwd=s.path, stdout=subprocess.DEVNULL,
                          stderr=slave) as program:
        os.close(slave)
        shown = b""
        while True:
            try:
                piece = os.read(master, 4096)
            except OSError:
                break
            if not piece:
                break
            shown += piece
    checks.that(program.returncode == 0 and b"runs/s, about" in shown, f"the progress line: {shown[:300]!r}")

checks.finish()
