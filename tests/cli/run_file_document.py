#!/usr/bin/env python3
"""docs/run_file.md against a run file: the same datasets with the same units, meanings and axes, the same attributes.

Both ways: nothing in the file that the document leaves out, nothing in the document that the file lacks.
"""
import os
import re
from pathlib import Path

import h5py

from _run_program import Checks, Scratch

DOCUMENT = Path(os.environ["DRYFRONT_SOURCE_DIR"]) / "docs" / "run_file.md"
AXES = {"frame": "t_s", "step": "t_s", "sample": "t_s", "load": "load_ohm", "z": "z_m", "r": "r_m"}
# Of HDF5's dimension scales, not ours.
MACHINERY = {"CLASS", "NAME", "DIMENSION_LIST", "REFERENCE_LIST"}

checks = Checks()


def tables():
    """Rows of every table of the document, each a list of cells, by the heading above it."""
    found, heading = {}, ""
    for line in DOCUMENT.read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            heading = line.lstrip("# ")
        elif line.startswith("| `"):
            found.setdefault(heading, []).append([cell.strip() for cell in line.strip("|").split("|")])
    return found


def names(cell):
    return re.findall(r"`([^`]+)`", cell)


def general(path, effects):
    """A path of the file with the names of the case replaced by <mode>, <effect>, <pair> and <probe>."""
    path = re.sub(r"^/mode/[^/]+", "/mode/<mode>", path)
    path = re.sub(r"/trace/probe/[^/]+", "/trace/probe/<probe>", path)
    path = re.sub(r"/frame/omega_.*", "/frame/omega_<pair>", path)
    return re.sub(rf"/(depth|greatest_depth)/({'|'.join(effects)})_m$", r"/\1/<effect>_m", path)


def length(file, path, axis):
    """How many entries an axis of the document's `shape` column has."""
    if axis[0] in "rz":
        return len(file["grid"][f"{axis[0]}_m"]) + (1 if axis.endswith("+ 1") else 0)
    folder = {"frame": "frame", "step": "trace", "sample": "waveform", "load": "power_load"}[axis]
    return len(file["/".join(path.split("/")[:3])][folder][AXES[axis]])


def own_attributes(node):
    return set(node.attrs) - MACHINERY


def walk(file):
    """Every path with its object. Links to axes are followed and then left out, see is_link."""
    found = {}

    def enter(group):
        for name, node in group.items():
            path = f"{group.name.rstrip('/')}/{name}"
            found[path] = node
            if isinstance(node, h5py.Group):
                enter(file[path])

    enter(file)
    return found


def is_link(path, node, effects):
    """The same dataset under a second name, which is that of the group it was made in."""
    folder, name = path.rsplit("/", 1)
    return isinstance(node, h5py.Dataset) and name in ("r_m", "z_m", "t_s") and not re.fullmatch(
        r"/grid|/mode/[^/]+/(frame|trace|waveform)", folder) or (folder.endswith("/frame") and name in ("r_m", "z_m"))


with Scratch() as s:
    (s.path / "shape.txt").write_text("".join(f"{k * 1e-7} {v}\n" for k, v in enumerate([0, 1, 0, -1] * 6)),
                                      encoding="utf-8")
    text = (s.path / "case.toml").read_text(encoding="utf-8").replace("activation_s = 2", "activation_s = 0.1")
    text = text.replace("duty = 0.06, repeat_kHz = 24",
                        'file = "shape.txt"').replace('kind = "gated"', 'kind = "sampled"')
    (s.path / "case.toml").write_text(text, encoding="utf-8")
    result = s.call("run", "case.toml", "--out", "run.h5", "--quiet")
    checks.that(result.returncode == 0, "the run itself works", result)
    documented = tables()
    with h5py.File(s.path / "run.h5", "r") as file:
        effects = list(file["effect"].attrs["names"])
        nodes = {path: node for path, node in walk(file).items() if not is_link(path, node, effects)}

        written = {row[0].strip("`"): row[1:] for row in documented["Datasets"]}
        seen = set()
        for path, node in nodes.items():
            if not isinstance(node, h5py.Dataset):
                continue
            key = general(path, effects)
            seen.add(key)
            if key not in written:
                checks.that(False, f"{path} is not in the document")
                continue
            shape, units, meaning = written[key]
            checks.that(node.attrs["units"] == units, f"{path}: units {node.attrs['units']}, documented {units}")
            pattern = re.escape(meaning).replace("`<pair>`", "gel").replace("`<probe>`", "below")
            pattern = pattern.replace("`<effect>`", f"({'|'.join(effects)})")
            checks.that(re.fullmatch(pattern, node.attrs["long_name"]),
                        f"{path}: {node.attrs['long_name']!r}, documented {meaning!r}")
            axes = shape.split(", ")
            lengths = tuple(length(file, path, axis) for axis in axes)
            checks.that(node.shape == lengths, f"{path}: {node.shape}, documented {shape}, which is {lengths}")
            if "CLASS" not in node.attrs:  # else it is an axis itself
                attached = [list(dimension.keys()) for dimension in node.dims]
                checks.that(attached == [[AXES[axis]] for axis in axes], f"{path}: axes {attached}, documented {shape}")
            checks.that(own_attributes(node) == {"units", "long_name"}, f"{path} has {own_attributes(node)}")
        checks.that(set(written) == seen, f"documented, but not in the file: {set(written) - seen}")

        wanted = set().union(*(names(row[0]) for row in documented["Attributes of the file"]))
        checks.that(own_attributes(file) == wanted, f"attributes of the file differ: {own_attributes(file) ^ wanted}")

        groups = {names(row[0])[0]: set(names(row[1])) for row in documented["Groups that describe the case"]}
        for group in ("/mode/<mode>/summary", "/mode/<mode>/shown"):
            listed = set().union(*(names(row[0]) for row in documented[f"Attributes of `{group}`"]))
            groups[group] = {name.replace("<effect>", effect) for name in listed for effect in effects}
        for path, node in nodes.items():
            if isinstance(node, h5py.Group):
                wanted = groups.get(general(path, effects), set())
                checks.that(
                    own_attributes(node) == wanted, f"{path}: attributes differ: {own_attributes(node) ^ wanted}")
        missing = set(groups) - {general(path, effects) for path in nodes}
        checks.that(not missing, f"documented, but not in the file: {missing}")

checks.finish()
