"""What the comparisons share: running the program, holding its case to the peers' problem, printing the table."""

import json
import math
import os
import pathlib
import resource
import subprocess
import sys
import tomllib

from _peers import PROBLEMS, probe_points

HERE = pathlib.Path(__file__).resolve().parent
SKIPPED = 77


def binary():
    """Path of the program: DRYFRONT_BINARY (set by ctest) or DRYFRONT."""
    path = os.environ.get("DRYFRONT_BINARY") or os.environ.get("DRYFRONT")
    if not path or not os.access(path, os.X_OK):
        sys.exit(f"set DRYFRONT to the path of the dryfront program (now: {path!r})")
    return path


def run_dryfront(case, settings=None, threads=1):
    """Runs a case; returns (the mode of the summary, CPU seconds of the whole process, the summary)."""
    command = [binary(), "run", str(case), "--json", "--out", "-", "--threads", str(threads)]
    for key, value in (settings or {}).items():
        command += ["--set", f"{key}={value}"]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    run = subprocess.run(command, capture_output=True, text=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if run.returncode != 0:
        sys.exit(f"{' '.join(command)}\nended with {run.returncode}:\n{run.stderr[-3000:]}")
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    summary = json.loads(run.stdout)
    mode = summary["modes"][0]
    if not mode["completed"]:
        sys.exit(f"{case}: the run did not complete")
    return mode, cpu, summary


def at_time(times, values, t):
    """Linear between the two records around t; the records have to reach t."""
    for n in range(1, len(times)):
        if times[n] >= t - 1e-9:
            share = (t - times[n - 1]) / (times[n] - times[n - 1])
            return values[n - 1] + min(share, 1.0) * (values[n] - values[n - 1])
    sys.exit(f"the run ends at {times[-1]} s, before {t} s")


def probe_temperatures(mode, t=None):
    """The 21 probes in the order of probe_points() [C], at time t or at the end."""
    out = []
    for n in range(len(probe_points())):
        record = mode["probes"][f"p{n:02d}"]
        out.append(record["temperature_C"][-1] if t is None else at_time(record["t_s"], record["temperature_C"], t))
    return out


def check_case_states_problem(name):
    """Every number of problems.json that a case file can state, against <name>.toml: the comparison is worth nothing if
    they differ."""
    case = tomllib.loads((HERE / f"{name}.toml").read_text())
    problem, damage = PROBLEMS[name], PROBLEMS["damage"]
    tissue, mode = case["tissue"]["peer"], case["mode"][0]
    pairs = [
        ("electrode.radius_mm", case["electrode"]["radius_mm"], 1e3 * problem["electrode_radius_m"]),
        ("specimen.radius_mm", case["specimen"]["radius_mm"], 1e3 * problem["radius_m"]),
        ("specimen.depth_mm", case["specimen"]["depth_mm"], 1e3 * problem["depth_m"]),
        ("specimen.start_C", case["specimen"]["start_C"], problem["start_C"]),
        ("specimen.air_W_m2K", case["specimen"]["air_W_m2K"], 0),
    ]
    pairs += [(f"tissue.peer.{key}", tissue[key], problem[key]) for key in problem if key in tissue]
    pairs += [
        (f"damage.{key}", case["damage"][0][key], damage[key]) for key in ("frequency_1_s", "energy_J_mol", "floor_C")
    ]
    if "voltage_V" in problem:
        pairs += [
            ("rms_V", mode["source"]["rms_V"], problem["voltage_V"]),
            ("activation_s", mode["activation_s"], problem["end_s"]),
        ]
    else:
        pairs += [("setting_W", mode["source"]["setting_W"], problem["power_W"])]
    pairs += [
        (f"probe {p['name']}", [p["r_mm"], p["z_mm"]], list(point)) for p, point in zip(case["probe"], probe_points())
    ]
    wrong = [f"{what}: case {a}, peers {b}" for what, a, b in pairs if a != b]
    if wrong or len(case["probe"]) != len(probe_points()):
        sys.exit(f"{name}.toml does not state the peers' problem:\n  " + "\n  ".join(wrong))


class Table:
    """Rows of what, reference, computed, difference, allowed; remembers whether one was out."""

    def __init__(self, title):
        self.failed = 0
        self.rows = 0
        print(f"\n{title}\n{'':44} {'reference':>12} {'computed':>12} {'difference':>11} {'allowed':>9}")

    def row(self, what, reference, computed, allowed, scale=None):
        """`allowed` is a share of `scale` (the reference itself unless given)."""
        scale = abs(reference) if scale is None else scale
        difference = (computed - reference) / scale
        fine = math.isfinite(difference) and abs(difference) <= allowed
        self.failed += not fine
        self.rows += 1
        print(
            f"{what:44} {reference:12.5f} {computed:12.5f} {100 * difference:+10.4f}% {100 * allowed:8.3f}%"
            f"{'' if fine else '  DISAGREES'}"
        )


def finish(tables, left_out=""):
    failed, rows = sum(t.failed for t in tables), sum(t.rows for t in tables)
    print(f"\n{rows - failed} passed, {failed} failed")
    if failed:
        sys.exit(1)
    if left_out:
        print(left_out)
        sys.exit(SKIPPED)
