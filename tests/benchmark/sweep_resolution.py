#!/usr/bin/env python3
"""The sweep resolution held against the fine one on 50 points drawn over the main case's dial, contact and tissue.

    DRYFRONT=build/release/dryfront /usr/bin/python3 tests/benchmark/sweep_resolution.py [--points 50] [--threads 2]

The same Sobol points are computed twice. Prints the differences in the depth of coagulation by quantiles, the worst points,
and what a pair costs at either resolution.
"""

import argparse
import os
import pathlib
import subprocess
import sys
import tempfile

import h5py
import numpy as np

CASES = pathlib.Path(__file__).resolve().parent.parent.parent / "cases"
PROGRAM = os.environ.get("DRYFRONT", "dryfront")
RESOLUTIONS = {
    "sweep": "grid.fine_mm = 0.05\ngrid.growth = 1.12\ntime.tolerance = 4\noutput.frames = 1\n",
    "fine": "grid.fine_mm = 0.025\ngrid.growth = 1.06\ntime.tolerance = 1\noutput.frames = 1\n",
}
PLAN = """
case = "{case}"
drives = ["continuous", "gated_2_5_percent"]
seed = 11
[set]
{resolution}
[axis.dial]
key = "drive.*.source.dial_W"
distribution = "log_uniform"
low = 20
high = 100
[axis.contact]
key = "electrode.contact_fraction"
distribution = "uniform"
low = 0.1
high = 1
[axis.constriction]
key = "electrode.constriction_mm"
distribution = "log_uniform"
low = 0.1
high = 2
[axis.conductivity]
key = "tissue.liver_ex_vivo.conductivity_S_m"
distribution = "uniform"
low = 0.15
high = 0.45
[axis.moisture]
key = "tissue.liver_ex_vivo.moisture_m2_s"
distribution = "log_uniform"
low = 1e-9
high = 1e-7
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
            plan.write_text(PLAN.format(case=CASES / "main.toml", resolution=settings, points=points), encoding="utf-8")
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


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--points", type=int, default=50)
    parser.add_argument("--threads", type=int, default=2)
    arguments = parser.parse_args()
    found, cost = tables(arguments.points, arguments.threads)
    fine, coarse = found["fine"], found["sweep"]
    for resolution, table in found.items():
        print(f"{resolution}: {cost[resolution]:.2f} CPU s a pair, {(table['status'] != b'done').sum()} of "
              f"{len(table['status'])} failed")
    print("| drive | depth mm | points | median % | 90 % of points below % | worst % | within 3 % |")
    print("|---|---|---|---|---|---|---|")
    for drive in ("continuous", "gated_2_5_percent"):
        column = f"{drive}.depth_mm.coagulation"
        known = np.isfinite(fine[column]) & np.isfinite(coarse[column]) & (fine[column] > 0)
        difference = 100 * (coarse[column][known] / fine[column][known] - 1)
        size = np.abs(difference)
        print(f"| {drive} | {fine[column][known].min():.2f} to {fine[column][known].max():.2f} | {known.sum()} | "
              f"{np.median(size):.2f} | {np.quantile(size, 0.9):.2f} | {size.max():.2f} | {(size <= 3).sum()} |")
        for k in np.argsort(size)[::-1][:4]:
            point = np.flatnonzero(known)[k]
            print(f"  point {point}: {difference[k]:+.1f} %, {fine[column][point]:.3f} mm, dried out at "
                  f"{fine[f'{drive}.dry_out_s'][point]:.2f} s (fine), {coarse[f'{drive}.dry_out_s'][point]:.2f} s; "
                  + ", ".join(f"{axis} {fine[axis][point]:.3g}" for axis in
                              ("dial", "contact", "constriction", "conductivity", "moisture")), file=sys.stderr)


main()
