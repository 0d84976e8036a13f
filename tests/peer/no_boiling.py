"""Cross-check without boiling, with and without perfusion: the program against two general-purpose toolkits.

The reference is what finite elements (FreeFEM, quadratic) and finite volumes (SciPy, extrapolated) agree on; it stands
in reference_*.json with how it was made. Agreement to 0.2 %: temperatures as a share of the probes' greatest rise,
load and depth of themselves. The peers are run here too, at a moderate resolution, so that the stored reference is held
against the scripts that made it.
"""

import json
import shutil

from _compare import HERE, PROBLEMS, Table, check_case_states_problem, finish, probe_temperatures, run_dryfront
from _peers import finite_elements, finite_volumes, probe_points

AGREEMENT = 0.002


def against(title, reference, probes, resistance_start, resistance_end, depth, axis_depth, allowed=AGREEMENT):
    table = Table(title)
    rise = max(reference["probe_C"]) - reference["start_C"]
    for (r, z), wanted, found in zip(probe_points(), reference["probe_C"], probes):
        table.row(f"temperature at r {r} mm, z {z} mm [C]", wanted, found, allowed, scale=rise)
    table.row("resistance at the start [ohm]", reference["resistance_start_ohm"], resistance_start, allowed)
    table.row("resistance at the end [ohm]", reference["resistance_end_ohm"], resistance_end, allowed)
    table.row("depth of coagulation [mm]", reference["depth_mm"], depth, allowed)
    table.row("depth of coagulation on the axis [mm]", reference["axis_depth_mm"], axis_depth, allowed)
    return table


def main():
    tables, have_elements = [], shutil.which("FreeFem++") is not None
    for name in ("no_boiling", "perfused"):
        check_case_states_problem(name)
        reference = json.loads((HERE / f"reference_{name}.json").read_text())
        reference["start_C"] = PROBLEMS[name]["start_C"]
        peers = [("finite volumes, SciPy, level 12", finite_volumes(name, 12))]
        if have_elements:
            peers.append(("finite elements, FreeFEM, level 4", finite_elements(name, 4)))
        for title, peer in peers:
            tables.append(
                against(
                    f"{name}: {title}, {peer['cells']} unknowns, {peer['cpu_s']:.2f} CPU s",
                    reference,
                    peer["probe_C"],
                    peer["resistance_start_ohm"],
                    peer["resistance_end_ohm"],
                    peer["depth_mm"],
                    peer["axis_depth_mm"],
                )
            )
        mode, cpu, summary = run_dryfront(HERE / f"{name}.toml")
        tables.append(
            against(
                f"{name}: dryfront, {summary['cells']} cells, {mode['steps']} steps, {cpu:.2f} CPU s",
                reference,
                probe_temperatures(mode),
                mode["resistance_ohm"]["start"],
                mode["resistance_ohm"]["end"],
                mode["depth_mm"]["coagulation"],
                mode["axis_depth_mm"]["coagulation"],
            )
        )
    finish(tables, "" if have_elements else "skipped: FreeFem++ is not installed (apt-get install freefem++)")


if __name__ == "__main__":
    main()
