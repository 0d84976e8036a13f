#!/usr/bin/env python3
"""Every table of docs/bench_lessons.md against the program as it is: the same rows, digit for digit.

Beside them the return electrode's warmth against an independent computation of the same case, whose program is not in
this tree: 2.47, 3.93, 7.49 and 21.0 K with all, 75, 50 and 25 % left, 0.74 K without fat; within 3 %.
"""
import json
import math
import os
import re
from pathlib import Path

import h5py
import numpy

from _run_program import Checks, Scratch

TREE = Path(os.environ["DRYFRONT_SOURCE_DIR"])
LESSONS, BENCH = TREE / "cases" / "lessons", TREE / "cases" / "bench"
DOCUMENT = (TREE / "docs" / "bench_lessons.md").read_text(encoding="utf-8")
RIM = 0.010  # [m]
BELOW = 2  # the row of cells in which the current is looked at
checks = Checks()


def options(settings):
    return [word for setting in settings for word in ("--set", setting)]


def table(name):
    """The rows of a marked table, without its head."""
    text = DOCUMENT.split(f"<!-- bench: {name} -->\n", 1)[1].split("\n\n", 1)[0]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines()[2:]]


def same(name, rows):
    rows = [[str(cell) for cell in row] for row in rows]
    for wanted, got in zip(table(name), rows, strict=True):
        checks.that(wanted == got, f"{name}: the document has {wanted}, the program {got}")


def power_curves(s):
    modes = json.loads(s.call("check", LESSONS / "same_setting.toml", "--json").stdout)["modes"]
    rows = []
    for load in (100, 500, 2000):
        row = [load]
        for mode in modes:
            points = mode["power_load"]
            row.append(f"{numpy.interp(load, [p['ohm'] for p in points], [p['W'] for p in points]):.1f}")
        rows.append(row)
    return rows


def return_electrode(s, settings):
    """Load [ohm], warmth [K], shares of current and area of the outermost 10 mm."""
    result = s.call("run", BENCH / "return_electrode.toml", "--out", "r.h5", "--replace", "--quiet",
                    *options(settings))
    checks.that(result.returncode == 0, "the return electrode", result)
    with h5py.File(s.path / "r.h5") as file:
        faces, r = file["grid/r_face_m"][()], file["grid/r_m"][()]
        area = math.pi * numpy.diff(faces**2)
        warmth = file["mode/current/frame/temperature_C"][-1, 0] - file["mode/none/frame/temperature_C"][-1, 0]
        bands = [(r >= centre - 0.5 * RIM) & (r <= centre + 0.5 * RIM) for centre in r]
        hottest = max(float((warmth[band] * area[band]).sum() / area[band].sum()) for band in bands)
        frame, electrode = file["mode/current/frame"], file["electrode"].attrs
        density = numpy.sqrt(frame["heating_W_m3"][-1, BELOW] * frame["conductivity_S_m"][-1, BELOW])
        face = (r < electrode["radius_m"]) & (r > electrode["inner_radius_m"])
        rim = face & (r > electrode["radius_m"] - RIM)
        current = float((density * area)[rim].sum() / (density * area)[face].sum())
        load = file["mode/current/summary"].attrs["resistance_start_ohm"]
        return load, hottest, current, float(area[rim].sum() / area[face].sum())


def monitoring(s):
    rows = []
    even = ["pad.layer=[{conductivity_S_m=0.2}]", "pad.low_ohm=5"]
    for layers, settings, ways in (("skin, fat, muscle", [], ("along", "across", "corner")),
                                   ("even, 0.2 S/m", even, ("along", "across"))):
        for way in ways:
            all_settings = options([*settings, f"pad.peel={way}"])
            answer = json.loads(s.call("pad", BENCH / "split_pad.toml", "--json", *all_settings).stdout)
            rows.append([layers, way, f"{answer['reading_ohm'][0]:.1f}", f"{100 * answer['alarm_at']:.0f} %"])
    return rows


def stray_current(s):
    answer = json.loads(s.call("circuit", BENCH / "stray_current.toml", "--json").stdout)
    rows = []
    for touching, held in zip(answer["modes"], answer["other_tip"]):
        for mode, words in ((touching, "touching"), (held, "held open")):
            share = 100 * mode["stray_share"]
            rows.append([mode["name"], words, f"{1e3 * mode['stray_A']:.1f}",
                         f"{share:.1f} %" if share < 10 else f"{share:.0f} %"])
    return rows


with Scratch() as s:
    same("power_curves", power_curves(s))
    exact = 4 * 50 * 100 * 500 / 600**2  # of an unregulated source, matched at 500 ohm
    checks.that(abs(float(table("power_curves")[0][2]) - exact) < 0.05, "the unregulated source in closed form")

    no_fat = 'specimen.layers=[{tissue="skin_wet",thickness_mm=1.5},{tissue="muscle"}]'
    left = {"all of it": [], "75 %": ["electrode.radius_mm=48.8438"], "50 %": ["electrode.radius_mm=39.8808"],
            "25 %": ["electrode.radius_mm=28.2"],
            "the outer half, a ring": ["electrode.shape=ring", "electrode.inner_radius_mm=39.8808"],
            "all of it, no fat": [no_fat]}
    found = {name: return_electrode(s, settings) for name, settings in left.items()}
    same("return_electrode", [[name, f"{load:.1f}", f"{warmth:.1f}", f"{100 * current:.0f} %", f"{100 * area:.0f} %"]
                              for name, (load, warmth, current, area) in found.items()])
    for name, wanted in (("all of it", 2.47), ("75 %", 3.93), ("50 %", 7.49), ("25 %", 21.0), ("all of it, no "
                                                                                               "fat", 0.74)):
        checks.that(abs(found[name][1] / wanted - 1) < 0.03, f"{name}: {found[name][1]:.3g} K, {wanted} K elsewhere")

    same("monitoring", monitoring(s))
    same("stray_current", stray_current(s))
    sheet = re.findall(r"`dryfront (?:run|check|pad|circuit) (cases/\S+)`", DOCUMENT)
    checks.that(len(sheet) >= 9 and all((TREE / name).is_file() for name in sheet), "the sheet's cases are "
                                                                                    f"there: {sheet}")
checks.finish()
