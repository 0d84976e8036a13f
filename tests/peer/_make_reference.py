"""Makes reference_<problem>.json: the converged answer, and how far the peers are from agreeing on it.

    /usr/bin/python3 tests/peer/_make_reference.py no_boiling | perfused | boil_off | boil_off_elements

Five to twenty CPU minutes.

no_boiling, perfused. Finite volumes at three levels (perfused 8, 12, 16; no_boiling, to which the work-precision
curves are held, 12, 16, 24) extrapolated at second order (everything refined together), and quadratic finite elements
at level 6 or 8 with steps halved once more. The reference is the mean of the two; `uncertainty` is the larger of their
difference and of what the extrapolation moved from the coarser to the finer two levels.

boil_off. Finite volumes with contact cells of 0.75 um, corrected by the moves that half the contact cells, a finer
grading and half the steps cause; `uncertainty` is the sum of those moves.

boil_off_elements. The same by linear finite elements at levels 1, 2 and 4, everything refined together; the last two
extrapolated at order 1; `uncertainty` is the larger of the last move and half the one before.
"""

import json
import subprocess
import sys

import numpy as np
import scipy

from _peers import HERE, PROBLEMS, boil_off, boil_off_elements, finite_elements, finite_volumes

SCALARS = ["centre_C", "hottest_C", "resistance_start_ohm", "resistance_end_ohm", "depth_mm", "axis_depth_mm"]
MOMENTS = [3, 7, 9, 10]
BOILING_SCALARS = ["resistance_start_ohm", "resistance_least_ohm", "double_s", "treble_s"]
MOMENT_SCALARS = ["resistance_ohm", "depth_mm", "dry_depth_mm", "water_lost_mm3"]


def versions():
    listed = subprocess.run(["dpkg-query", "-W", "-f", "${Version}", "freefem++"], capture_output=True, text=True)
    return {"freefem++": listed.stdout, "numpy": np.__version__, "scipy": scipy.__version__}


def as_vector(result):
    return np.array([*result["probe_C"], *[result[key] for key in SCALARS]])


def no_boiling(name):
    fine = name == "no_boiling"
    volumes = {level: finite_volumes(name, level) for level in ((6, 8, 12, 16, 24) if fine else (6, 8, 12, 16))}
    elements = {level: finite_elements(name, level, 2 * level) for level in ((4, 6, 8) if fine else (4, 6))}

    def extrapolated(a, b):
        return (as_vector(volumes[b]) * b * b - as_vector(volumes[a]) * a * a) / (b * b - a * a)

    a, b, c = list(volumes)[-3:]
    last, before, fem = extrapolated(b, c), extrapolated(a, b), as_vector(elements[max(elements)])
    value = 0.5 * (last + fem)
    doubt = np.maximum(np.abs(last - fem), np.abs(last - before))
    study = [
        {
            "method": method,
            "level": level,
            "unknowns": r["cells"],
            "cpu_s": round(r["cpu_s"], 3),
            "probe_error_K": float(np.abs(as_vector(r) - value)[:21].max()),
            "resistance_end_ohm": r["resistance_end_ohm"],
            "depth_mm": r["depth_mm"],
        }
        for method, runs in (("finite volumes", volumes), ("finite elements", elements))
        for level, r in runs.items()
    ]
    return {
        "how": f"mean of finite volumes (levels {b} and {c}, extrapolated at order 2) and quadratic finite elements "
        f"(level {max(elements)}, steps of level {2 * max(elements)}); uncertainty: the larger of their difference and "
        "of the extrapolation's last move; made by _make_reference.py",
        "versions": versions(),
        "probe_C": value[:21].tolist(),
        **dict(zip(SCALARS, value[21:].tolist())),
        "uncertainty": {"probe_K": float(doubt[:21].max()), **dict(zip(SCALARS, doubt[21:].tolist()))},
        "study": study,
    }


