#!/usr/bin/env python3
"""The command check: its table of power against load, the same as JSON, and a flat source from the case to the file.

The watts are elementary circuit relations, P = min(P_set, I^2 R, V^2/R), evaluated here; more watts into ohms
stand with the unit tests of the source.
"""
import json
import re

import h5py

from _run_program import Checks, Scratch

checks = Checks()
LOADS = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000]
LINE = re.compile(r"^ *(\d+) ohm +([\d.]+) W +([\d.]+) V +([\d.]+) V +([\d.]+) A$", re.MULTILINE)
FLAT = ["--set", "mode.continuous.source.flat_ohm=[100, 1000]", "--set", "mode.continuous.source.setting_W=60"]
SINE = 2**0.5


def flat_watts(load):
    return min(60.0, 60 / 100 * load, 60 * 1000 / load)


def near(printed, exact, digits):
    return abs(float(printed) - exact) <= 0.5 * 10**-digits + 1e-12


with Scratch() as s:
    result = s.call("check", "case.toml", *FLAT)
    checks.that(result.returncode == 0, "check", result)
    rows = LINE.findall(result.stdout)
    checks.that([int(row[0]) for row in rows] == 2 * LOADS, "a row for each load and mode", result)
    for load, *numbers in rows[:len(LOADS)]:
        watts, resistance = flat_watts(float(load)), float(load)
        exact = [watts, (watts * resistance)**0.5, SINE * (watts * resistance)**0.5, (watts / resistance)**0.5]
        for printed, number, digits in zip(numbers, exact, (2, 1, 1, 3)):
            checks.that(near(printed, number, digits), f"{load} ohm: {printed}, not {number}")
    for wanted in ("continuous, crest factor 1.41", "interrupted, crest factor 5.77", "run time"):
        checks.that(wanted in result.stdout, f"it says {wanted!r}", result)

    result = s.call("check", "case.toml", "--json", *FLAT)
    checks.that(result.returncode == 0 and result.stdout.count("\n") == 1, "check --json, one line", result)
    said = json.loads(result.stdout)
    checks.that([mode["name"] for mode in said["modes"]] == ["continuous", "interrupted"], "its modes")
    for mode, crest in zip(said["modes"], (SINE, (2 / 0.06)**0.5)):
        checks.that(abs(mode["crest_factor"] - crest) < 1e-12, f"{mode['name']}: crest factor {mode['crest_factor']}")
        table = mode["power_load"]
        checks.that([point["ohm"] for point in table] == LOADS, f"{mode['name']}: the loads")
        for point in table:
            checks.that(abs(point["peak_V"] - crest * point["V"]) < 1e-9 * point["peak_V"], f"the peak: {point}")
            checks.that(abs(point["W"] - point["V"] * point["A"]) < 1e-9 * point["W"], f"the power: {point}")
    for point in said["modes"][0]["power_load"]:
        checks.that(abs(point["W"] - flat_watts(point["ohm"])) < 1e-9 * point["W"], f"the flat source: {point}")
    start = said["modes"][0]["at_start"]
    checks.that(abs(start["W"] - flat_watts(start["ohm"])) < 1e-6 * start["W"], f"the load at the start: {start}")

    # A held temperature counts with its greatest power and says so.
    held = ["--set", 'mode.continuous.source={kind="temperature", setting_W=7, hold_C=60, probe="below"}']
    result = s.call("check", "case.toml", *held)
    checks.that("continuous, at its greatest power, crest factor" in result.stdout, "a held temperature", result)
    fixed = ["--set", 'mode.continuous.source={kind="voltage", rms_V=50}']
    table = json.loads(s.call("check", "case.toml", "--json", *fixed).stdout)["modes"][0]["power_load"]
    checks.that(all(abs(point["W"] - 2500 / point["ohm"]) < 1e-9 * point["W"] for point in table), "a fixed voltage")

    result = s.call("run", "case.toml", "--out", "run.h5", "--quiet", *FLAT, "--set", "mode.*.activation_s=0.1")
    checks.that(result.returncode == 0, "a run with a flat source", result)
    with h5py.File(s.path / "run.h5") as file:
        checks.that(list(file["mode/continuous/source"].attrs["flat_ohm"]) == [100, 1000], "its range is in the file")
        checks.that(list(file["mode/interrupted/source"].attrs["flat_ohm"]) == [0, 0], "none of the other")
        curve = {name: data[()] for name, data in file["mode/continuous/power_load"].items()}
        checks.that(len(curve["load_ohm"]) == 121, "even loads, among them both corners")
        for load, watts in zip(curve["load_ohm"], curve["power_W"]):
            checks.that(abs(watts - flat_watts(load)) < 1e-9 * watts, f"the curve at {load} ohm: {watts}")
        trace = file["mode/continuous/trace"]
        for load, watts in zip(trace["resistance_ohm"][()], trace["power_W"][()]):
            checks.that(watts == 0 or abs(watts - flat_watts(load)) < 1e-6 * watts, f"the run at {load} ohm: {watts}")
        (s.path / "again.toml").write_text(file.attrs["case_toml"], encoding="utf-8")
    again = json.loads(s.call("check", "again.toml", "--json").stdout)
    checks.that([mode["power_load"] for mode in again["modes"]] == [mode["power_load"] for mode in said["modes"]],
                "the resolved case has the same source")

    source = "mode.continuous.source"
    checks.refused(s.call("check", "case.toml", "--set", f"{source}.flat_ohm=[1000, 100]"), 2, "flat_ohm",
                   "the lower one first")
    table = f'{source}={{kind="table", setting_W=9, load_ohm=[1, 2], power_share=[1, 1], flat_ohm=[1, 2]}}'
    checks.refused(s.call("check", "case.toml", "--set", table), 2, "flat_ohm", "kind table")

checks.finish()
