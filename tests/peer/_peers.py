"""Runs the peers: one function each, same keys in the result, so that references and comparisons do not care which."""

import json
import math
import os
import pathlib
import subprocess

import _boil_off_scipy as boil_off_scipy
import _heated_disc_scipy as heated_disc_scipy

HERE = pathlib.Path(__file__).resolve().parent
PROBLEMS = json.loads((HERE / "problems.json").read_text())
SINGLE_THREAD = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}


def probe_points():
    """(r, z) of the 21 probes [mm], in the order of every probe list."""
    return [(r, z) for z in PROBLEMS["probes"]["z_mm"] for r in PROBLEMS["probes"]["r_mm"]]


def free_fem(script, name, settings):
    """Runs a FreeFEM script on a problem; returns what it prints. CPU seconds with mesh generation, without the
    program's start (0.02 s)."""
    arguments = {k: v for k, v in {**PROBLEMS[name], **PROBLEMS["damage"]}.items() if isinstance(v, (int, float))}
    arguments |= settings
    for axis in "rz":
        values = PROBLEMS["probes"][axis + "_mm"]
        arguments["probes_" + axis] = len(values)
        arguments |= {f"{axis}{i}": value for i, value in enumerate(values)}
    words = [str(word) for pair in arguments.items() for word in pair]
    run = subprocess.run(
        ["FreeFem++", "-nw", "-v", "0", str(HERE / script), *words],
        env={**os.environ, **SINGLE_THREAD},
        capture_output=True,
        text=True,
    )
    if run.returncode != 0:
        raise RuntimeError(f"FreeFem++ failed ({run.returncode}): {run.stdout[-2000:]} {run.stderr[-2000:]}")
    return json.loads(run.stdout[run.stdout.index("{") :])


def finite_elements(name, level, steps_level=None):
    """FreeFEM, quadratic elements. Twice the level halves cells and steps and cuts the finest cell to a sixteenth, so
    that the edge singularity never dominates.
    """
    settings = {
        "grade": 0.7 / level,
        "finest_m": 2e-5 / level**4,
        "longest_s": 0.6 / (steps_level or level),
        "levels": 5,
    }
    return free_fem("_heated_disc.edp", name, settings)


def boil_off_elements(level, snapshots):
    """FreeFEM, linear elements, constant power to dry-out. Twice the level halves the elements at the contact, the
    steps and the square of the growth by which elements widen with distance, so that every error falls by about a half.
    Same keys as `boil_off`."""
    settings = {
        "fine_m": 3e-6 / level,
        "slope": 0.2 / math.sqrt(level),
        "longest_s": 0.08 / level,
        "change": 0.08 / level,
        "ratio": 3,
        "moments": len(snapshots),
        **{f"moment{n}": t for n, t in enumerate(snapshots)},
    }
    found = free_fem("_boil_off.edp", "boil_off", settings)
    for moment, ohm in zip(found["snapshots"], found["moment_ohm"]):
        moment["resistance_ohm"] = ohm
    return found


def finite_volumes(name, level, steps_level=None):
    """SciPy, no boiling. CPU seconds without the imports."""
    settings = heated_disc_scipy.resolution(level)
    if steps_level:
        settings["longest"] = heated_disc_scipy.resolution(steps_level)["longest"]
    return heated_disc_scipy.solve(PROBLEMS, name, **settings)


def boil_off(fine, slope, longest, passes=1, snapshots=()):
    """SciPy, constant power to dry-out. `fine` [m]: cells at the contact and edge, growing by `slope` per distance."""
    return boil_off_scipy.solve(
        PROBLEMS,
        "boil_off",
        fine=fine,
        slope=slope,
        coarse=0.015 * slope,
        longest=longest,
        change=longest,
        passes=passes,
        snapshots=snapshots,
    )