def boiling():
    runs = {}

    def run(fine_um, slope, longest):
        key = (fine_um, slope, longest)
        if key not in runs:
            runs[key] = boil_off(fine_um * 1e-6, slope, longest, snapshots=MOMENTS)
            print(key, runs[key]["cells"], runs[key]["cpu_s"], runs[key]["treble_s"], file=sys.stderr, flush=True)
        return runs[key]

    def collect(r):
        return np.array(
            [
                r["resistance_start_ohm"],
                r["resistance_least_ohm"],
                r["double_s"],
                r["treble_s"],
                *[x for m in r["snapshots"] for x in (m["resistance_ohm"], m["depth_mm"], *m["probe_C"])],
            ]
        )

    base = run(0.75, 0.1, 0.02)
    contact = collect(run(0.375, 0.1, 0.02)) - collect(base)  # to half the contact cells: order 1
    grading = collect(run(1.5, 0.07, 0.02)) - collect(run(1.5, 0.1, 0.02))  # order 2
    steps = collect(run(0.75, 0.1, 0.01)) - collect(base)  # to half the step: order 1 at least
    value = collect(base) + 2 * contact + grading / (1 - 0.7**2) + steps
    doubt = np.abs(contact) + np.abs(grading) + np.abs(steps)
    for fine, slope in ((6, 0.2), (3, 0.2), (1.5, 0.2), (0.75, 0.2), (1.5, 0.15), (3, 0.1), (1.5, 0.1)):
        run(fine, slope, 0.02)

    keys = ["resistance_start_ohm", "resistance_least_ohm", "double_s", "treble_s"]
    wide = 2 + len(base["snapshots"][0]["probe_C"])
    snapshots, unsure = [], []
    for n, t in enumerate(MOMENTS):
        v, d = value[4 + n * wide : 4 + (n + 1) * wide], doubt[4 + n * wide : 4 + (n + 1) * wide]
        snapshots.append({"t_s": t, "resistance_ohm": v[0], "depth_mm": v[1], "probe_C": v[2:].tolist()})
        unsure.append({"resistance_ohm": d[0] / v[0], "depth_mm": d[1] / v[1], "probe_K": float(d[2:].max())})
    return {
        "how": "finite volumes: contact cells 0.75 um, grading 0.1, steps 20 ms, corrected by the moves to 0.375 um "
        "(doubled: order 1), from grading 0.1 to 0.07 at 1.5 um (doubled: order 2) and to steps of 10 ms; uncertainty "
        "(shares, probes in K): the sum of the absolute moves; made by _make_reference.py",
        "versions": versions(),
        **dict(zip(keys, value[:4].tolist())),
        "snapshots": snapshots,
        "uncertainty": {**dict(zip(keys, (doubt[:4] / value[:4]).tolist())), "snapshots": unsure},
        "study": [
            {
                "contact_um": f,
                "grading": s,
                "longest_s": t,
                "cells": r["cells"],
                "steps": r["steps"],
                "cpu_s": round(r["cpu_s"], 2),
                "first_boil_s": r["first_boil_s"],
                "double_s": r["double_s"],
                "treble_s": r["treble_s"],
            }
            for (f, s, t), r in sorted(runs.items())
        ],
    }


def boiling_elements():
    runs = {level: boil_off_elements(level, MOMENTS) for level in (1, 2, 4)}

    def collect(r):
        return np.array(
            [
                *[r[key] for key in BOILING_SCALARS],
                *[x for m in r["snapshots"] for x in (*[m[key] for key in MOMENT_SCALARS], *m["probe_C"])],
            ]
        )

    coarse, middle, fine = (collect(r) for r in runs.values())
    value, doubt = 2 * fine - middle, np.maximum(np.abs(fine - middle), 0.5 * np.abs(middle - coarse))
    wide = len(MOMENT_SCALARS) + len(runs[1]["snapshots"][0]["probe_C"])
    snapshots, unsure = [], []
    for n, t in enumerate(MOMENTS):
        v, d = (x[4 + n * wide : 4 + (n + 1) * wide] for x in (value, doubt))
        keys = dict(zip(MOMENT_SCALARS, v.tolist()))
        snapshots.append({"t_s": t, **keys, "probe_C": v[len(keys) :].tolist()})
        unsure.append(
            {
                **{key: float(x / y) if y else 0.0 for key, x, y in zip(MOMENT_SCALARS, d, v)},
                "probe_K": float(d[len(keys) :].max()),
            }
        )
    kept = ("cells", "steps", "thermal_solves", "cpu_s", "first_boil_s", *BOILING_SCALARS)
    return {
        "how": "linear finite elements, levels 2 and 4 extrapolated at order 1; uncertainty (shares, probes in K): the "
        "larger of the last move and half the one before; made by _make_reference.py",
        "versions": versions(),
        **dict(zip(BOILING_SCALARS, value[:4].tolist())),
        "snapshots": snapshots,
        "uncertainty": {**dict(zip(BOILING_SCALARS, (doubt[:4] / value[:4]).tolist())), "snapshots": unsure},
        "study": [{"level": level, **{key: r[key] for key in kept}} for level, r in runs.items()],
    }


def main():
    name = sys.argv[1] if len(sys.argv) == 2 else ""
    makers = {"boil_off": boiling, "boil_off_elements": boiling_elements}
    makers |= {each: lambda each=each: no_boiling(each) for each in ("no_boiling", "perfused")}
    if name not in makers:
        sys.exit(__doc__)
    reference = makers[name]()
    (HERE / f"reference_{name}.json").write_text(json.dumps(reference, indent=1) + "\n")


if __name__ == "__main__":
    main()
