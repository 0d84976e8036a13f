"""Reads a run file (HDF5). The only place of this room that knows where things stand in it.

Lengths stay in metres and temperatures in degrees Celsius here; the drawing modules convert to mm.
"""

from dataclasses import dataclass, field
from pathlib import Path
import tomllib

import h5py
import numpy as np

NEWEST_FORMAT = 1


class RunFileError(Exception):
    """What is wrong with a run file and what to do about it. Exit code 4."""


@dataclass
class Effect:
    """A depth of effect: over r in every frame [m], and its final numbers [m], [m3]."""

    name: str
    meaning: str
    depth: np.ndarray  # (frame, r)
    greatest: float
    axis: float
    half_width: float
    volume: float
    greatest_trace: np.ndarray  # over the trace's times, may be empty


@dataclass
class Drive:
    """One waveform on one source: fields stay in the file and are read when asked for."""

    name: str
    time: np.ndarray  # of the frames [s]
    fields: dict  # dataset name -> h5py dataset (frame, z, r)
    effects: dict  # name -> Effect
    trace: dict  # dataset name -> array, t_s among them
    waveform: dict
    summary: dict
    settings: dict = field(default_factory=dict)  # the drive's table of the resolved case

    @property
    def crest_factor(self):
        return float(self.waveform.get("crest_factor", self.summary.get("crest_factor", np.nan)))

    @property
    def dwell(self):
        """Time with current [s]."""
        return float(self.settings.get("dwell_s", self.time[-1]))

    @property
    def energy(self):
        """Energy delivered up to each time of the trace, by the trapezoidal rule [J]."""
        t, p = self.trace["t_s"], self.trace["power_W"]
        return np.concatenate([[0.0], np.cumsum(np.diff(t) * (p[1:] + p[:-1]) / 2)])

    def frame_at(self, time):
        return int(np.argmin(np.abs(self.time - time)))

    @property
    def last_hot_frame(self):
        """The last frame in which the current still flows."""
        return int(np.searchsorted(self.time, self.dwell * (1 + 1e-9) + 1e-12, side="right")) - 1

    @property
    def omega_names(self):
        return [name for name in self.fields if name.startswith("omega_")]


@dataclass
class RunFile:
    path: Path
    title: str
    question: str
    case_text: str
    case: dict
    version: str
    source_revision: str
    started: str
    r: np.ndarray
    z: np.ndarray
    r_face: np.ndarray
    z_face: np.ndarray
    electrode: dict
    effects: dict  # name -> {of, at, ...}
    drives: list
    file: h5py.File

    def close(self):
        self.file.close()

    def drive(self, name):
        for drive in self.drives:
            if drive.name == name:
                return drive
        known = ", ".join(d.name for d in self.drives)
        raise RunFileError(f"{self.path}: there is no drive '{name}' in this run file. Its drives are: {known}.")

    def pair(self, left="", right=""):
        """The two drives to set side by side: by default the lowest and the highest crest factor."""
        ordered = sorted(self.drives, key=lambda d: d.crest_factor)
        return (self.drive(left) if left else ordered[0], self.drive(right) if right else ordered[-1])

    def damage_field(self, drive):
        """The omega dataset behind the first effect that is made of damage."""
        for effect in self.effects.values():
            if str(effect.get("of", "")).startswith("damage:"):
                wanted = "omega_" + str(effect["of"]).split(":", 1)[1]
                if wanted in drive.fields:
                    return wanted
        return drive.omega_names[0] if drive.omega_names else ""


def plain(value):
    """An HDF5 attribute as a Python string or number."""
    if isinstance(value, bytes):
        return value.decode("utf-8", "replace")
    if isinstance(value, np.ndarray) and value.size == 1:
        return plain(value.reshape(-1)[0])
    if isinstance(value, np.generic):
        return value.item()
    return value


def attributes(node):
    return {key: plain(value) for key, value in node.attrs.items()}


def require(node, key, path):
    if key not in node:
        raise RunFileError(f"{path}: '{node.name.rstrip('/')}/{key}' is missing, so this is not a run file of dryfront. "
                           "Give the .h5 file that 'dryfront run CASE.toml --out FILE.h5' wrote.")
    return node[key]


def open_run_file(path):
    """Opens and checks a run file. RunFileError says what is wrong and what to do."""
    path = Path(path)
    if not path.exists():
        raise RunFileError(f"{path}: no such file. Run 'dryfront run CASE.toml --out {path}' first.")
    try:
        f = h5py.File(path, "r")
    except OSError as error:
        hint = ("The run that writes it may not be over." if path.suffix == ".part" else
                "Give the .h5 file that 'dryfront run CASE.toml --out FILE.h5' wrote.")
        raise RunFileError(f"{path}: not a readable HDF5 file ({first_line(error)}). {hint}") from error
    try:
        return read(f, path)
    except RunFileError:
        f.close()
        raise


