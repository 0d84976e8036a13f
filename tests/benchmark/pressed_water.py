#!/usr/bin/env python3
"""How far pressed-out water moves depths, dry-out and load of one continuous mode, on faces that stay wet and that dry.

tests/benchmark/pressed_water.py [--only WORD ...]     the cases whose name holds a word; prints a table in Markdown

Beside every diffusivity stands a control: no water pressed out, but the capillary diffusivity raised by as much. It
shows what the flow between cells does, the surface aside. Environment: DRYFRONT_BINARY.
"""
import argparse
import json
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

TREE = Path(__file__).resolve().parent.parent.parent
BINARY = os.environ.get("DRYFRONT_BINARY", str(TREE / "build" / "release" / "dryfront"))
MOMENTS = (5, 10, 15)
FACES = {"1 mm, wet": (1, 2), "1 mm, drying": (1, 10), "3 mm, wet": (3, 15), "3 mm, drying": (3, 40),
         "6 mm, wet": (6, 60), "6 mm, drying": (6, 150)}  # radius [mm], power [W]
NEW = ["physics.bound_water=true", "physics.vapour=true"]
FINE = ["grid.fine_mm=0.0125"]
CAPILLARY = 8e-10  # of liver_ex_vivo


def variants(name):
    def pressed(D):
        return ["physics.pressed_out_water=true", f"physics.pressed_m2_s={D:g}"]

    yield f"{name}: off", []
    for D in (3e-10, 1e-9, 1e-8):
        yield f"{name}: {D:g}", pressed(D)
    yield f"{name}: off, capillary 1e-8 more", [f"tissue.liver_ex_vivo.moisture_m2_s={CAPILLARY + 1e-8:g}"]


def tasks():
    for name, (radius, power) in FACES.items():
        base = [f"electrode.radius_mm={radius}", f"mode.0.source.setting_W={power}", "mode.0.activation_s=15"]
        for label, more in variants(name):
            yield label, base + more
        if name.startswith("3 mm"):
            for label, more in variants(f"{name}, fine cells"):
                yield label, base + FINE + more
        if name in ("1 mm, drying", "3 mm, wet", "3 mm, drying"):
            for label, more in variants(f"{name}, bound water and vapour"):
                yield label, base + NEW + more


def at(times, values, moment):
    k = next((k for k, t in enumerate(times) if t >= moment * (1 - 1e-9)), len(times) - 1)
    share = (moment - times[k - 1]) / (times[k] - times[k - 1])
    return values[k - 1] + min(1, share) * (values[k] - values[k - 1])


def run(task):
    label, settings = task
    words = [BINARY, "run", "cases/small_contacts.toml", "--out", "-", "--json", "--quiet", "--threads", "1"]
    done = subprocess.run(words + [word for s in settings for word in ("--set", s)], cwd=TREE, capture_output=True,
                          text=True, check=False)
    print(label, done.returncode, done.stderr[-300:] if done.returncode else "", file=sys.stderr, flush=True)
    if done.returncode:
        return label, None
    return label, json.loads(done.stdout)["modes"][0]


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", nargs="+", default=[""])
    only = parser.parse_args().only
    with ThreadPoolExecutor(2) as pool:
        done = list(pool.map(run, [task for task in tasks() if any(word in task[0] for word in only)]))
    print("| case | coagulation mm at 5, 10, 15 s | desiccation mm | dry-out s | load at 5, 10, 15 s ohm | peak C "
          "| pressed out mg | boiled mg | ledgers, energy and water |")
    print("|" + "---|" * 9)
    for label, mode in done:
        if mode is None:
            print(f"| {label} | failed |")
            continue
        trace, ledger = mode["trace"], mode["ledger"]
        row = [label] + [" ".join(f"{at(trace['t_s'], trace['greatest_depth_mm'][e], t):.4f}" for t in MOMENTS)
                         for e in ("coagulation", "desiccation")]
        row.append("-" if mode["dry_out_s"] is None else f"{mode['dry_out_s']:.3f}")
        row.append(" ".join(f"{at(trace['t_s'], trace['resistance_ohm'], t):.5g}" for t in MOMENTS))
        row.append(f"{mode['peak_C']:.1f}")
        row += [f"{1e6 * ledger['terms'].get(k, 0):.3f}" for k in ("pressed_out_kg", "water_boiled_kg")]
        row.append(f"{ledger['energy']:.1e} {ledger['water']:.1e}")
        print("| " + " | ".join(row) + " |")


if __name__ == "__main__":
    main()
