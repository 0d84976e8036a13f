"""The command circuit: its table, its JSON, and what it refuses with exit code 2 and the place."""
import json
import os
import subprocess
from pathlib import Path

from _run_program import Checks, Scratch

CASE = Path(os.environ["DRYFRONT_SOURCE_DIR"]) / "cases" / "bench" / "stray_current.toml"
checks = Checks()

with Scratch() as scratch:
    table = scratch.call("circuit", CASE)
    checks.that(table.returncode == 0, "the case is solved", table)
    for text in ("touching", "held open", "768 K, dark", "1550 K, glows", "No person is ever part", "teaching"):
        checks.that(text in table.stdout, f"the table should hold {text!r}", table)
    answer = json.loads(scratch.call("circuit", CASE, "--json").stdout)
    first, second = answer["modes"]
    checks.that(first["tip"] == "touching" and len(first["harmonics"]) == 1, f"one line for a sine: {first['tip']}")
    checks.that(abs(first["stray_A"] - 18.97e-3) < 1e-5, f"stray current {first['stray_A']}")
    checks.that(len(second["harmonics"]) > 20, "many lines for bursts")
    checks.that(answer["other_tip"][0]["stray_A"] > 2 * first["stray_A"], "open strays more")
    checks.that(abs(second["stray_A"] / first["stray_A"] - 1) < 0.1, "equal rms, about equal stray current")
    for curve in answer["over_turns"]:
        checks.that(curve["turns"][0] == 0 and curve["stray_A"][0] == 0, "nothing strays without turns")
        checks.that(curve["stray_A"] == sorted(curve["stray_A"]), "more turns, more stray current")

    drawn = scratch.call("circuit", CASE, "--figure", "stray.svg")
    checks.that(drawn.returncode == 0 and "stray.svg" in scratch.names(), "the picture is drawn", drawn)

    def refused(code, texts, *changes):
        words = [word for change in changes for word in ("--set", change)]
        checks.refused(scratch.call("circuit", CASE, *words), code, *texts)

    refused(2, ["circuit.tissue_ohm is missing for a tip that touches", "tissue_ohm = 0"], "circuit.tissue_ohm=0")
    refused(2, ["mode.1.waveform.duty", "whole number"], "mode.1.waveform.duty=0.06")
    refused(2, ["burn out", "circuit.lamp_V"], "circuit.lamp_A=0.03", "circuit.tip=open")
    refused(2, ["circuit.lamp_A is missing"], "circuit.lamp_A=0")
    refused(2, ["circuit.turns is given beside beside_pF"], "circuit.beside_pF=60")
    refused(2, ["circuit.beside_pF is missing"], "circuit.turns=0")
    refused(2, [">= 0"], "circuit.return_ohm=-1")
    refused(2, ["unknown key 'circuit.tisue_ohm'", "tissue_ohm"], "circuit.tisue_ohm=3")
    refused(2, ["one of touching, open"], "circuit.tip=held")
    checks.refused(scratch.call("circuit", "case.toml"), 2, "missing circuit")
    checks.refused(scratch.call("run", CASE), 2, "missing specimen")
checks.finish()
