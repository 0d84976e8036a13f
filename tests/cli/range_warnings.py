#!/usr/bin/env python3
"""Warnings for what is legal and absurd: a run past 300 C, and a source without a highest voltage over a contact that
can dry. Said by check, run, summary, run file and table alike."""
import json

from _run_program import Checks, Scratch

checks = Checks()
UNLIMITED = ("--set", 'mode.continuous.source={kind="constant_power",setting_W=20}')
# A small face at a high power: the surface is charred within the second.
HOT = ("--set", "electrode.radius_mm=1", "--set", "mode.*.source.setting_W=60", "--set", "mode.*.activation_s=1",
       "--set", "output.frames=2", "--set", "grid.fine_mm=0.1")

with Scratch() as s:
    result = s.call("check", "case.toml")
    checks.that(result.returncode == 0 and result.stderr == "", "the case as it stands is fine", result)
    for command in (("check", "case.toml"), ("run", "case.toml", "--out", "-", "--quiet", "--set", "output.frames=1")):
        result = s.call(*command, *UNLIMITED)
        checks.that(result.returncode == 0 and result.stderr.count("mode.continuous.source.peak_limit_V sets one") == 1,
                    "the mode without a limit is named with its key", result)
        checks.that("interrupted" not in result.stderr, "the limited one is not", result)
    result = s.call("check", "case.toml", *UNLIMITED, "--set", 'electrode.contact="perfect"')
    checks.that(result.stderr == "", "under a perfect contact nothing is said", result)

    result = s.call("run", "case.toml", "--json", *HOT)
    checks.that(result.returncode == 0, "the hot run", result)
    modes = json.loads(result.stdout)["modes"]
    hot = [mode for mode in modes if mode["peak_C"] > 300]
    checks.that(len(hot) >= 1, f"the run passes 300 C: {[mode['peak_C'] for mode in modes]}")
    import h5py
    with h5py.File(s.path / "case.h5", "r") as file:
        for mode in modes:
            said, attributes = mode["past_range"], file[f"mode/{mode['name']}/summary"].attrs
            checks.that(said["passed"] == (mode["peak_C"] > 300) == bool(attributes["past_range"]), f"passed: {said}")
            sentence = file[f"mode/{mode['name']}"].attrs["past_range_sentence"]
            checks.that(said["sentence"] == sentence, "the same sentence in the file")
            checks.that((f"warning: {said['sentence']}\n" in result.stderr) == said["passed"], "on standard error",
                        result)
            for effect, rests in said["depth"].items():
                checks.that(rests == bool(attributes[f"past_range_{effect}"]), f"the mark of {effect}")
                # The rule itself, from the trace: the depth at the passing is not the depth at the end.
                if said["passed"]:
                    row = mode["trace"]["t_s"].index(said["t_s"])
                    then = mode["trace"]["greatest_depth_mm"][effect][row]
                    checks.that(rests == (abs(mode["depth_mm"][effect] - then) >= 0.005), f"{effect} rests on it")
    result = s.call("run", "case.toml", "--out", "-", *HOT)
    for mode in hot:
        depth = next(mode["depth_mm"][effect] for effect, rests in mode["past_range"]["depth"].items() if rests)
        # As many digits as the cells there bear.
        checks.that(any(f"{depth:.{digits}f} mm*" in result.stdout for digits in (1, 2)), f"{depth:.2f} mm is marked",
                    result)
    checks.that(result.stdout.count("* \"") == len(hot), "one footnote for each", result)

checks.finish()
