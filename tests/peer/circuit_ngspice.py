"""The circuit of the stray current against a general circuit simulator, ngspice (Debian), as a small-signal analysis at
one frequency: both node voltages and the stray current, touching and open, over kept-apart circuits drawn at random.
"""
import json
import math
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

PROGRAM = os.environ["DRYFRONT_BINARY"]
if shutil.which("ngspice") is None:
    print("skipped: ngspice is missing (scripts/install peer)")
    sys.exit(77)


def netlist(kHz, volts, c, tip):
    gap = f"Cgap t b {c['gap_pF']}p" if tip == "open" else f"Rt t b {c['tissue_ohm']}"
    return f"""stray current
V1 e 0 AC {volts!r}
Rs e a {c['source_ohm']}
Cg a 0 {c['ground_pF']}p
L a t {c['lead_uH']}u
{gap}
Cc a x {c['beside_pF']}p
Rx x b {c['beside_ohm']}
Rp b 0 {c['return_ohm']}
Rleak t 0 1e15
.control
set numdgt=12
ac lin 1 {kHz}k {kHz}k
let stray=(v(x)-v(b))/{c['beside_ohm']}
print v(a) v(b) stray
.endc
.end
"""


def simulated(text, folder):
    path = Path(folder) / "net.cir"
    path.write_text(text, encoding="utf-8")
    out = subprocess.run(["ngspice", "-b", path], capture_output=True, text=True, timeout=60, check=False).stdout
    values = {}
    for name in (r"v\(a\)", r"v\(b\)", "stray"):
        found = re.search(name + r" = ([-+.\de]+),\s*([-+.\de]+)", out)
        values[name.replace("\\", "")] = complex(float(found[1]), float(found[2]))
    return values


def computed(kHz, watts, rated, c, tip, folder):
    case = Path(folder) / "case.toml"
    keys = "\n".join(f"{key} = {value}" for key, value in c.items())
    case.write_text(f"""[[mode]]
name = "one"
waveform = {{ kind = "continuous", carrier_kHz = {kHz} }}
source = {{ kind = "unregulated", setting_W = {watts}, rated_load_ohm = {rated} }}
[circuit]
tip = "{tip}"
{keys}
""", encoding="utf-8")
    done = subprocess.run([PROGRAM, "circuit", case, "--json"], capture_output=True, text=True, timeout=60, check=True)
    line = json.loads(done.stdout)["modes"][0]["harmonics"][0]
    return {"v(a)": complex(*line["tip_node_V"]), "v(b)": complex(*line["body_V"]), "stray": complex(*line["stray_A"])}


def main():
    draw = random.Random(1)
    worst = 0
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(10):
            rated, watts = draw.choice([200, 500, 800]), draw.uniform(10, 120)
            c = {"source_ohm": rated, "ground_pF": round(draw.uniform(20, 300), 1),
                 "lead_uH": round(draw.uniform(0.5, 10), 2), "tissue_ohm": round(draw.uniform(50, 2000), 1),
                 "gap_pF": round(draw.uniform(0.2, 5), 2), "beside_pF": round(draw.uniform(5, 200), 1),
                 "beside_ohm": round(draw.uniform(10, 1000), 1), "return_ohm": round(draw.uniform(5, 60), 1)}
            kHz = draw.choice([300, 400, 500, 1000])
            for tip in ("touching", "open"):
                reference = simulated(netlist(kHz, 2 * math.sqrt(watts * rated), c, tip), folder)
                ours = computed(kHz, watts, rated, c, tip, folder)
                for name, value in reference.items():
                    worst = max(worst, abs(ours[name] - value) / abs(value))
    print(f"greatest difference {worst:.1e} of the value")
    sys.exit(0 if worst < 1e-6 else 1)


if __name__ == "__main__":
    main()
