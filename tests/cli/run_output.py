#!/usr/bin/env python3
"""What run writes: the JSON object alone on standard output, the run file with units and axes, nothing overwritten."""
import json
import math
import subprocess
from xml.etree import ElementTree

from _run_program import PROGRAM, Checks, Scratch

checks = Checks()


def check_run_file(path):
    """Every dataset has units, a long name and, along every dimension, a scale of the right length."""
    import h5py

    with h5py.File(path, "r") as file:
        for name in ("title", "question", "case_toml", "version", "source_revision", "started"):
            checks.that(isinstance(file.attrs[name], str) and file.attrs[name], f"root attribute {name}")
        checks.that(file.attrs["finished"] == 1, "finished = 1")
        checks.that(list(file["mode"].attrs["names"]) == ["continuous", "interrupted"], "order of the modes")
        expected = {f"grid/{name}" for name in ("r_m", "z_m", "r_face_m", "z_face_m")}
        for mode in ("continuous", "interrupted"):
            frame = ("t_s", "temperature_C", "water_fraction", "peak_temperature_C", "heating_W_m3", "potential_V",
                     "conductivity_S_m")
            trace = ("t_s", "resistance_ohm", "power_W", "rms_V", "peak_V", "current_A", "arcing_share", "surface_W")
            expected |= {f"mode/{mode}/frame/{name}" for name in frame}
            expected |= {f"mode/{mode}/trace/{name}" for name in trace}
            checks.that(any(name.startswith("omega_") for name in file[f"mode/{mode}/frame"]), "a damage field")
            checks.that("resistance_start_ohm" in file[f"mode/{mode}/summary"].attrs, "summary attributes")
            checks.that("crest_factor" in file[f"mode/{mode}/waveform"].attrs, "waveform attributes")
        found = set()

        def visit(name, item):
            if not isinstance(item, h5py.Dataset):
                return
            found.add(name)
            checks.that(
                bool(item.attrs.get("units")) and bool(item.attrs.get("long_name")), f"{name}: units, long_name")
            for k, dimension in enumerate(item.dims):
                scales = list(dimension.values())
                if h5py.h5ds.is_scale(item.id):
                    continue
                # NetCDF finds an axis only there.
                above = [item.parent]
                while above[-1].name != "/":
                    above.append(above[-1].parent)
                checks.that(
                    any(scale == group.get(scale.name.rsplit("/", 1)[1]) for scale in scales for group in above),
                    f"{name}: the scale of dimension {k} is in its group or above")
                checks.that(len(scales) == 1 and scales[0].shape == (item.shape[k],), f"{name}: scale of dimension {k}")
            if len(item.shape) == 3:
                checks.that(item.chunks == (1, *item.shape[1:]), f"{name}: one chunk per frame")
                checks.that(item.shape[0] == 9, f"{name}: the first frame and 8 more")

        file.visititems(visit)
        checks.that(expected <= found, f"missing: {sorted(expected - found)}")
        return {mode: dict(file[f"mode/{mode}/summary"].attrs) for mode in file["mode"]}


def check_sidecar(path):
    """Every piece of data the sidecar points at is in the run file with the shape it tells, and inside it."""
    import h5py

    domain = ElementTree.parse(path).getroot().find("Domain")
    grids = domain.findall("Grid")
    checks.that([grid.get("Name") for grid in grids] == ["continuous", "interrupted"], "a collection per mode")
    checks.that(all(len(grid.findall("Grid")) == 9 for grid in grids), "a grid per frame")
    with h5py.File(path.with_suffix(".h5"), "r") as file:
        for item in domain.iter("DataItem"):
            shape = tuple(int(n) for n in item.get("Dimensions").split())
            if item.get("Format") == "HDF":
                name, place = item.text.split(":")
                checks.that(name == "case.h5" and file[place].shape == shape, f"{item.text} has the shape {shape}")
                checks.that(file[place].dtype.itemsize == int(item.get("Precision")), f"{item.text}: precision")
            elif item.get("ItemType") == "HyperSlab":
                slab, whole = item.findall("DataItem")
                start, stride, count = (tuple(map(int, slab.text.split()[k:k + 3])) for k in (0, 3, 6))
                size = tuple(int(n) for n in whole.get("Dimensions").split())
                checks.that(count == (1, *shape) and stride == (1, 1, 1), f"the slab has the shape {shape}")
                checks.that(all(a + n <= b for a, n, b in zip(start, count, size)), "the slab lies inside")


