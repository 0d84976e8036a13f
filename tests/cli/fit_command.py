"""The command fit: text, JSON, draws, the fitted case, held-out rows, and what it refuses with exit code 2.

The sections are computed by `run` itself from a known number, so that the fit has to find it again.
"""
import csv
import json
import os
from pathlib import Path

from _run_program import Checks, Scratch

CASE = Path(os.environ["DRYFRONT_SOURCE_DIR"]) / "cases" / "fit" / "two_settings.toml"
FREQUENCY = "tissue.liver_ex_vivo.damage.frequency_1_s"
TRUTH = 2e41
RESOLUTION = ("--set", "grid.fine_mm=0.1", "--set", "grid.growth=1.2", "--set", "grid.coarse_mm=4",
              "--set", "time.tolerance=8")
QUICK = (*RESOLUTION, "--points", "20", "--quiet")
HEADER = "mode,specimen,activation_s,depth_mm,depth_spread_mm,half_width_mm,half_width_spread_mm,held_out\n"
checks = Checks()

with Scratch() as scratch:
    def sections():
        """Two settings of one mode, the other one held out, exactly as the program computes them."""
        rows = HEADER
        for activation in (6, 10):
            answer = json.loads(scratch.call("run", CASE, "--out", "-", "--json", "--quiet", *RESOLUTION, "--set",
                                             f"{FREQUENCY}={TRUTH}", "--set",
                                             f"mode.*.activation_s={activation}").stdout)
            for mode in answer["modes"]:
                held = "yes" if mode["name"] == "low_voltage" else "no"
                rows += (f"{mode['name']},{activation},{activation},{mode['depth_mm']['coagulation']:.3f},0.1,"
                         f"{mode['half_width_mm']['coagulation']:.3f},0.2,{held}\n")
        (scratch.path / "s.csv").write_text(rows, encoding="utf-8")

    sections()
    words = ("fit", CASE, "s.csv", "--parameter", FREQUENCY, *QUICK)
    done = scratch.call(*words, "--json", "--threads", "1", "--draws", "draws.csv", "--out-case", "fitted.toml")
    checks.that(done.returncode == 0, "a fit is done", done)
    answer = json.loads(done.stdout)
    (found,) = answer["parameters"]
    checks.that(found["key"] == FREQUENCY and found["identified"], f"{found}")
    checks.that(found["posterior"]["low"] < TRUTH < found["posterior"]["high"], f"{found}")
    checks.that(found["width_left"] < 0.5, f"{found}")
    checks.that(answer["held_out"]["numbers"] == 4 and answer["held_out"]["inside"] == 4, f"{answer['held_out']}")
    checks.that(answer["both_modes"] is False and "prediction" in answer["scope"], answer["scope"])
    checks.that(answer["misfit"]["p"] > 0.5, f"{answer['misfit']}")
    checks.that(answer["emulator"]["tests"][-1]["worst_ratio"] < answer["emulator"]["wanted_ratio"],
                f"{answer['emulator']['tests'][-1]}")
    checks.that(answer["sampling"]["worst_r_hat"] < 1.01 and answer["sampling"]["least_effective"] >= 400,
                f"{answer['sampling']}")
    again = scratch.call(*words, "--json", "--threads", "2", "--runs", "kept.csv", "--figure", "fit.svg")
    checks.that(again.stdout == done.stdout, "two threads give the same numbers as one", again)
    figure = (scratch.path / "fit.svg").read_text(encoding="utf-8")
    for text in ("damage frequency", "measured", "predicted", "held out", "prediction", "patient"):
        checks.that(text in figure, f"the figure should hold {text!r}")
    kept = (scratch.path / "kept.csv").read_text(encoding="utf-8")
    lines = kept.splitlines(keepends=True)
    checks.that(len(lines) == answer["emulator"]["runs"] + 1, f"{len(lines)} lines of runs")
    # As if interrupted half way, in the middle of a line: the others are not run again, and nothing changes.
    (scratch.path / "kept.csv").write_text("".join(lines[:20]) + lines[20][:50], encoding="utf-8")
    again = scratch.call(*words, "--json", "--runs", "kept.csv")
    checks.that(again.stdout == done.stdout, "a fit that goes on gives the same numbers", again)
    rest = (scratch.path / "kept.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    checks.that(len(rest) == len(lines) + 1 and rest[20].endswith(" cut off\n"), f"{len(rest)} lines, {rest[20]!r}")
    again = scratch.call(*words, "--json", "--runs", "kept.csv")
    checks.that(again.stdout == done.stdout and len(rest) == len(lines) + 1, "nor one that repeats no run", again)
    checks.that(scratch.call(*words, "--runs", "s.csv").returncode == 4, "a file that holds no runs")
    checks.that(scratch.call(*words, "--figure", "fit.txt").returncode == 4, "no picture's name")

    with open(scratch.path / "draws.csv", encoding="utf-8", newline="") as file:
        draws = list(csv.DictReader(file))
    checks.that(len(draws) == answer["sampling"]["draws"] and set(draws[0]) == {FREQUENCY, "discrepancy"},
                f"{len(draws)} draws of {list(draws[0])}")
    inside = sum(found["posterior"]["low"] <= float(d[FREQUENCY]) <= found["posterior"]["high"] for d in draws)
    checks.that(abs(inside / len(draws) - 0.9) < 0.01, f"{inside} of {len(draws)} within the interval")
    run = scratch.call("run", "fitted.toml", "--out", "-", "--json", "--quiet", *RESOLUTION)
    checks.that(run.returncode == 0, "the fitted case runs", run)
    head = (scratch.path / "fitted.toml").read_text(encoding="utf-8")
    checks.that(head.startswith("#") and "90 % interval" in head and "patient" in head, head[:400])
    rows = {row["what"]: row for row in answer["rows"] if row["held_out"]}
    for mode in json.loads(run.stdout)["modes"]:
        if mode["name"] == "low_voltage":
            close = [abs(r["computed"] - mode["depth_mm"]["coagulation"]) < 0.1 for w, r in rows.items()
                     if w.startswith("depth") and r["specimen"] == "10"]
            checks.that(close == [True], "the fitted case computes what the fit says")
    checks.that(scratch.call(*words, "--draws", "draws.csv").returncode == 4, "an existing file is kept")

    (scratch.path / "next.csv").write_text("mode,specimen,activation_s\ninterrupted,,3\nlow_voltage,,12\n",
                                           encoding="utf-8")
    table = scratch.call("fit", CASE, "s.csv", "--parameter", FREQUENCY, "--parameter", "electrode.spot_pitch_mm",
                         "--discrepancy", "0", "--next", "next.csv", *QUICK)
    checks.that(table.returncode == 0, "two parameters, candidates", table)
    for text in ("electrode.spot_pitch_mm: not identified", "Without a discrepancy", "one more specimen",
                 "not for choosing settings on a patient", "Held out: 4 of 4"):
        checks.that(text in " ".join(table.stdout.split()), f"the table should hold {text!r}", table)

    both = (scratch.path / "s.csv").read_text(encoding="utf-8").replace(",yes", ",no")
    (scratch.path / "both.csv").write_text(both, encoding="utf-8")
    table = scratch.call("fit", CASE, "both.csv", "--parameter", FREQUENCY, *QUICK)
    checks.that("a fit of both modes" in " ".join(table.stdout.split()), "a fit of both modes says so", table)

    blank = scratch.call("fit", "--template")
    checks.that(blank.returncode == 0 and "mode,specimen,effect" in blank.stdout, "the template", blank)

    def refused(rows, texts, *more, header=HEADER):
        (scratch.path / "bad.csv").write_text(header + rows, encoding="utf-8")
        checks.refused(scratch.call("fit", CASE, "bad.csv", "--parameter", FREQUENCY, *QUICK, *more), 2, *texts)

    row = "interrupted,1,10,1.7,0.2,7.5,0.3,no\n"
    refused("interupted,1,10,1.7,0.2,7.5,0.3,no\n", ["bad.csv:2:1: no such mode", "did you mean 'interrupted'"])
    refused(row.replace("1.7", "1.7 mm"), ["bad.csv:2:18: the depth is no number", "given: 1.7 mm"])
    refused(row.replace(",no", ",yes"), ["every row is held out"])
    refused("interrupted,1,-4,1.7,0.2,7.5,0.3,no\n", ["bad.csv:2:15: activation_s cannot be"])
    refused("interrupted,1,9000000,1.7,0.2,7.5,0.3,no\n", ["bad.csv:2:15"])
    refused("interrupted,1,0,1.7,0.2,7.5,0.3,no\n", ["bad.csv:2:1", "activation_s"])
    refused("interrupted,1,0.5,2,1\n", ["bad.csv:1:15: no such column"], header="mode,specimen,depth_cm,x,y\n")
    refused("interrupted,1,12,0.5\n", ["bad.csv:2:15: the contact cannot dry out after"],
            header="mode,specimen,dry_out_s,dry_out_spread_s\n")
    refused("interrupted,1,2,0.5,5\n", ["bad.csv:2:1", "electrode.radius_cm"],
            header="mode,specimen,depth_mm,depth_spread_mm,electrode.radius_cm\n")
    refused(row, ["--parameter", "electrode.contact_fracton", "did you mean 'electrode.contact_fraction'"],
            "--parameter", "electrode.contact_fracton")
    refused(row, ["named twice"], "--parameter", FREQUENCY)
    checks.that(scratch.call("fit", CASE).returncode == 1, "sections are needed")
    checks.that(scratch.call("fit", CASE, "s.csv").returncode == 1, "parameters are needed")
    checks.that(scratch.call("fit", CASE, "none.csv", "--parameter", FREQUENCY).returncode == 4, "no such file")
checks.finish()
