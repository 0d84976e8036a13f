#!/usr/bin/env python3
"""The sweep resolution held against the fine one on 50 points drawn over the main case's setting, face, contact and
tissue.

    DRYFRONT=build/release/dryfront /usr/bin/python3 tests/benchmark/sweep_resolution.py [--points 50] [--threads 2]

The same Sobol points are computed twice. Prints the differences in the depth of coagulation, every point that differs
by more than 3 %, and what a pair costs at either resolution, as tables for a document.
"""

import argparse
import os
import pathlib
import subprocess
import sys
import tempfile

import h5py
import numpy as np

ALLOWED = 3  # [%]
MODES = ("low_voltage", "gated_6_percent")
AXES = ("setting", "radius", "contact", "spot_pitch", "conductivity", "moisture")
CASES = pathlib.Path(__file__).resolve().parent.parent.parent / "cases"
PROGRAM = os.environ.get("DRYFRONT", "dryfront")
RESOLUTIONS = {
    "sweep": "grid.fine_mm = 0.05\ngrid.growth = 1.12\ntime.tolerance = 4\noutput.frames = 1\n",
    "fine": "grid.fine_mm = 0.025\ngrid.growth = 1.06\ntime.tolerance = 1\noutput.frames = 1\n",
}
PLAN = """
case = "{case}"
modes = {modes}
seed = 11
[set]
{resolution}
[axis.setting]
key = "mode.*.source.setting_W"
distribution = "log_uniform"
low = 15
high = 120
[axis.radius]
key = "electrode.radius_mm"
distribution = "log_uniform"
low = 1.5
high = 6
[axis.contact]
key = "electrode.contact_fraction"
distribution = "uniform"
low = 0.1
high = 1
[axis.spot_pitch]
key = "electrode.spot_pitch_mm"
distribution = "log_uniform"
low = 0.05
high = 1
[axis.conductivity]
key = "tissue.liver_ex_vivo.conductivity_S_m"
distribution = "uniform"
low = 0.15
high = 0.45
[axis.moisture]
key = "tissue.liver_ex_vivo.moisture_m2_s"
distribution = "log_uniform"
low = 1e-10
high = 1e-8
[[design]]
name = "spread"
kind = "sobol"
points = {points}
"""


def tables(points, threads):
    """The table of either resolution and the core seconds of a pair."""
    found, cost = {}, {}
    with tempfile.TemporaryDirectory(prefix="dryfront_resolution_") as name:
        for resolution, settings in RESOLUTIONS.items():
            plan = pathlib.Path(name) / f"{resolution}.toml"
            text = PLAN.format(case=CASES / "main.toml", modes=list(MODES), resolution=settings, points=points)
            plan.write_text(text, encoding="utf-8")
            with subprocess.Popen([PROGRAM, "sweep", plan, "--out", f"{name}/{resolution}", "--quiet", "--threads",
                                   str(threads)]) as sweep:
                _, status, used = os.wait4(sweep.pid, 0)
                sweep.returncode = os.waitstatus_to_exitcode(status)
            if sweep.returncode != 0:
                sys.exit(f"the sweep ended with {sweep.returncode}")
            cost[resolution] = (used.ru_utime + used.ru_stime) / points
            with h5py.File(f"{name}/{resolution}/table.h5") as file:
                found[resolution] = {column: file["table"][column][:] for column in file["table"]}
    return found, cost


def table(head, rows):
    print("| " + " | ".join(head) + " |", "|" + "---|" * len(head), sep="\n")
    for row in rows:
        print("| " + " | ".join(row) + " |")
    print()


def moment(value):
    return f"{value:.2f}" if np.isfinite(value) else "no"


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--points", type=int, default=50)
    parser.add_argument("--threads", type=int, default=2)
    arguments = parser.parse_args()
    found, cost = tables(arguments.points, arguments.threads)
    fine, coarse = found["fine"], found["sweep"]
    summaries, beyond = [], []
    for mode in MODES:
        column = f"{mode}.depth_mm.coagulation"
        known = np.isfinite(fine[column]) & np.isfinite(coarse[column])
        deep = known & (fine[column] > 0)
        difference = np.full(len(known), np.nan)
        difference[deep] = 100 * (coarse[column][deep] / fine[column][deep] - 1)
        size = np.abs(difference[deep])
        apart = np.abs(coarse[column][deep] - fine[column][deep])
        summaries.append([mode, f"{fine[column][deep].min():.2f} to {fine[column][deep].max():.2f}", str(deep.sum()),
                          f"{np.median(size):.2f}", f"{np.quantile(size, 0.95):.2f}", f"{size.max():.2f}",
                          f"{apart.max():.3f}", f"{(size > ALLOWED).sum()} of {deep.sum()}"])
        for k in np.flatnonzero(deep & (np.abs(difference) > ALLOWED)):
            dry = [moment(table[f"{mode}.dry_out_s"][k]) for table in (fine, coarse)]
            beyond.append((-abs(difference[k]), [
                mode, f"{difference[k]:+.1f}", f"{fine[column][k]:.3f}", f"{coarse[column][k]:.3f}", " / ".join(dry),
                *(f"{fine[axis][k]:.3g}" for axis in AXES)
            ]))
    table(["mode", "depth mm", "points with a depth", "median %", "95 % of points below %", "largest %", "largest mm",
           f"beyond {ALLOWED} %"], summaries)
    if beyond:
        table(["mode", "difference %", "fine mm", "sweep mm", "dry-out s, fine / sweep", *AXES],
              [row for _, row in sorted(beyond)])
    ratios = [table[f"depth_ratio.{MODES[0]}_over_{MODES[1]}.coagulation"] for table in (fine, coarse)]
    known = np.isfinite(ratios[0]) & np.isfinite(ratios[1])
    turned = known & ((ratios[0] > 1) != (ratios[1] > 1))
    print(f"The order of the two depths is the same at {known.sum() - turned.sum()} of {known.sum()} points" +
          "".join(f"; {fine_ratio:.3f} becomes {ratio:.3f}"
                  for fine_ratio, ratio in zip(ratios[0][turned], ratios[1][turned])) + ".\n")
    rows = [[resolution, "`" + settings.strip().replace("\n", "` `") + "`", f"{cost[resolution]:.2f}",
             f"{2 * 3600 / cost[resolution]:,.0f}", str((found[resolution]["status"] != b"done").sum())]
            for resolution, settings in RESOLUTIONS.items()]
    table(["resolution", "settings", "CPU s a pair", "pairs an hour on two cores", "failed"], rows)


main()
