"""Cross-check with boil-off at constant power to dry-out: the program against finite volumes in SciPy and linear finite
elements in FreeFEM.

Dry-out is the moment at which the load has risen to three times its start (and, given as well, twice). On the way, at
fixed times before it, temperatures, load, depth of coagulation and (elements only) of dryness are compared. Both
references are extrapolated; 1.5 um of dry tissue over the whole face doubles the load, so that its elements count most.
The reference is the mean of the two; its uncertainty the larger of their difference and of each one's own convergence.
The program is run at steps as fine as the peers', where it may differ by that and 0.2 %, and at the steps it takes by
itself, where it may differ by 0.5 % (5 % in the depth of dryness, some um of a tenth of a millimetre).
"""

import json
import shutil

import numpy as np

from _boil_off_scipy import crossing
from _compare import HERE, PROBLEMS, Table, at_time, check_case_states_problem, finish, probe_temperatures, run_dryfront
from _peers import boil_off, boil_off_elements, probe_points

AGREEMENT, AT_OWN_STEPS, DRYNESS_AT_OWN_STEPS = 0.002, 0.005, 0.05
FINE_STEPS = {"time.tolerance": 0.3, "time.longest_s": 0.01}


def mean_of(one, other):
    """Mean of two references, with the larger of their difference and of each one's own uncertainty; what only one of
    them has is taken from it."""

    def merged(a, b, doubt_a, doubt_b):
        value, doubt = {**a, **b}, {**doubt_a, **doubt_b}
        for key in doubt_a.keys() & doubt_b.keys() - {"snapshots", "probe_K"}:
            value[key] = 0.5 * (a[key] + b[key])
            apart = abs(a[key] - b[key]) / value[key] if value[key] else 0.0
            doubt[key] = max(apart, doubt_a[key], doubt_b[key])
        if "probe_C" in a:
            value["probe_C"] = [0.5 * (x + y) for x, y in zip(a["probe_C"], b["probe_C"])]
            apart = max(abs(x - y) for x, y in zip(a["probe_C"], b["probe_C"]))
            doubt["probe_K"] = max(apart, doubt_a["probe_K"], doubt_b["probe_K"])
        return value, doubt

    value, doubt = merged(one, other, one["uncertainty"], other["uncertainty"])
    pairs = zip(
        one["snapshots"], other["snapshots"], one["uncertainty"]["snapshots"], other["uncertainty"]["snapshots"]
    )
    moments = [merged(*pair) for pair in pairs]
    value["snapshots"], doubt["snapshots"] = [m[0] for m in moments], [m[1] for m in moments]
    value["uncertainty"] = doubt
    return value


def against(title, reference, found, agreement=AGREEMENT, dryness=AGREEMENT):
    table, start = Table(title), PROBLEMS["boil_off"]["start_C"]
    doubt = reference["uncertainty"]
    for key, what in (
        ("resistance_start_ohm", "resistance at the start [ohm]"),
        ("resistance_least_ohm", "least resistance [ohm]"),
        ("double_s", "load at twice its start [s]"),
        ("treble_s", "load at three times its start [s]"),
    ):
        table.row(what, reference[key], found[key], agreement + doubt[key])
    for wanted, moment, unsure in zip(reference["snapshots"], found["snapshots"], doubt["snapshots"]):
        at = f"at {wanted['t_s']:g} s"
        rise = max(wanted["probe_C"]) - start
        worst = int(np.argmax(np.abs(np.array(moment["probe_C"]) - wanted["probe_C"])))
        r, z = probe_points()[worst]
        table.row(
            f"{at}: worst probe, r {r} mm, z {z} mm [C]",
            wanted["probe_C"][worst],
            moment["probe_C"][worst],
            agreement + unsure["probe_K"] / rise,
            scale=rise,
        )
        table.row(
            f"{at}: resistance [ohm]",
            wanted["resistance_ohm"],
            moment["resistance_ohm"],
            agreement + unsure["resistance_ohm"],
        )
        if wanted["depth_mm"] > 0:
            table.row(
                f"{at}: depth of coagulation [mm]",
                wanted["depth_mm"],
                moment["depth_mm"],
                agreement + unsure["depth_mm"],
            )
        if "dry_depth_mm" in unsure and "dry_depth_mm" in moment and wanted["dry_depth_mm"] > 0:
            table.row(
                f"{at}: depth of dryness [mm]",
                wanted["dry_depth_mm"],
                moment["dry_depth_mm"],
                dryness + unsure["dry_depth_mm"],
            )
    return table


def from_dryfront(mode, reference):
    """The same keys as the peers' result, from the program's trace and probes."""
    times, loads = mode["trace"]["t_s"], mode["trace"]["resistance_ohm"]
    depth = mode["trace"]["greatest_depth_mm"]["coagulation"]
    dry = mode["trace"]["greatest_depth_mm"]["desiccation"]
    start = mode["resistance_ohm"]["start"]
    return {
        "resistance_start_ohm": start,
        "resistance_least_ohm": mode["resistance_ohm"]["least"],
        "double_s": crossing(times, loads, 2 * start),
        "treble_s": crossing(times, loads, 3 * start),
        "snapshots": [
            {
                "probe_C": probe_temperatures(mode, moment["t_s"]),
                "resistance_ohm": at_time(times, loads, moment["t_s"]),
                "depth_mm": at_time(times, depth, moment["t_s"]),
                "dry_depth_mm": at_time(times, dry, moment["t_s"]),
            }
            for moment in reference["snapshots"]
        ],
    }


def main():
    check_case_states_problem("boil_off")
    volumes = json.loads((HERE / "reference_boil_off.json").read_text())
    elements = json.loads((HERE / "reference_boil_off_elements.json").read_text())
    moments = [moment["t_s"] for moment in volumes["snapshots"]]
    reference = mean_of(volumes, elements)
    peer = boil_off(fine=0.75e-6, slope=0.1, longest=0.04, snapshots=moments)
    tables = [
        against(
            f"boil_off: SciPy, {peer['cells']} cells, {peer['steps']} steps, {peer['cpu_s']:.2f} CPU s, against its "
            "own reference",
            volumes,
            peer,
        ),
        against("boil_off: FreeFEM against SciPy, both extrapolated", volumes, elements),
    ]
    for what, settings, agreement, dryness in (
        ("fine steps", FINE_STEPS, AGREEMENT, AGREEMENT),
        ("its own steps", {}, AT_OWN_STEPS, DRYNESS_AT_OWN_STEPS),
    ):
        mode, cpu, summary = run_dryfront(HERE / "boil_off.toml", settings)
        title = f"boil_off: dryfront, {what}, {summary['cells']} cells, {mode['steps']} steps, {cpu:.2f} CPU s"
        tables.append(against(title, reference, from_dryfront(mode, reference), agreement, dryness))
    have_elements = shutil.which("FreeFem++") is not None
    if have_elements:
        level = boil_off_elements(1, moments)
        table = Table(
            f"boil_off: FreeFEM, level 1, {level['cells']} nodes, {level['steps']} steps, {level['cpu_s']:.2f} CPU s, "
            "against its stored run"
        )
        for key in ("resistance_start_ohm", "resistance_least_ohm", "double_s", "treble_s"):
            table.row(key, elements["study"][0][key], level[key], 1e-5)
        tables.append(table)
    finish(tables, "" if have_elements else "skipped: FreeFem++ is not installed (apt-get install freefem++)")


if __name__ == "__main__":
    main()
