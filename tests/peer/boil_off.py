"""Cross-check with boil-off at constant power to dry-out: the program against finite volumes in SciPy.

Dry-out is the moment at which the load has risen to three times its start (and, given as well, twice). On the way, at
fixed times before it, temperatures, load and depth of coagulation are compared. The reference is extrapolated in the
cell size at the contact, to which the dry-out time is most sensitive: 1.5 um of dry tissue over the whole face doubles
the load. Its `uncertainty` is the peers' own convergence; a difference may be as large as that and 0.2 %.
"""

import json

import numpy as np

from _boil_off_scipy import crossing
from _compare import HERE, PROBLEMS, Table, at_time, check_case_states_problem, finish, probe_temperatures, run_dryfront
from _peers import boil_off, probe_points

AGREEMENT = 0.002


def against(title, reference, found):
    table, doubt, start = Table(title), reference["uncertainty"], PROBLEMS["boil_off"]["start_C"]
    for key, what in (
        ("resistance_start_ohm", "resistance at the start [ohm]"),
        ("resistance_least_ohm", "least resistance [ohm]"),
        ("double_s", "load at twice its start [s]"),
        ("treble_s", "load at three times its start [s]"),
    ):
        table.row(what, reference[key], found[key], AGREEMENT + doubt[key])
    for wanted, moment, unsure in zip(reference["snapshots"], found["snapshots"], doubt["snapshots"]):
        at = f"at {wanted['t_s']:g} s"
        rise = max(wanted["probe_C"]) - start
        worst = int(np.argmax(np.abs(np.array(moment["probe_C"]) - wanted["probe_C"])))
        r, z = probe_points()[worst]
        table.row(
            f"{at}: worst probe, r {r} mm, z {z} mm [C]",
            wanted["probe_C"][worst],
            moment["probe_C"][worst],
            AGREEMENT + unsure["probe_K"] / rise,
            scale=rise,
        )
        table.row(
            f"{at}: resistance [ohm]",
            wanted["resistance_ohm"],
            moment["resistance_ohm"],
            AGREEMENT + unsure["resistance_ohm"],
        )
        if wanted["depth_mm"] > 0:
            table.row(
                f"{at}: depth of coagulation [mm]",
                wanted["depth_mm"],
                moment["depth_mm"],
                AGREEMENT + unsure["depth_mm"],
            )
    return table


def from_dryfront(drive, reference):
    """The same keys as the peers' result, from the program's trace and probes."""
    times, loads = drive["trace"]["t_s"], drive["trace"]["resistance_ohm"]
    depth = drive["trace"]["greatest_depth_mm"]["coagulation"]
    start = drive["resistance_ohm"]["start"]
    return {
        "resistance_start_ohm": start,
        "resistance_least_ohm": drive["resistance_ohm"]["least"],
        "double_s": crossing(times, loads, 2 * start),
        "treble_s": crossing(times, loads, 3 * start),
        "snapshots": [
            {
                "probe_C": probe_temperatures(drive, moment["t_s"]),
                "resistance_ohm": at_time(times, loads, moment["t_s"]),
                "depth_mm": at_time(times, depth, moment["t_s"]),
            }
            for moment in reference["snapshots"]
        ],
    }


def main():
    check_case_states_problem("boil_off")
    reference = json.loads((HERE / "reference_boil_off.json").read_text())
    drive, cpu, summary = run_dryfront(HERE / "boil_off.toml")
    moments = [moment["t_s"] for moment in reference["snapshots"]]
    peer = boil_off(fine=0.75e-6, slope=0.1, longest=0.04, snapshots=moments)
    finish(
        [
            against(
                f"boil_off: SciPy, {peer['cells']} cells, {peer['steps']} steps, {peer['cpu_s']:.2f} CPU s",
                reference,
                peer,
            ),
            against(
                f"boil_off: dryfront, {summary['cells']} cells, {drive['steps']} steps, {cpu:.2f} CPU s",
                reference,
                from_dryfront(drive, reference),
            ),
        ]
    )


if __name__ == "__main__":
    main()
