#!/usr/bin/env python3
"""run --interval: what is drawn, what is printed and stored, refusals."""
import json
import signal
import time

import h5py

from _run_program import Checks, Scratch

RANGES = """
[axis.radius]
key = "electrode.radius_mm"
distribution = "uniform"
low = 2.5
high = 3.5
[axis.strike]
key = "physics.strike_V"
distribution = "triangular"
low = 150
mode = 200
high = 327
[axis.liver]
key = "tissue.liver_ex_vivo.moisture_m2_s"
distribution = "log_uniform"
low = 1e-9
high = 1e-7
"""
checks = Checks()

with Scratch() as s:
    (s.path / "ranges.toml").write_text(RANGES, encoding="utf-8")
    words = ("--interval=12", "--ranges", "ranges.toml")
    result = s.call("run", "case.toml", "--out", "run.h5", "--json", *words)
    checks.that(result.returncode == 0, "run --interval", result)
    summary = json.loads(result.stdout)
    interval = summary["interval"]
    checks.that(interval["computed"] is True and interval["points"] == 12 and interval["failed"] == 0, f"{interval}")
    checks.that([a["key"] for a in interval["assumed"]] == ["electrode.radius_mm", "physics.strike_V"], "what is drawn")
    checks.that([a["here"] for a in interval["assumed"]] == [3, 200], "with the values of the case")
    checks.that(interval["foreign"] == ["tissue.liver_ex_vivo.moisture_m2_s"], "another tissue's is left out and named")
    quantities = {q["name"]: q for q in interval["quantities"]}
    checks.that(
        list(quantities) == ["depth_mm.continuous", "depth_mm.interrupted", "depth_ratio", "depth_difference_mm"],
        f"what there is: {list(quantities)}")
    depth = quantities["depth_mm.continuous"]
    checks.that(depth["least"] <= depth["low"]["value"] < depth["high"]["value"] <= depth["greatest"], f"{depth}")
    checks.that(depth["foremost"] == "electrode.radius_mm" and depth["stands_out"] is True,
                f"the radius decides: {depth}")
    checks.that(depth["low"]["from"] is None and depth["low"]["to"] is not None,
                "twelve runs do not bound the lower end from below")
    with h5py.File(s.path / "run.h5") as file:
        checks.that(json.loads(file.attrs["interval_json"]) == interval, "the run file has the same")

    # The same whatever the threads; a value set by the user stays.
    again = json.loads(s.call("run", "case.toml", "--out", "-", "--json", *words, "--threads", "1").stdout)["interval"]
    checks.that(again == interval, "the same for any number of threads")
    held = json.loads(
        s.call("run", "case.toml", "--out", "-", "--json", *words, "--set", "physics.strike_V=250").stdout)["interval"]
    checks.that(held["held"] == ["physics.strike_V"] and len(held["assumed"]) == 1, f"set and held: {held['held']}")

    result = s.call("run", "case.toml", "--out", "-", *words)
    for part in ("90 % range, coagulation", "electrode.radius_mm (", "reaches deeper than", "12 runs",
                 "not that of tissue", "No ranges for the tissue of this case"):
        checks.that(part in " ".join(result.stdout.split()), f"the comparison says {part!r}", result)
    checks.that(max(map(len, result.stdout.splitlines())) <= 100, "lines stay short", result)
    result = s.call("run", "case.toml", "--out", "-")
    checks.that("No interval was computed" in result.stdout, "a run without one says so", result)
    result = s.call("run", "case.toml", "--out", "-", "--interval=8", "--json")
    checks.that(len(json.loads(result.stdout)["interval"]["assumed"]) > 10, "the ranges of the installation", result)

    # Refusals, before anything is computed.
    checks.refused(s.call("run", "case.toml", "--out", "-", "--interval=2"), 1, "--interval")
    checks.refused(s.call("run", "case.toml", "--out", "-", "--ranges", "ranges.toml"), 1, "--interval")
    checks.refused(s.call("run", "case.toml", "--out", "-", "--interval", "--ranges", "nowhere.toml"), 4,
                   "nowhere.toml")
    checks.refused(s.call("run", "case.toml", "--out", "-", "--interval", "--ranges", "case.toml"), 2, "axis")
    (s.path / "wrong.toml").write_text(RANGES.replace("high = 3.5", "hihg = 3.5"), encoding="utf-8")
    checks.refused(s.call("run", "case.toml", "--out", "-", "--interval", "--ranges", "wrong.toml"), 2, "wrong.toml:6",
                   "hihg")
    (s.path / "liver.toml").write_text(RANGES[RANGES.index("[axis.liver]"):], encoding="utf-8")
    checks.refused(s.call("run", "case.toml", "--out", "-", "--interval", "--ranges", "liver.toml"), 2,
                   "none of the ranges")

    # All of the runs fail: the run is kept, the exit code tells.
    (s.path / "wide.toml").write_text(RANGES.replace("low = 2.5", "low = 100").replace("high = 3.5", "high = 200"),
                                      encoding="utf-8")
    result = s.call("run", "case.toml", "--out", "kept.h5", "--interval=8", "--ranges", "wide.toml")
    checks.that(result.returncode == 3 and "has no interval: 8 of 8 runs have no result" in result.stderr,
                "no interval", result)
    checks.that("wider than the specimen" in result.stderr, "with the reason", result)
    with h5py.File(s.path / "kept.h5") as file:
        checks.that(file.attrs["finished"] == 1 and json.loads(file.attrs["interval_json"])["computed"] is False,
                    "the run is kept")

    # A polite stop within the interval: the run is kept as well.
    program = s.start("run", "case.toml", "--out", "stopped.h5", "--interval=5000", "--ranges", "ranges.toml")
    time.sleep(3)
    program.send_signal(signal.SIGINT)
    out, err = program.communicate(timeout=60)
    checks.that(program.returncode == 130 and "has no interval: interrupted" in err,
                f"interrupt: {program.returncode} {err}")
    with h5py.File(s.path / "stopped.h5") as file:
        checks.that(file.attrs["finished"] == 1, "finished")

checks.finish()
