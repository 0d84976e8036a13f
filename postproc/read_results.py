"""Opens what dryfront writes as xarray data sets. One file that needs none of the others: copy it where it is used.

Debian: python3-xarray python3-netcdf4 python3-h5py.

    run = open_run("main.h5")
    run["modes"]["continuous"]["frame"].temperature_C.sel(t_s=5, r_m=0, z_m=2e-3, method="nearest")
    table = open_table("plan_sweep/table.h5")
    table["continuous.depth_mm.coagulation"].sel(point=7)
    answer = open_json("answer.json")
"""

import json

import h5py
import xarray

ENGINE = "netcdf4"
PARTS = ("frame", "depth", "trace", "power_load", "waveform")  # groups of a mode, each with axes of its own


class NotDryfront(ValueError):
    """The file is none that dryfront has finished."""


def plain(value):
    """An attribute as a text, a number or a list."""
    if isinstance(value, bytes):
        return value.decode()
    return value.tolist() if hasattr(value, "tolist") else value


def attributes(node):
    return {name: plain(value) for name, value in node.attrs.items()}


def open_run(path):
    """A run file: {"attributes", "case" (TOML), "grid", "modes": {name: {"frame", "depth", ..., "summary"}}}.

    Lengths in m, temperatures in degC, times in s, as every variable's `units` says. Raises NotDryfront for a file of
    another kind or of a run that has not ended, OSError for one that cannot be read.
    """
    with h5py.File(path, "r") as file:
        head = attributes(file)
        if head.get("format") != "dryfront run file" or not head.get("finished"):
            raise NotDryfront(f"{path}: no run file of a run that has ended")
        modes = {}
        for name in file["mode"].attrs["names"]:
            group = file["mode"][name]
            mode = attributes(group) | {"summary": attributes(group["summary"]), "shown": attributes(group["shown"]),
                                        "source": attributes(group["source"])}
            modes[name] = mode | {part: f"mode/{name}/{part}" for part in PARTS if part in group}
    for mode in modes.values():
        for part in PARTS:
            if part in mode:
                mode[part] = xarray.open_dataset(path, group=mode[part], engine=ENGINE)
    return {"attributes": head, "case": head["case_toml"], "modes": modes,
            "grid": xarray.open_dataset(path, group="grid", engine=ENGINE)}


def open_table(path):
    """The table of a sweep: a variable per column over `point`; its attributes are those of the file."""
    with h5py.File(path, "r") as file:
        head = attributes(file)
        if "table" not in file or not head.get("finished"):
            raise NotDryfront(f"{path}: no table of a sweep that has been merged")
    table = xarray.open_dataset(path, group="table", engine=ENGINE)
    return table.assign_attrs(head)


def open_json(path):
    """What a command printed with --json, or analysis.json of a sweep."""
    with open(path, encoding="utf-8") as file:
        return json.load(file)
