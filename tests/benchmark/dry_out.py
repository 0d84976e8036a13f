#!/usr/bin/python3
"""How far the default grid and that of sweeps are from a finer one where contacts dry out; prints a Markdown table.

Eight contacts, perfect ones and ones of touching spots, of 1 to 6 mm radius, at a constant power with a limit of 120 V
rms: six pass half their power within the activation, the others stay wet. With the physics that peers solve (boiling at
one temperature, no vapour, nothing pressed out) and with everything on.
Environment: DRYFRONT, in place of build/release/dryfront.
"""
import json
import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

TREE = Path(__file__).resolve().parents[2]
BINARY = os.environ.get("DRYFRONT", str(TREE / "build" / "release" / "dryfront"))
#           contact, radius mm, W, s
CONTACTS = [("perfect", 1, 4, 2.5), ("perfect", 2, 9, 7), ("perfect", 4, 40, 9), ("perfect", 6, 75, 12),
            ("spots", 1, 5, 5.5), ("spots", 2, 17, 8), ("spots", 4, 55, 11), ("spots", 6, 95, 10)]
PEERS = [f"physics.{switch}=false" for switch in ("bound_water", "vapour", "pressed_out_water", "rim_arcing", "arcing",
                                                  "eschar", "breakdown", "perfusion")]
FINE = ["grid.fine_mm=0.00875", "grid.growth=1.05", "grid.coarse_mm=1"]
GRIDS = {"default": [], "sweeps": ["grid.fine_mm=0.05", "grid.growth=1.12", "time.tolerance=4"]}
CASE = """title = "dry-out"
question = "When has the power fallen to its half?"
[specimen]
tissue = "liver_ex_vivo"
radius_mm = 30
depth_mm = 30
start_C = 20
[electrode]
shape = "disc"
radius_mm = {radius}
contact = "{contact}"
{heat}
[[mode]]
name = "mode"
activation_s = {seconds}
after_s = 0
waveform = {{ kind = "continuous" }}
source = {{ kind = "constant_power", setting_W = {power}, peak_limit_V = 169.7 }}
[output]
frames = 1
"""


def run(contact, radius, power, seconds, settings):
    """The mode's summary, with the time at which the power passes its half, the cells and the CPU seconds."""
    heat = 'heat = "film"\nheat_W_m2K = 25' if contact == "perfect" else ""
    with tempfile.NamedTemporaryFile("w", suffix=".toml") as file:
        file.write(CASE.format(radius=radius, contact=contact, heat=heat, seconds=seconds, power=power))
        file.flush()
        words = [BINARY, "run", file.name, "--out", "-", "--json", "--quiet", "--threads", "1"]
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(words + [word for setting in settings for word in ("--set", setting)],
                              capture_output=True, text=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode != 0:
        sys.exit(f"exit code {done.returncode}\n{done.stderr}")
    summary = json.loads(done.stdout)
    mode = summary["modes"][0]
    mode["cells"] = summary["cells"]
    mode["cpu_s"] = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    mode["half_s"] = None
    times, powers = mode["trace"]["t_s"], mode["trace"]["power_W"]
    for k in range(1, len(times)):
        if powers[k] < power / 2 <= powers[k - 1]:
            share = (powers[k - 1] - power / 2) / (powers[k - 1] - powers[k])
            mode["half_s"] = times[k - 1] + share * (times[k] - times[k - 1])
            break
    return mode


def off(found, exact):
    return "-" if found is None or exact is None else f"{100 * (found / exact - 1):+.2f} %"


def main():
    print("| physics | contact | radius mm | W | half power s | depth mm | grid | cells | steps | CPU s "
          "| its half power | its depth | its load at the end |")
    print("|---|---|---|---|---|---|---|---|---|---|---|---|---|")
    for physics, switches in (("as peers", PEERS), ("all on", [])):
        for contact, radius, power, seconds in CONTACTS:
            tolerance = "time.tolerance=0.25" if switches else "time.tolerance=1"
            exact = run(contact, radius, power, seconds, [*switches, *FINE, tolerance])
            half = "-" if exact["half_s"] is None else f"{exact['half_s']:.3f}"
            depth = exact["depth_mm"]["coagulation"]
            for name, settings in GRIDS.items():
                mode = run(contact, radius, power, seconds, [*switches, *settings])
                load = off(mode["resistance_ohm"]["end"], exact["resistance_ohm"]["end"]) if half == "-" else "-"
                print(f"| {physics} | {contact} | {radius} | {power} | {half} | {depth:.3f} | {name} | {mode['cells']} "
                      f"| {mode['steps']} | {mode['cpu_s']:.2f} | {off(mode['half_s'], exact['half_s'])} "
                      f"| {off(mode['depth_mm']['coagulation'], depth)} | {load} |", flush=True)


if __name__ == "__main__":
    main()
