#!/usr/bin/env python3
"""The command why: sums, choice of modes, resolution, JSON and CSV, refusals."""
import csv
import json
import signal
import time

import h5py

import _run_program
from _run_program import Checks, Scratch

checks = Checks()
# Without its peak limits the case's two modes differ in the waveform alone.
CASE = _run_program.CASE.replace(", peak_limit_V = 2000", "")


def without_second_mode(text):
    """The case with its first mode only."""
    begin = text.index('[[mode]]\nname = "interrupted"')
    return text[:begin] + text[text.index("[tissue.gel]"):]


with Scratch() as s:
    (s.path / "case.toml").write_text(CASE, encoding="utf-8")
    result = s.call("why", "case.toml", "--json")
    checks.that(result.returncode == 0, "why runs", result)
    checks.that("\r" not in result.stderr, "no progress line in a log", result)
    told = json.loads(result.stdout)
    checks.that([d["name"] for d in told["modes"]] == ["continuous", "interrupted"],
                "lowest against highest crest factor")
    names = [q["name"] for q in told["quantities"]]
    for name in ("depth_mm.coagulation", "depth_mm.char", "surface_J", "delivered_J", "time_to_depth_s"):
        checks.that(name in names, f"{name} is attributed")
    players = ["source", "peak_limit", "arcing", "breakdown", "activation_time"]
    conditions = {"boil_off", "moisture", "arcing", "eschar", "breakdown", "perfusion", "conductivity_rises",
                  "bound_water", "vapour", "rim_arcing", "pressed_out_water"}
    checks.that([p["key"] for p in told["players"]] == players, "the players by name")
    checks.that([p["key"] for p in told["players"] if p["differs"]] == ["arcing", "breakdown"],
                "one source without a peak limit: what differs is what the crest factor acts through")
    checks.that({c["key"] for c in told["conditions"]} == conditions, "the conditions by name")
    for quantity in told["quantities"]:
        if "no_value" in quantity:
            continue
        name, shares = quantity["name"], quantity["players"]
        checks.that(list(shares) == players, f"{name}: every player is named")
        total = sum(share["share"] for share in shares.values())
        size = max(abs(quantity["first"]), abs(quantity["second"]), *(abs(share["share"]) for share in shares.values()))
        checks.that(abs(total - quantity["difference"]) <= 1e-12 * size, f"{name}: {total} in sum")
        for same in ("source", "peak_limit", "activation_time"):
            checks.that(shares[same]["share"] == 0, f"{name}: what is the same gets nothing: {same}")
        checks.that(len(quantity["interactions"]) == 1, f"{name}: the one pair of two")
        checks.that(set(quantity["conditions"]) == conditions, f"{name}: both modes with each mechanism off")
        for key, values in quantity["conditions"].items():
            checks.that(set(values) == {"first", "second"}, f"{name} without {key}: {values}")
    checks.that(told["sentences"][0].startswith('Both were set to 20 W. "continuous" delivered '),
                f"what was set first: {told['sentences'][0]}")
    for player in told["players"]:
        checks.that((player["sentence"] is not None) == player["differs"], f"a sentence for what differs: {player}")
    checks.that("fine_mm = 0.2" in told["resolution"], "a grid that is coarse already stays", result)

    # The full coalition is what run prints at that resolution.
    plain = s.call("run", "case.toml", "--out", "-", "--json", "--quiet", "--set", "time.tolerance=4",
                   "--set", "output.frames=1")
    depths = {d["name"]: d["depth_mm"]["coagulation"] for d in json.loads(plain.stdout)["modes"]}
    depth = told["quantities"][0]
    checks.that(depth["first"] == depths["continuous"], "the first depth is that of run", plain)
    checks.that(depth["second"] == depths["interrupted"], "the second depth is that of run", plain)

    # A condition is what run prints with that switch.
    plain = s.call("run", "case.toml", "--out", "-", "--json", "--quiet", "--set", "time.tolerance=4",
                   "--set", "output.frames=1", "--set", "physics.boil_off=false")
    depths = {d["name"]: d["depth_mm"]["coagulation"] for d in json.loads(plain.stdout)["modes"]}
    checks.that(depth["conditions"]["boil_off"] == {"first": depths["continuous"], "second": depths["interrupted"]},
                f"without boil-off: {depth['conditions']['boil_off']}", plain)

    # Order, resolution and threads.
    turned = json.loads(
        s.call("why", "case.toml", "--json", "--modes", "interrupted,continuous", "--threads", "1").stdout)
    turned_depth = turned["quantities"][0]
    checks.that(abs(turned_depth["difference"] + depth["difference"]) < 1e-12, "turned round, the sign turns")
    text = s.call("why", "case.toml", "--fine", "--set", "grid.fine_mm=0.25")
    checks.that(
        text.returncode == 0 and "the case's own resolution (grid.fine_mm = 0.25" in " ".join(text.stdout.split()),
        "--fine and --set", text)
    text = s.call("why", "case.toml", "--set", "time.tolerance=3", "--depth", "0.3")
    checks.that("time.tolerance = 3" in " ".join(text.stdout.split()), "--set is stronger than the sweep resolution",
                text)
    checks.that("time to 0.3 mm of coagulation" in text.stdout, "--depth", text)
    checks.that("For teaching and research only" in text.stdout, "the caution", text)
    checks.that(max(map(len, text.stdout.splitlines())) <= 120, "lines stay short", text)
    for words in ("Both were set to 20 W.", "Nothing differs in source, peak limit and activation time",
                  "With one mechanism switched off for both"):
        checks.that(words in " ".join(text.stdout.split()), f"a sentence with {words!r}", text)

    # Mechanisms that are off.
    off = json.loads(s.call("why", "case.toml", "--json", "--set", "physics.breakdown=false").stdout)
    checks.that(not off["quantities"][0]["players"]["breakdown"]["differs"], "what is off does not differ")
    checks.that(all(q["players"]["breakdown"]["share"] == 0 and "breakdown" not in q["conditions"]
                    for q in off["quantities"] if "no_value" not in q), "what is off gets zero and is no condition")

    # Nothing differs: by the physics, or because a mode is set against itself.
    for words in (("--set", "physics.breakdown=false", "--set", "physics.arcing=false"), ("--modes",
                                                                                          "continuous,continuous")):
        none = json.loads(s.call("why", "case.toml", "--json", *words).stdout)
        checks.that(all(share["share"] == 0 and not share["differs"] for q in none["quantities"] if "no_value" not in q
                        for share in q["players"].values()), f"{words}: every share is zero")
        checks.that(any("differ in nothing" in sentence for sentence in none["sentences"]), f"{words}: it is said")

    # Only the source differs: it gets everything.
    only = json.loads(
        s.call("why", "case.toml", "--json", "--set", 'mode.interrupted.waveform={kind="continuous"}', "--set",
               "mode.interrupted.source.kind=unregulated").stdout)
    for quantity in only["quantities"]:
        if "no_value" not in quantity:
            checks.that(quantity["players"]["source"]["share"] == quantity["difference"],
                        f"all to the source: {quantity['name']}")
    checks.that("because its source is rated for 500 ohm" in only["sentences"][0], f"and why: {only['sentences'][0]}")

    # CSV.
    result = s.call("why", "case.toml", "--csv", "why.csv")
    checks.that(result.returncode == 0, "--csv", result)
    with open(s.path / "why.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    share = sum(float(row["share"]) for row in rows if row["quantity"] == "depth_mm.coagulation")
    checks.that(abs(share - depth["difference"]) < 1e-12, f"the shares of the csv file add up: {share}")
    checks.refused(s.call("why", "case.toml", "--csv", "why.csv"), 4, "why.csv", "--replace")
    checks.that(s.call("why", "case.toml", "--csv", "why.csv", "--replace", "--quiet").returncode == 0, "--replace")
    checks.that(s.names() == ["why.csv"], f"nothing else is written: {s.names()}")

    # Into a run file: of this case only, and only into a finished one.
    checks.that(s.call("run", "case.toml", "--out", "run.h5", "--quiet").returncode == 0, "a run file to put them into")
    with h5py.File(s.path / "run.h5") as file:
        before = json.loads(file.attrs["why_json"])
        frames = file["mode/continuous/frame/temperature_C"][()]
    checks.that(before["computed"] is False and "not asked for" in before["reason"],
                f"a run says that it has none: {before}")
    result = s.call("why", "case.toml", "--into", "run.h5", "--json")
    checks.that(result.returncode == 0 and "run.h5" in result.stderr, "--into", result)
    with h5py.File(s.path / "run.h5") as file:
        inside = json.loads(file.attrs["why_json"])
        checks.that(file.attrs["finished"] == 1 and (file["mode/continuous/frame/temperature_C"][()] == frames).all(),
                    "the rest stays")
    checks.that(inside == json.loads(result.stdout) and inside["computed"] is True,
                "what is inside is what was printed", result)
    checks.that(not (s.path / "run.h5.part").exists(), "no .part is left")
    content = (s.path / "run.h5").read_bytes()
    checks.refused(s.call("why", "case.toml", "--into", "run.h5", "--set", "electrode.radius_mm=2.5"), 2, "run.h5",
                   "a run of another case", "radius_mm = 3")
    checks.refused(s.call("why", "case.toml", "--into", "nowhere.h5"), 4, "nowhere.h5")
    checks.refused(s.call("why", "case.toml", "--into", "case.toml"), 4, "case.toml")
    checks.that((s.path / "run.h5").read_bytes() == content, "a refusal leaves the file as it was")

    # The basis of the case.
    on_basis = CASE + '[comparison]\nbasis = "same_setting"\n'
    (s.path / "on_basis.toml").write_text(on_basis.replace("setting_W = 20 }\n[tissue", "setting_W = 30 }\n[tissue"),
                                          encoding="utf-8")
    for words, wanted in (((), "the same setting"), (("--basis", "as_given"), "as the case has them")):
        told_basis = json.loads(s.call("why", "on_basis.toml", "--json", *words).stdout)["basis"]
        checks.that(wanted in told_basis, f"{words}: {told_basis}")
    result = s.call("run", "on_basis.toml", "--out", "-")
    checks.that("on the basis same_setting" in " ".join(result.stdout.split()), "run names the basis", result)

    # Refusals.
    checks.refused(s.call("why", "case.toml", "--modes", "continuous,interupted"), 2, "interupted", "did you mean")
    checks.refused(s.call("why", "case.toml", "--modes", "continuous"), 2, "two names are needed")
    checks.refused(s.call("why", "case.toml", "--depth", "15"), 2, "does not reach this depth", "15 mm", "up to")
    checks.refused(s.call("why", "case.toml", "--depth", "-1"), 1, "--depth")
    checks.refused(s.call("why", "case.toml", "--set", "grid.finemm=1"), 2, "finemm")
    checks.refused(s.call("why", "nowhere.toml"), 4, "nowhere.toml")
    (s.path / "one.toml").write_text(without_second_mode(CASE), encoding="utf-8")
    checks.refused(s.call("why", "one.toml"), 2, "one.toml", "the case has one mode")

    # A polite stop.
    program = s.start("why", "case.toml", "--fine", "--set", "grid.fine_mm=0.02", "--set", "grid.growth=1.04")
    time.sleep(0.7)
    program.send_signal(signal.SIGINT)
    out, err = program.communicate(timeout=60)
    checks.that(program.returncode == 130 and out == "" and "interrupted" in err,
                f"interrupt: {program.returncode} {err}")

checks.finish()
