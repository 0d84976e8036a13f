#!/usr/bin/env python3
"""The commands compare and find: what is held, what is reached when run again, refusals."""
import json
import os
from pathlib import Path

from _run_program import Checks, Scratch

SWEEP = ("--set", "time.tolerance=4", "--set", "output.frames=1")
checks = Checks()


def again(scratch, *settings):
    """The modes of the case run again, by name."""
    overrides = [text for setting in settings for text in ("--set", setting)]
    result = scratch.call("run", "case.toml", "--out", "-", "--json", "--quiet", *SWEEP, *overrides)
    checks.that(result.returncode == 0, f"run with {settings}", result)
    return {mode["name"]: mode for mode in json.loads(result.stdout)["modes"]}


def near(value, wanted, tolerance):
    return abs(value / wanted - 1) <= tolerance


with Scratch() as s:
    # Different sources and few spots far apart, under which the contact dries out: every basis has something
    # to do.
    s_case = (s.path / "case.toml").read_text(encoding="utf-8")
    limit = ", peak_limit_V = 2000"
    regulated = 'kind = "constant_power", setting_W = 20' + limit
    at = s_case.rindex(regulated)
    s_case = (s_case[:at].replace(limit, ", peak_limit_V = 400")
              + 'kind = "unregulated", setting_W = 30, rated_load_ohm = 500' + s_case[at + len(regulated):])
    s_case = s_case.replace('shape = "disc"', 'shape = "disc"\ncontact_fraction = 0.1\nspot_pitch_mm = 1')
    (s.path / "case.toml").write_text(s_case.replace("activation_s = 2", "activation_s = 7"), encoding="utf-8")

    result = s.call("compare", "case.toml", "--json", "--longest", "12")
    checks.that(result.returncode == 0, "compare runs", result)
    told = json.loads(result.stdout)
    rows = {row["basis"]: row for row in told["bases"]}
    checks.that(list(rows) == ["same_setting", "mean_power", "energy", "dry_out"], "four bases")
    quantity = {"same_setting": None, "mean_power": "mean_power_W", "energy": "delivered_J", "dry_out": "dry_out_s"}
    for name, row in rows.items():
        checks.that("not_possible" not in row, f"{name}: {row}")
        if "not_possible" in row:
            continue
        checks.that(near(row["held"]["second"], row["held"]["first"], 1e-3), f"{name} is held: {row['held']}")
        one, other = row["first"], row["second"]
        if quantity[name]:
            checks.that(near(other[quantity[name]], one[quantity[name]], 1e-3), f"{name}: {one} and {other}")
        modes = again(s, f"mode.interrupted.source.setting_W={other['setting_W']!r}",
                       f"mode.interrupted.activation_s={other['activation_s']!r}")
        checks.that(near(modes["interrupted"]["delivered_J"], other["delivered_J"], 1e-6), f"{name}: run again")
        checks.that(near(modes["interrupted"]["depth_mm"]["coagulation"], other["depth_mm"], 1e-6),
                    f"{name}: the depth, run again")
    order = told["order_over_activation"]
    checks.that(
        abs(order["activation_s"][0] - 0.7) < 1e-9 and abs(order["activation_s"][-1] - 12) < 1e-9,
        "the range of activations")
    for turn in order["turns"]:
        checks.that(turn["upper_s"] <= 1.0051 * turn["lower_s"], f"the bracket of a turn: {turn}")
    text = s.call("compare", "case.toml", "--longest", "12")
    for words in ("the same setting", "the same mean power", "the same energy", "the same time to dry out", "ratio",
                  "For teaching and research only"):
        checks.that(words in text.stdout, f"the table says {words!r}", text)

    # why on a basis.
    why = json.loads(s.call("why", "case.toml", "--basis", "mean_power", "--json").stdout)
    checks.that("the same mean power" in why["basis"], f"the basis is named: {why['basis']}")
    power = next(q for q in why["quantities"] if q["name"] == "delivered_J")
    checks.that(near(power["first"], power["second"], 1e-3),
                f"why holds the power: {power['first']}, {power['second']}")
    checks.refused(s.call("why", "case.toml", "--basis", "equal"), 1, "--basis")
    checks.refused(s.call("why", "case.toml", "--basis", "dry_out", "--set", "mode.*.activation_s=0.3"), 2,
                   "does not dry out")

    # find: what is found is reached when run again.
    found = json.loads(s.call("find", "case.toml", "--depth", "1.5", "--json").stdout)
    for mode in found["modes"]:
        value = mode["value"]
        depth = again(s, f"mode.{mode['name']}.source.setting_W={value!r}")[mode["name"]]["depth_mm"]["coagulation"]
        checks.that(near(depth, 1.5, 0.01), f"{mode['name']} at {value} W: {depth} mm")
        checks.that(mode["lower"] <= value <= mode["upper"], f"bracket: {mode}")
    found = json.loads(s.call("find", "case.toml", "--depth", "1.5", "--by", "activation", "--json").stdout)
    for mode in found["modes"]:
        depth = again(s, f"mode.{mode['name']}.activation_s={mode['value']!r}")[mode["name"]]["depth_mm"]["coagulation"]
        checks.that(near(depth, 1.5, 0.01), f"{mode['name']} for {mode['value']} s: {depth} mm")
    found = json.loads(s.call("find", "case.toml", "--below-arcing", "--json").stdout)
    for mode in found["modes"]:
        for value, strikes in ((mode["value"], False), (mode["upper"], True)):
            struck = again(s, f"mode.{mode['name']}.source.setting_W={value!r}")[mode["name"]]["arcing_s"]
            checks.that((struck is not None) == strikes, f"{mode['name']} at {value} W struck at {struck}")

    # The probe at which a source holds a temperature stays, although studies leave out probes.
    held = [str(Path(os.environ["DRYFRONT_SOURCE_DIR"]) / "cases" / "held_temperature.toml"), "--set",
            "mode.*.activation_s=2", "--set", "mode.*.after_s=0"]
    why = s.call("why", *held)
    checks.that(why.returncode == 0 and 'set to hold 60 C with at most 10 W and that of "80 C held" to hold 80 C' in
                " ".join(why.stdout.split()), "why of held temperatures", why)
    checks.that(s.call("compare", *held, "--longest", "3").returncode == 0, "compare of held temperatures")

    # Refusals.
    checks.refused(s.call("find", "case.toml"), 1, "--depth", "--below-arcing")
    checks.refused(s.call("find", "case.toml", "--depth", "2", "--below-arcing"), 1, "--depth")
    checks.refused(s.call("find", "case.toml", "--depth", "19", "--set", "mode.*.activation_s=0.5"), 2,
                   "cannot be found for any mode", "continuous: up to 500")
    checks.refused(s.call("find", "case.toml", "--below-arcing", "--set", "physics.arcing=false", "--set",
                          "mode.*.activation_s=0.5"), 2,
                   "does not strike up to")
    checks.refused(s.call("compare", "case.toml", "--modes", "continuous,continuous"), 2, "do not differ")

checks.finish()