def refuse_constant(text):
    raise ValueError(f"{text} is no JSON")


with Scratch() as s:
    result = s.call("run", "case.toml", "--json")
    checks.that(result.returncode == 0, "run", result)
    checks.that(s.names() == ["case.h5", "case.xdmf"], f"the run file bears the case's name: {s.names()}")
    summary = json.loads(result.stdout, parse_constant=refuse_constant)
    checks.that(result.stdout.count("\n") == 1 and result.stdout.endswith("}\n"), "one object and nothing else", result)
    checks.that("\r" not in result.stderr and "%" not in result.stderr, "no progress where no terminal is", result)
    checks.that({"version", "case", "cells", "wall_s", "modes", "interval"} <= summary.keys(), "keys of the summary")
    checks.that(summary["interval"]["computed"] is False and "--interval" in summary["interval"]["reason"],
                "no interval, and why")
    in_file = check_run_file(s.path / "case.h5")
    check_sidecar(s.path / "case.xdmf")
    for mode in summary["modes"]:
        attributes = in_file[mode["name"]]
        for effect, depth in mode["depth_mm"].items():
            checks.that(math.isclose(depth, 1e3 * attributes[f"depth_{effect}_m"], abs_tol=1e-12), f"depth {effect}")
        checks.that(mode["completed"] is True and mode["delivered_J"] == attributes["delivered_J"], "the same numbers")
        checks.that(len(mode["trace"]["t_s"]) == len(mode["probes"]["below"]["omega"]), "probes follow the trace")

    before = (s.path / "case.h5").read_bytes()
    checks.refused(s.call("run", "case.toml"), 4, "case.h5: exists already", "--replace")
    checks.that((s.path / "case.h5").read_bytes() == before, "the existing file is left as it was")
    result = s.call("run", "case.toml", "--replace", "--set", 'title="Again"')
    checks.that(result.returncode == 0 and "greatest depth, coagulation" in result.stdout, "--replace", result)
    checks.that((s.path / "case.h5").read_bytes() != before, "--replace replaces")
    (s.path / "case.h5").unlink()
    checks.refused(s.call("run", "case.toml"), 4, "case.xdmf: exists already")
    (s.path / "case.xdmf").unlink()

    result = s.call("run", "case.toml", "--out", "-", "--json", "--quiet", "--set", "output.frames=2", "--set",
                    "mode.0.activation_s=1")
    checks.that(result.returncode == 0 and result.stderr == "", "--quiet --json: only the object", result)
    checks.that(json.loads(result.stdout)["modes"][0]["trace"]["t_s"][-1] == 1, "--set may be repeated", result)
    checks.that(s.names() == [], f"'-' writes no file, but there are {s.names()}")

    # The same numbers for any number of threads.
    one, two = (json.loads(s.call("run", "case.toml", "--out", "-", "--json", "--threads", n).stdout) for n in (1, 2))
    checks.that(one["modes"] == two["modes"], "the modes do not depend on the number of threads")

    # Nowhere to print to.
    with open("/dev/full", "w", encoding="utf-8") as full:
        status = subprocess.run([PROGRAM, "run", "case.toml", "--out", "-"], cwd=s.path, stdout=full,
                                stderr=subprocess.PIPE, text=True, timeout=300, check=False)
    checks.that(status.returncode == 4 and "standard output" in status.stderr, f"full standard output: {status}")

checks.finish()
