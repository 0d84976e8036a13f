"""Reads a run file (HDF5). The only place of this room that knows where things stand in it.

Lengths stay in metres and temperatures in degrees Celsius here; the drawing modules convert to mm.
"""

import contextlib
from dataclasses import dataclass, field
import json
from pathlib import Path
import tomllib
import traceback

import h5py
import numpy as np

FORMAT = "dryfront run file"
NEWEST_VERSION = 1
GIVE_ANOTHER = "Give the .h5 file that 'dryfront run CASE.toml --out FILE.h5' wrote."


class RunFileError(Exception):
    """What is wrong with a run file and what to do about it."""

    exit_code = 4


class NoSuchMode(RunFileError):
    """The command line names a mode that the run file does not hold."""

    exit_code = 1


class StoredField:
    """A field that stays in the file: indexing it reads that part, as an array (frame, z, r)."""

    def __init__(self, dataset, path):
        self.dataset, self.path = dataset, path

    def __getitem__(self, part):
        try:
            return self.dataset[part]
        except OSError as error:
            raise damaged(self.path, error) from error


@dataclass
class Effect:
    """A depth of effect: over r in every frame [m], and its final numbers [m], [m3]."""

    name: str
    depth: np.ndarray  # (frame, r)
    greatest: float
    axis: float
    half_width: float
    volume: float
    greatest_trace: np.ndarray  # at the trace's times
    past_range: bool = False  # the depth rests on temperatures past those the model knows
    shown: dict = field(default_factory=dict)  # "depth", "axis", "half_width", "volume" as people are shown them


@dataclass
class Mode:
    """One waveform on one source: fields stay in the file and are read when asked for."""

    name: str  # in the file, on the command line
    label: str  # what people are shown in its place
    time: np.ndarray  # of the frames [s]
    fields: dict  # dataset name -> StoredField
    effects: dict  # name -> Effect
    trace: dict  # dataset name -> array, t_s among them
    waveform: dict
    summary: dict
    source: dict = field(default_factory=dict)
    power_load: dict = field(default_factory=dict)  # what the source delivers into a load: dataset name -> array
    activation: float = 0.0  # time with current [s]
    after: float = 0.0  # time watched with the current off [s]
    past_range: str = ""  # what the program says where it went past the temperatures the model knows
    shown: dict = field(default_factory=dict)  # numbers of the summary as people are shown them: text, with its unit

    @property
    def crest_factor(self):
        return float(self.waveform["crest_factor"])

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
        return int(np.searchsorted(self.time, self.activation * (1 + 1e-9) + 1e-12, side="right")) - 1

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
    specimen: dict
    effects: dict  # name -> {of, at, ...}
    modes: list
    file: h5py.File
    interval: dict = field(default_factory=dict)  # as run --json has it: the range of the depths, or why there is none
    why: dict = field(default_factory=dict)  # as why --json has it: the shares of what differs, or why there are none
    specimens: dict = field(default_factory=dict)  # how many show a difference of two modes, or why that is not known
    warnings: list = field(default_factory=list)  # what the program said is odd in the case, in plain sentences
    symmetry: str = "axis"  # what r is the distance from, "axis" or "plane"; files that do not say it are about an axis
    length: float = 0.0  # of electrode and specimen along the plane [m]
    pairs: dict = field(default_factory=dict)  # (mode, mode, effect) -> what the program says of the two
    quantities: dict = field(default_factory=dict)  # name -> {unit, significant, decimals}: how it is shown
    z_decimals: np.ndarray = None  # (z) decimals of a depth in mm

    def close(self):
        self.file.close()

    def mode(self, name):
        for mode in self.modes:
            if mode.name == name:
                return mode
        known = ", ".join(d.name for d in self.modes)
        raise NoSuchMode(f"{self.path}: there is no mode '{name}' in this run file. Its modes are: {known}.")

    def pair(self, left="", right=""):
        """The two modes to set side by side: by default the lowest and the highest crest factor."""
        ordered = sorted(self.modes, key=lambda d: d.crest_factor)
        return (self.mode(left) if left else ordered[0], self.mode(right) if right else ordered[-1])

    def damage_field(self, mode):
        """The omega dataset behind the first effect that is made of damage."""
        for effect in self.effects.values():
            if str(effect.get("of", "")).startswith("damage:"):
                wanted = "omega_" + str(effect["of"]).split(":", 1)[1]
                if wanted in mode.fields:
                    return wanted
        return mode.omega_names[0] if mode.omega_names else ""


