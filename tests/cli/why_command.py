#!/usr/bin/env python3
"""The command why: sums, choice of modes, resolution, JSON and CSV, refusals."""
import csv
import json
import signal
import time

import h5py

from _run_program import CASE, Checks, Scratch

checks = Checks()


def without_second_mode(text):
    """The case with its first mode only."""
    begin = text.index('[[mode]]\nname = "interrupted"')
    return text[:begin] + text[text.index("[tissue.gel]"):]


with Scratch() as s:
    result = s.call("why", "case.toml", "--json")
    checks.that(result.returncode == 0, "why runs", result)
    checks.that("\r" not in result.stderr, "no progress line in a log", result)
    told = json.loads(result.stdout)
    checks.that([d["name"] for d in told["modes"]] == ["continuous", "interrupted"], "lowest against highest crest factor")
    names = [q["name"] for q in told["quantities"]]
    for name in ("depth_mm.coagulation", "depth_mm.char", "surface_J", "delivered_J", "time_to_depth_s"):
        checks.that(name in names, f"{name} is attributed")
    mechanisms = {"source", "arcing", "eschar", "breakdown", "re-wetting", "activation"}
    for quantity in told["quantities"]:
        if "no_value" in quantity:
            continue
        checks.that(set(quantity["mechanisms"]) == mechanisms, f"{quantity['name']}: every mechanism is named")
        total = sum(m["share"] for m in quantity["mechanisms"].values())
        size = max(abs(quantity["first"]), abs(quantity["second"]),
                   *(abs(m["share"]) for m in quantity["mechanisms"].values()))
        checks.that(abs(total - quantity["difference"]) <= 1e-12 * size, f"{quantity['name']}: {total} in sum")
        checks.that(abs(quantity["left_over"]) <= 1e-12 * size, f"{quantity['name']}: {quantity['left_over']} left over")
        checks.that(quantity["mechanisms"]["source"]["share"] == 0, f"{quantity['name']}: equal sources get nothing")
        checks.that(len(quantity["interactions"]) == 10, f"{quantity['name']}: every pair of five")
    checks.that(set(told["sentences"]) == mechanisms - {"activation"}, "a sentence for each")
    checks.that("fine_mm = 0.2" in told["resolution"], "a grid that is coarse already stays", result)

    # The full coalition is what run prints at that resolution.
    plain = s.call("run", "case.toml", "--out", "-", "--json", "--quiet", "--set", "time.tolerance=4",
                   "--set", "output.frames=1")
    depths = {d["name"]: d["depth_mm"]["coagulation"] for d in json.loads(plain.stdout)["modes"]}
    depth = told["quantities"][0]
    checks.that(depth["first"] == depths["continuous"], "the first depth is that of run", plain)
    checks.that(depth["second"] == depths["interrupted"], "the second depth is that of run", plain)

    # Order, resolution and threads.
    turned = json.loads(s.call("why", "case.toml", "--json", "--modes", "interrupted,continuous", "--threads", "1").stdout)
    turned_depth = turned["quantities"][0]
    checks.that(abs(turned_depth["difference"] + depth["difference"]) < 1e-12, "turned round, the sign turns")
    text = s.call("why", "case.toml", "--fine", "--set", "grid.fine_mm=0.25")
    checks.that(text.returncode == 0 and "the case's own resolution (grid.fine_mm = 0.25" in " ".join(text.stdout.split()),
                "--fine and --set", text)
    text = s.call("why", "case.toml", "--set", "time.tolerance=3", "--depth", "0.3")
    checks.that("time.tolerance = 3" in " ".join(text.stdout.split()), "--set is stronger than the sweep resolution", text)
    checks.that("time to 0.3 mm of coagulation" in text.stdout, "--depth", text)
    checks.that("For teaching and research only" in text.stdout, "the caution", text)
    checks.that(max(map(len, text.stdout.splitlines())) <= 120, "lines stay short", text)
    for words in ("The source:", "Striking:", "Eschar:", "Breakdown:", "Re-wetting:"):
        checks.that(words in text.stdout, f"a sentence about {words}", text)

    # Mechanisms that are off.
    off = json.loads(s.call("why", "case.toml", "--json", "--set", "physics.breakdown=false").stdout)
    checks.that(not off["quantities"][0]["mechanisms"]["breakdown"]["plays"], "what is off does not play")
    checks.that(all(q["mechanisms"]["breakdown"]["share"] == 0 for q in off["quantities"] if "no_value" not in q),
                "what is off gets zero")

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
    checks.that(before["computed"] is False and "--into" in before["reason"], f"a run says that it has none: {before}")
    result = s.call("why", "case.toml", "--into", "run.h5", "--json")
    checks.that(result.returncode == 0 and "run.h5" in result.stderr, "--into", result)
    with h5py.File(s.path / "run.h5") as file:
        inside = json.loads(file.attrs["why_json"])
        checks.that(file.attrs["finished"] == 1 and (file["mode/continuous/frame/temperature_C"][()] == frames).all(), "the rest stays")
    checks.that(inside == json.loads(result.stdout) and inside["computed"] is True, "what is inside is what was printed", result)
    checks.that(not (s.path / "run.h5.part").exists(), "no .part is left")
    content = (s.path / "run.h5").read_bytes()
    checks.refused(s.call("why", "case.toml", "--into", "run.h5", "--set", "electrode.radius_mm=2.5"), 2, "run.h5",
                   "a run of another case", "radius_mm = 3")
    checks.refused(s.call("why", "case.toml", "--into", "nowhere.h5"), 4, "nowhere.h5")
    checks.refused(s.call("why", "case.toml", "--into", "case.toml"), 4, "case.toml")
    checks.that((s.path / "run.h5").read_bytes() == content, "a refusal leaves the file as it was")

    # The basis of the case.
    on_basis = CASE + '[comparison]\nbasis = "same_setting"\n'
    (s.path / "on_basis.toml").write_text(on_basis.replace("setting_W = 20 }\n[tissue", "setting_W = 30 }\n[tissue"), encoding="utf-8")
    for words, wanted in (((), "the same setting"), (("--basis", "as_given"), "as the case has them")):
        told_basis = json.loads(s.call("why", "on_basis.toml", "--json", *words).stdout)["basis"]
        checks.that(wanted in told_basis, f"{words}: {told_basis}")
    result = s.call("run", "on_basis.toml", "--out", "-")
    checks.that("on the basis same_setting" in " ".join(result.stdout.split()), "run names the basis", result)

    # Refusals.
    checks.refused(s.call("why", "case.toml", "--modes", "continuous,interupted"), 2, "interupted", "did you mean")
    checks.refused(s.call("why", "case.toml", "--modes", "continuous"), 2, "two names are needed")
    checks.refused(s.call("why", "case.toml", "--modes", "continuous,continuous"), 2, "do not differ")
    checks.refused(s.call("why", "case.toml", "--depth", "15"), 2, "does not reach this depth", "15 mm", "up to")
    checks.refused(s.call("why", "case.toml", "--depth", "-1"), 1, "--depth")
    checks.refused(s.call("why", "case.toml", "--set", "grid.finemm=1"), 2, "finemm")
    checks.refused(s.call("why", "nowhere.toml"), 4, "nowhere.toml")
    (s.path / "one.toml").write_text(without_second_mode(CASE), encoding="utf-8")
    checks.refused(s.call("why", "one.toml"), 2, "one.toml", "the case has one mode")
    same = CASE.replace('kind = "gated", carrier_kHz = 400, duty = 0.06, repeat_kHz = 24', 'kind = "continuous"')
    (s.path / "same.toml").write_text(same, encoding="utf-8")
    checks.refused(s.call("why", "same.toml"), 2, "the two modes do not differ")

    # A polite stop.
    program = s.start("why", "case.toml", "--fine", "--set", "grid.fine_mm=0.02", "--set", "grid.growth=1.04")
    time.sleep(0.7)
    program.send_signal(signal.SIGINT)
    out, err = program.communicate(timeout=60)
    checks.that(program.returncode == 130 and out == "" and "interrupted" in err, f"interrupt: {program.returncode} {err}")

checks.finish()
