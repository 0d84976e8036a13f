#!/usr/bin/env python3
"""The commands footings and find: what is held, what is reached when run again, refusals."""
import json

from _run_program import Checks, Scratch

SWEEP = ("--set", "time.tolerance=4", "--set", "output.frames=1")
checks = Checks()


def again(scratch, *settings):
    """The drives of the case run again, by name."""
    overrides = [text for setting in settings for text in ("--set", setting)]
    result = scratch.call("run", "case.toml", "--out", "-", "--json", "--quiet", *SWEEP, *overrides)
    checks.that(result.returncode == 0, f"run with {settings}", result)
    return {drive["name"]: drive for drive in json.loads(result.stdout)["drives"]}


def near(value, wanted, tolerance):
    return abs(value / wanted - 1) <= tolerance


with Scratch() as s:
    # Different sources and a face small enough to dry out, so that every footing has something to do.
    s_case = (s.path / "case.toml").read_text(encoding="utf-8")
    regulated = 'kind = "regulated", dial_W = 20'
    at = s_case.rindex(regulated)
    s_case = (s_case[:at].replace(regulated, regulated + ", peak_limit_V = 400")
              + 'kind = "matched", dial_W = 30, match_ohm = 500' + s_case[at + len(regulated):])
    (s.path / "case.toml").write_text(s_case.replace("dwell_s = 2", "dwell_s = 6"), encoding="utf-8")

    result = s.call("footings", "case.toml", "--json", "--longest", "12")
    checks.that(result.returncode == 0, "footings runs", result)
    told = json.loads(result.stdout)
    rows = {row["footing"]: row for row in told["footings"]}
    checks.that(list(rows) == ["same_dial", "mean_power", "energy", "dry_out"], "four footings")
    quantity = {"same_dial": None, "mean_power": "mean_power_W", "energy": "delivered_J", "dry_out": "dry_out_s"}
    for name, row in rows.items():
        checks.that("not_possible" not in row, f"{name}: {row}")
        if "not_possible" in row:
            continue
        checks.that(near(row["held"]["second"], row["held"]["first"], 1e-3), f"{name} is held: {row['held']}")
        one, other = row["first"], row["second"]
        if quantity[name]:
            checks.that(near(other[quantity[name]], one[quantity[name]], 1e-3), f"{name}: {one} and {other}")
        drives = again(s, f"drive.interrupted.source.dial_W={other['dial_W']!r}",
                       f"drive.interrupted.dwell_s={other['dwell_s']!r}")
        checks.that(near(drives["interrupted"]["delivered_J"], other["delivered_J"], 1e-6), f"{name}: run again")
        checks.that(near(drives["interrupted"]["depth_mm"]["coagulation"], other["depth_mm"], 1e-6),
                    f"{name}: the depth, run again")
    order = told["order_over_dwell"]
    checks.that(abs(order["dwell_s"][0] - 0.6) < 1e-9 and abs(order["dwell_s"][-1] - 12) < 1e-9, "the range of dwells")
    for turn in order["turns"]:
        checks.that(turn["upper_s"] <= 1.0051 * turn["lower_s"], f"the bracket of a turn: {turn}")
    text = s.call("footings", "case.toml", "--longest", "12")
    for words in ("the same dial", "the same mean power", "the same energy", "the same time to dry out", "ratio",
                  "For teaching and research only"):
        checks.that(words in text.stdout, f"the table says {words!r}", text)

    # why on a footing.
    why = json.loads(s.call("why", "case.toml", "--footing", "mean_power", "--json").stdout)
    checks.that("the same mean power" in why["footing"], f"the footing is named: {why['footing']}")
    power = next(q for q in why["quantities"] if q["name"] == "delivered_J")
    checks.that(near(power["first"], power["second"], 1e-3), f"why holds the power: {power['first']}, {power['second']}")
    checks.refused(s.call("why", "case.toml", "--footing", "equal"), 1, "--footing")
    checks.refused(s.call("why", "case.toml", "--footing", "dry_out", "--set", "drive.*.dwell_s=0.3"), 2,
                   "does not dry out")

    # find: what is found is reached when run again.
    found = json.loads(s.call("find", "case.toml", "--depth", "1.5", "--json").stdout)
    for drive in found["drives"]:
        value = drive["value"]
        depth = again(s, f"drive.{drive['name']}.source.dial_W={value!r}")[drive["name"]]["depth_mm"]["coagulation"]
        checks.that(near(depth, 1.5, 0.01), f"{drive['name']} at {value} W: {depth} mm")
        checks.that(drive["lower"] <= value <= drive["upper"], f"bracket: {drive}")
    found = json.loads(s.call("find", "case.toml", "--depth", "1.5", "--by", "dwell", "--json").stdout)
    for drive in found["drives"]:
        depth = again(s, f"drive.{drive['name']}.dwell_s={drive['value']!r}")[drive["name"]]["depth_mm"]["coagulation"]
        checks.that(near(depth, 1.5, 0.01), f"{drive['name']} for {drive['value']} s: {depth} mm")
    found = json.loads(s.call("find", "case.toml", "--below-striking", "--json").stdout)
    for drive in found["drives"]:
        for value, strikes in ((drive["value"], False), (drive["upper"], True)):
            struck = again(s, f"drive.{drive['name']}.source.dial_W={value!r}")[drive["name"]]["struck_s"]
            checks.that((struck is not None) == strikes, f"{drive['name']} at {value} W struck at {struck}")

    # Refusals.
    checks.refused(s.call("find", "case.toml"), 1, "--depth", "--below-striking")
    checks.refused(s.call("find", "case.toml", "--depth", "2", "--below-striking"), 1, "--depth")
    checks.refused(s.call("find", "case.toml", "--depth", "19", "--set", "drive.*.dwell_s=0.5"), 2, "cannot be found for any drive", "continuous: up to 500")
    checks.refused(s.call("find", "case.toml", "--below-striking", "--set", "physics.striking=false", "--set",
                          "drive.*.dwell_s=0.5"), 2,
                   "does not strike up to")
    checks.refused(s.call("footings", "case.toml", "--drives", "continuous,continuous"), 2, "do not differ")

checks.finish()