def plain(value):
    """An HDF5 attribute as a Python string, number or list."""
    if isinstance(value, bytes):
        return value.decode("utf-8", "replace")
    if isinstance(value, np.ndarray) and value.size == 1:
        return plain(value.reshape(-1)[0])
    if isinstance(value, np.ndarray):
        return [plain(entry) for entry in value.tolist()]
    if isinstance(value, np.generic):
        return value.item()
    return value


def attributes(node):
    return {key: plain(value) for key, value in node.attrs.items()}


def require(node, key, path):
    if key not in node:
        raise RunFileError(
            f"{path}: '{node.name.rstrip('/')}/{key}' is missing, so this is not a whole run file. {GIVE_ANOTHER}")
    return node[key]


def open_run_file(path):
    """Opens and checks a run file. RunFileError says what is wrong and what to do."""
    path = Path(path)
    if not path.exists():
        raise RunFileError(f"{path}: no such file. Run 'dryfront run CASE.toml --out {path}' first.")
    try:
        f = h5py.File(path, "r")
    except OSError as error:
        hint = ("The run that writes it may not be over." if path.suffix == ".part" else GIVE_ANOTHER)
        raise RunFileError(f"{path}: not a readable HDF5 file ({first_line(error)}). {hint}") from error
    try:
        return read(f, path)
    except RunFileError:
        f.close()
        raise
    except Exception as error:  # h5py and numpy raise many kinds over damaged bytes
        f.close()
        raise damaged(path, error) from error


def damaged(path, error):
    return RunFileError(f"{path}: cannot be read ({first_line(error)}). The file is damaged: repeat the run.")


@contextlib.contextmanager
def drawing(path):
    """Turns what a damaged file brings about while it is drawn into RunFileError.

    A changed byte may turn a number, a text or a size into anything, so the errors are of any kind. What is wrong
    with the place that is written to comes with a file name and passes.
    """
    try:
        yield
    except RunFileError:
        raise
    except OSError as error:
        if error.filename is not None:
            raise
        raise damaged(path, error) from error
    except Exception as error:
        where = traceback.extract_tb(error.__traceback__)[-1]
        raise RunFileError(f"{path}: cannot be drawn ({type(error).__name__}: {first_line(error)}, {where.name} in "
                           f"{Path(where.filename).name}:{where.lineno}). The file is damaged: repeat the run. "
                           "If a new "
                           "one does the same, it is a fault of the program.") from error


def first_line(error):
    return str(error).splitlines()[0] if str(error) else type(error).__name__


def read(f, path):
    head = attributes(f)
    if head.get("format") != FORMAT or not {"case_toml", "finished", "version"} <= head.keys():
        raise RunFileError(f"{path}: HDF5, but not a run file of dryfront. {GIVE_ANOTHER}")
    if int(head.get("format_version", NEWEST_VERSION)) > NEWEST_VERSION:
        raise RunFileError(
            f"{path}: written by dryfront {head['version']} in version {int(head['format_version'])} of the run "
            f"file; this program reads up to version {NEWEST_VERSION}. Use the newer dryfront, or repeat the run "
            "with this one.")
    if int(head["finished"]) != 1:
        raise RunFileError(
            f"{path}: the run did not finish (finished = {int(head['finished'])}), so its depths are not "
            "final. Let it finish, or repeat it with 'dryfront run'.")
    try:
        case = tomllib.loads(head["case_toml"])
    except tomllib.TOMLDecodeError as error:
        raise RunFileError(
            f"{path}: the resolved case inside is not TOML ({error}). The file is damaged: repeat the run.") from error

    grid = require(f, "grid", path)
    axes = {key: require(grid, key, path)[()] for key in ("r_m", "z_m", "r_face_m", "z_face_m")}
    kinds = attributes(require(f, "effect", path))
    effects = {name: {"of": of, "at": at} for name, of, at in
               zip(listed(kinds["names"]), listed(kinds["of"]), listed(kinds["at"]))}
    group = require(f, "mode", path)
    modes = [read_mode(require(group, name, path), name, list(effects), path)
              for name in listed(attributes(group).get("names", list(group)))]
    if not modes or not effects:
        raise RunFileError(f"{path}: holds no mode or no effect, so there is nothing to draw. Repeat the run.")
    return RunFile(path, head.get("title", ""), head.get("question", ""), head["case_toml"], case, str(head["version"]),
                   str(head.get("source_revision", "")), str(head.get("started", "")), axes["r_m"], axes["z_m"],
                   axes["r_face_m"], axes["z_face_m"], electrode_of(f, path),
                   attributes(require(f, "specimen", path)), effects, modes, f, study(head, "interval_json", path),
                   study(head, "why_json", path), study(head, "specimens_json", path),
                   warning_sentences(head, path), str(attributes(grid).get("symmetry", "axis")),
                   float(attributes(grid).get("length_m", 0.0)), pairs_of(head, path), quantities_of(f, path),
                   require(grid, "z_decimals", path)[()].astype(int))


