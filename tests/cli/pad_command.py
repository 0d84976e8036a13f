"""The command pad: its table, its JSON, and what it refuses with exit code 2 and the place."""
import json
import os
from pathlib import Path

from _run_program import Checks, Scratch

CASE = Path(os.environ["DRYFRONT_SOURCE_DIR"]) / "cases" / "bench" / "split_pad.toml"
checks = Checks()

with Scratch() as scratch:
    few = ("--set", "pad.peeled=[0, 0.3]")
    table = scratch.call("pad", CASE, *few)
    checks.that(table.returncode == 0, "the case is solved", table)
    for text in ("both halves from one end", "Alarm with", "risen by 30 %", "No person is ever part", "teaching"):
        checks.that(text in table.stdout, f"the table should hold {text!r}", table)
    answer = json.loads(scratch.call("pad", CASE, "--json", *few).stdout)
    checks.that(answer["peel"] == "along" and answer["peeled"] == [0, 0.3], f"{answer['peel']}")
    checks.that(abs(answer["reading_ohm"][0] / 66.0 - 1) < 2e-3, f"{answer['reading_ohm']}")
    checks.that(answer["alarm"] == "rise" and 0.2 < answer["alarm_at"] < 0.3, f"{answer['alarm_at']}")
    off = json.loads(scratch.call("pad", CASE, "--json", "--set", "pad.peel=one_off", *few).stdout)
    checks.that(off["ohm"] == [None, None] and off["alarm"] == "open", "one half off is open, no error")
    touching = json.loads(scratch.call("pad", CASE, "--json", "--set", "pad.peel=touching", *few).stdout)
    checks.that(touching["alarm"] == "low" and touching["alarm_at"] == 0, "halves that touch read too little")
    accepted = json.loads(scratch.call("pad", CASE, "--json", "--set", "pad.peel=touching", "--set",
                                       "pad.accepts_single=true", *few).stdout)
    checks.that(accepted["alarm"] is None, "what takes a single pad accepts halves that touch")

    drawn = scratch.call("pad", CASE, *few, "--figure", "pad.svg")
    checks.that(drawn.returncode == 0 and "pad.svg" in scratch.names(), "the picture is drawn", drawn)
    checks.that(scratch.call("pad", CASE, *few, "--figure", "pad.txt").returncode == 4, "no picture's name")

    # Layers of the specimen are those that `tissue` prints at the monitor's frequency.
    names, thick = ("skin_wet", "fat", "muscle"), (1.5, 8, None)
    layers = '[{tissue="skin_wet", thickness_mm=1.5}, {tissue="fat", thickness_mm=8}, {tissue="%s"}]'
    pad = "[pad]\npeeled = [0]\ncontact_S_m2 = 1000\nmonitor_kHz = 100\n"
    text = pad + "[specimen]\ndepth_mm = 60\nlayers = "
    (scratch.path / "specimen.toml").write_text(text + layers % "muscle" + "\n", encoding="utf-8")
    done = scratch.call("pad", "specimen.toml", "--json")
    checks.that(done.returncode == 0, "the layers of the specimen are taken", done)
    spectra = {row["name"]: row for row in json.loads(scratch.call("tissue", "--at", 100, "--json").stdout)["tissues"]}
    stated = pad
    for name, thickness in zip(names, thick):
        stated += "[[pad.layer]]\n" + (f"thickness_mm = {thickness}\n" if thickness else "")
        stated += "".join(f"{key} = {spectra[name][key]!r}\n" for key in ("conductivity_S_m", "relative_permittivity"))
    (scratch.path / "stated.toml").write_text(stated, encoding="utf-8")
    own, same = (complex(*json.loads(scratch.call("pad", name, "--json").stdout)["ohm"][0])
                 for name in ("specimen.toml", "stated.toml"))
    checks.that(abs(own / same - 1) < 1e-9, f"{own} by the specimen, {same} as stated")
    (scratch.path / "potato.toml").write_text(text + layers % "potato" + "\n", encoding="utf-8")
    checks.refused(scratch.call("pad", "potato.toml"), 2, "potato.toml:7", "has no spectrum", "[[pad.layer]]")

    low = scratch.call("pad", "specimen.toml", "--set", "pad.monitor_kHz=0.001")
    checks.refused(low, 2, "pad.monitor_kHz", "is below the spectra", "0.01 [kHz]")

    def refused(texts, *changes):
        words = [word for change in changes for word in ("--set", change)]
        checks.refused(scratch.call("pad", CASE, *words), 2, *texts)

    refused(["pad.contact_nF_cm2 is given beside contact_S_m2"], "pad.contact_nF_cm2=1")
    refused(["> 0", "contact_nF_cm2"], "pad.contact_nF_cm2=-1")
    refused([">= 0", "peeled"], "pad.peeled=[0, 1]")
    refused(["pad.peeled does not rise"], "pad.peeled=[0.3, 0]")
    refused(["> 0", "gap_mm"], "pad.gap_mm=0")
    refused(["pad.low_ohm is not below high_ohm"], "pad.low_ohm=200")
    refused(["pad.layer is missing"], "pad.layer=[]")
    refused(["is missing above another layer"], "pad.layer=[{conductivity_S_m=1},{conductivity_S_m=1}]")
    refused(["one of along, across"], "pad.peel=down")
    refused(["pad.half_mm is no size"], "pad.half_mm=[50]")
    checks.refused(scratch.call("pad", "case.toml"), 2, "missing pad")
checks.finish()