def first_line(error):
    return str(error).splitlines()[0] if str(error) else type(error).__name__


def read(f, path):
    head = attributes(f)
    for key in ("case_toml", "finished", "version"):
        if key not in head:
            raise RunFileError(f"{path}: HDF5, but not a run file of dryfront (attribute '{key}' is missing). "
                               "Give the .h5 file that 'dryfront run CASE.toml --out FILE.h5' wrote.")
    if int(head.get("format", NEWEST_FORMAT)) > NEWEST_FORMAT:
        raise RunFileError(f"{path}: written in run file format {int(head['format'])} by dryfront {head['version']}; this "
                           f"program reads up to format {NEWEST_FORMAT}. Use the newer dryfront, or repeat the run with this one.")
    if int(head["finished"]) != 1:
        raise RunFileError(f"{path}: the run did not finish (finished = {int(head['finished'])}), so its depths are not "
                           "final. Let it finish, or repeat it with 'dryfront run'.")
    try:
        case = tomllib.loads(head["case_toml"])
    except tomllib.TOMLDecodeError as error:
        raise RunFileError(f"{path}: the resolved case inside is not TOML ({error}). The file is damaged: repeat the run.") from error

    grid = require(f, "grid", path)
    axes = {key: require(grid, key, path)[()] for key in ("r_m", "z_m", "r_face_m", "z_face_m")}
    effects = {name: attributes(f["effects"][name]) for name in f["effects"]} if "effects" in f else {}
    settings = {entry.get("name", ""): entry for entry in case.get("drive", [])}
    group = require(f, "drive", path)
    order = [name for name in settings if name in group] + [name for name in group if name not in settings]
    if not order:
        raise RunFileError(f"{path}: holds no drive. The file is damaged: repeat the run.")
    drives = [read_drive(group[name], name, settings.get(name, {}), path) for name in order]
    for drive in drives:
        for name in drive.effects:
            effects.setdefault(name, {})
    first = [entry.get("name", "") for entry in case.get("effect", [])] or ["coagulation", "dry", "char"]
    effects = dict(sorted(effects.items(), key=lambda e: first.index(e[0]) if e[0] in first else len(first)))
    return RunFile(path, head.get("title", ""), head.get("question", ""), head["case_toml"], case, str(head["version"]),
                   str(head.get("source_revision", "")), str(head.get("started", "")), axes["r_m"], axes["z_m"],
                   axes["r_face_m"], axes["z_face_m"], read_electrode(f, case), effects, drives, f)


def read_electrode(f, case):
    """Shape and lengths [m], from /electrode or, where it is missing, from the resolved case."""
    found = attributes(f["electrode"]) if "electrode" in f else {}
    given = case.get("electrode", {})
    shape = str(found.get("shape", given.get("shape", "disc")))
    lengths = {key: float(found.get(f"{key}_m", given.get(f"{key}_mm", 0.0) * 1e-3))
               for key in ("radius", "inner_radius", "press", "length", "gap")}
    return {"shape": shape, **lengths}


def read_drive(group, name, settings, path):
    frame = require(group, "frame", path)
    depth = require(group, "depth", path)
    trace_group = require(group, "trace", path)
    trace = {key: trace_group[key][()] for key in trace_group if isinstance(trace_group[key], h5py.Dataset)}
    for key in ("t_s", "resistance_ohm", "power_W"):
        require(trace_group, key, path)
    greatest = trace_group["greatest_depth"] if "greatest_depth" in trace_group else {}
    summary = attributes(require(group, "summary", path))
    effects = {}
    for key in depth:
        if not key.endswith("_m"):
            continue
        effect = key[:-2]
        data = depth[key][()]
        last = data[-1]
        effects[effect] = Effect(
            effect, str(plain(depth[key].attrs.get("long_name", effect))), data,
            1e-3 * summary.get(f"depth_{effect}_mm", 1e3 * float(last.max())),
            1e-3 * summary.get(f"axis_depth_{effect}_mm", 1e3 * float(last[0])),
            1e-3 * summary.get(f"half_width_{effect}_mm", np.nan),
            1e-9 * summary.get(f"volume_{effect}_mm3", np.nan),
            greatest[key][()] if key in greatest else np.array([]))
    fields = {key: frame[key] for key in frame if isinstance(frame[key], h5py.Dataset) and frame[key].ndim == 3}
    return Drive(name, require(frame, "t_s", path)[()], fields, effects, trace,
                 attributes(group["waveform"]) if "waveform" in group else {}, summary, settings)