def electrode_of(f, path):
    electrode = attributes(require(f, "electrode", path))
    if "face_r_m" not in electrode:
        raise RunFileError(
            f"{path}: written before the run file held the electrode's outline, so there is nothing to draw it by. "
            "Repeat the run.")
    return electrode


def pairs_of(head, path):
    """What the program says of every pair of modes and effect."""
    entries = study(head, "pairs_json", path)
    if not isinstance(entries, list):
        raise RunFileError(f"{path}: written before the run file held its numbers as they are shown. Repeat the run.")
    return {(e["first"], e["second"], e["effect"]): e["sentence"] for e in entries}


def quantities_of(f, path):
    """How quantities are shown, for what changes with time and stands nowhere as a text."""
    table = attributes(require(f, "shown", path))
    columns = (listed(table[key]) for key in ("quantity", "unit", "significant", "decimals"))
    return {name: {"unit": unit, "significant": int(significant), "decimals": int(decimals)}
            for name, unit, significant, decimals in zip(*columns)}


def study(head, key, path):
    """What a study has put into the file beside the run; files from before there were any hold none."""
    try:
        return json.loads(head.get(key, '{"computed": false, "reason": "the file was written without it"}'))
    except ValueError as error:
        raise RunFileError(
            f"{path}: the attribute {key} is not JSON ({error}). The file is damaged: repeat the run.") from error


def warning_sentences(head, path):
    """What was warned of in the case; files from before it was kept hold nothing."""
    found = study(head, "warnings_json", path) if "warnings_json" in head else []
    return [f"Warning: {warning['sentence']}." for warning in found]


def listed(value):
    """An attribute that is a list, of which one entry alone comes back bare."""
    return value if isinstance(value, list) else [value]


def read_mode(group, name, effect_names, path):
    frame, depth, trace_group = (require(group, key, path) for key in ("frame", "depth", "trace"))
    for key in ("t_s", "resistance_ohm", "power_W", "rms_V", "peak_V"):
        require(trace_group, key, path)
    trace = {key: trace_group[key][()] for key in trace_group if isinstance(trace_group[key], h5py.Dataset)}
    greatest = require(trace_group, "greatest_depth", path)
    summary, shown = (attributes(require(group, key, path)) for key in ("summary", "shown"))
    effects = {}
    for effect in effect_names:
        key = f"{effect}_m"
        effects[effect] = Effect(effect, require(depth, key, path)[()], float(summary[f"depth_{key}"]),
                                 float(summary[f"axis_depth_{key}"]), float(summary[f"half_width_{key}"]),
                                 float(summary[f"volume_{key}3"]), require(greatest, key, path)[()],
                                 bool(summary.get(f"past_range_{effect}", 0)),
                                 {"depth": shown[f"depth_{key}"], "axis": shown[f"axis_depth_{key}"],
                                  "half_width": shown[f"half_width_{key}"], "volume": shown[f"volume_{key}3"]})
    fields = {
        key: StoredField(frame[key], path)
        for key in frame if isinstance(frame[key], h5py.Dataset) and frame[key].ndim == 3
    }
    waveform_group = require(group, "waveform", path)
    waveform = attributes(waveform_group)
    if "voltage" in waveform_group:
        waveform["samples"] = (waveform_group["t_s"][()], waveform_group["voltage"][()])
    if "power_load" not in group:
        raise RunFileError(
            f"{path}: written before the run file held power against load, so there is nothing to draw it by. "
            "Repeat the run.")
    power_load = {key: group["power_load"][key][()] for key in group["power_load"]}
    head = attributes(group)
    return Mode(name, str(head["label"]), require(frame, "t_s", path)[()], fields, effects, trace, waveform, summary,
                attributes(require(group, "source", path)), power_load, float(head["activation_s"]),
                float(head["after_s"]), str(head.get("past_range_sentence", "")), shown)
