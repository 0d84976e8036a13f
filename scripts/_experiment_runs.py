"""What each experiment of docs/experiments.md takes out of its runs, by the keys of its rows in _experiments."""
import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path

import h5py
import numpy

TREE = Path(__file__).resolve().parent.parent
# The mechanisms that came after the first edition of the document: off and on, whatever the defaults are.
STATES = {
    "before": ["physics.bound_water=false", "physics.vapour=false", "physics.pressed_out_water=false",
               'physics.spark_law="area"', "physics.rim_arcing=false"],
    "after": ["physics.bound_water=true", "physics.vapour=true", "physics.pressed_out_water=true",
              'physics.spark_law="channels"', "physics.rim_arcing=true"],
}
RISE = 1.5  # of the load over its least that counts as a rise


class Program:
    """The program with a state of its mechanisms, and what is to be tried besides."""

    def __init__(self, path, state, tried=()):
        self.path, self.state, self.tried = path, state, tried

    def run(self, case, *overrides, out="-"):
        command = [self.path, "run", TREE / "cases/verification" / f"{case}.toml", "--out", out, "--json", "--quiet"]
        for override in [*STATES[self.state], *overrides, *self.tried]:
            command += ["--set", override]
        done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, check=False)
        if done.returncode != 0:
            sys.exit(f"experiments: {case} {' '.join(overrides)}: {done.stderr}")
        return {mode["name"]: mode for mode in json.loads(done.stdout)["modes"]}

    def with_file(self, case, *overrides):
        """The one mode of the case, and from its run file grid, frames by their datasets."""
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "run.h5"
            mode = self.run(case, *overrides, out=path)["continuous"]
            with h5py.File(path) as file:
                grid = {name: file["grid"][name][:] for name in file["grid"]}
                frames = {name: data[:] for name, data in file["mode/continuous/frame"].items()}
        return mode, grid, frames


def time_when(series, values, level):
    """First time at which the values reach the level, linear between steps; None when never."""
    for k in range(1, len(values)):
        if values[k] >= level:
            if values[k - 1] >= level:
                return series[k - 1]
            share = (level - values[k - 1]) / (values[k] - values[k - 1])
            return series[k - 1] + share * (series[k] - series[k - 1])
    return None


def rise_of_load(trace):
    """When the load first is 1.5 times its least before; None when never."""
    least = math.inf
    for time, load in zip(trace["t_s"], trace["resistance_ohm"]):
        load = math.inf if load is None else load
        if load >= RISE * least:
            return time
        least = min(least, load)
    return None


def threshold(low, high, reached):
    """Least value, to 1 %, for which `reached` holds."""
    while high / low > 1.01:
        middle = math.sqrt(low * high)
        low, high = (low, middle) if reached(middle) else (middle, high)
    return high


def return_pad(program):
    mode, grid, frames = program.with_file("return_pad")
    faces, skin = grid["r_face_m"], frames["temperature_C"][-1, 0, :]
    areas = math.pi * (faces[1:]**2 - faces[:-1]**2)
    # The hottest 1 cm2 is looked for as a disc on the axis or as 1 cm of the hottest 1 cm wide band around it.
    centres = 0.5 * (faces[1:] + faces[:-1])
    bands = []
    for centre in centres:
        band = (centres >= centre - 0.005) & (centres <= centre + 0.005)
        bands.append(numpy.sum(skin[band] * areas[band]) / numpy.sum(areas[band]))
    return {"rise": max(bands) - 33, "perimeter": bool(centres[int(numpy.argmax(bands))] > 0.045),
            "load": mode["resistance_ohm"]["end"]}


BURNS = {48.9: 300, 51.7: 120, 54.4: 30, 57.2: 10, 60.0: 5, 62.8: 3, 65.6: 2, 68.3: 1}


def skin_burn(program):
    times = {}
    for water, published in BURNS.items():
        mode = program.run("skin_burn", f"specimen.surroundings_C={water}", f"mode.0.activation_s={15 * published}",
                            f"time.longest_s={max(0.02, published / 100)}")["hot_water"]
        probe = mode["probes"]["basal_layer"]
        times[f"{water}"] = time_when(probe["t_s"], probe["omega"], 1)
    return times


SALINE_MM = 2.33  # above the muscle, in tip_on_muscle.toml


def tip_on_muscle(program):
    modes = program.run("tip_on_muscle")
    depths = {name: mode["trace"]["greatest_depth_mm"]["coagulation"] for name, mode in modes.items()}
    return {name: time_when(mode["trace"]["t_s"], depths[name], SALINE_MM + 5) for name, mode in modes.items()}


def needle_in_liver(program):
    mode = program.run("needle_in_liver")["continuous"]
    return {name: probe["temperature_C"][-1] for name, probe in mode["probes"].items()}


def ball_threshold(program):
    def lesion(setting, activation):
        mode = program.run("ball_threshold", f"mode.0.activation_s={activation}", f"mode.0.source.setting_W={setting}")
        return mode["continuous"]["axis_depth_mm"]["coagulation"] >= 2

    def rises(setting):
        mode = program.run("ball_threshold", "mode.0.activation_s=30", f"mode.0.source.setting_W={setting}")
        return rise_of_load(mode["continuous"]["trace"]) is not None

    least = {f"{t}": threshold(0.1, 10, lambda setting, t=t: lesion(setting, t)) for t in (5, 60)}
    return least | {"rise": threshold(0.5, 50, rises)}


def needle_widths(program):
    widths = {}
    for hold in (60, 90):
        _, grid, frames = program.with_file("needle_widths", f"mode.0.source.hold_C={hold}")
        row = int(numpy.argmin(numpy.abs(grid["z_m"] - 5e-3)))
        for minute, omega in zip((1, 2, 3), frames["omega_liver"][1:, row, :]):
            damage = numpy.log(numpy.maximum(omega, 1e-30))
            beyond = numpy.nonzero(damage >= 0)[0]
            if not len(beyond):
                widths[hold, minute] = 0.0
                continue
            k = int(beyond[-1])
            widths[hold, minute] = float(numpy.interp(0, -damage[k:k + 2], grid["r_m"][k:k + 2]))
    growth = {f"{hold}_{minute}": 100 * (widths[hold, minute] / widths[hold, 1] - 1) if widths[hold, 1] else None
              for hold in (60, 90) for minute in (2, 3)}
    return growth | {"hotter": 100 * (widths[90, 1] / widths[60, 1] - 1) if widths[60, 1] else None}


def faces_on_liver(program):
    results, depths = {}, []
    for diameter in (2, 2.3, 3, 4):
        mode, grid, frames = program.with_file("faces_on_liver", f"electrode.radius_mm={diameter / 2}")
        first = {}
        for name, column in (("middle", 0), ("rim", int(numpy.argmin(abs(1000 * grid["r_m"] - diameter / 2))))):
            past = numpy.nonzero(frames["omega_liver"][:, 0, column] >= 1)[0]
            first[name] = frames["t_s"][past[0]] if len(past) else math.inf
        results[f"rim_{diameter:g}"] = bool(first["rim"] < first["middle"])
        depths.append(mode["depth_mm"]["coagulation"])
    return results | {"deeper": all(a < b for a, b in zip(depths, depths[1:]))}


def held_off(program):
    depth = {contact: program.run("held_off", f'electrode.contact="{contact}"')["gated"]["depth_mm"]["coagulation"]
             for contact in ("gap", "spots")}
    return {"contact_deeper": depth["spots"] > depth["gap"]}


def ball_two_currents(program):
    deeper = {}
    for setting in (10, 20, 50, 100):
        modes = program.run("ball_two_currents", f"mode.*.source.setting_W={setting}", "mode.*.activation_s=10")
        when = {name: time_when(mode["trace"]["t_s"], mode["trace"]["greatest_depth_mm"]["coagulation"], 3) or math.inf
                for name, mode in modes.items()}
        deeper[f"{setting}"] = when["continuous"] < when["interrupted"]
    return deeper


def soft_coagulation(program):
    base = program.run("soft_coagulation")["continuous"]
    hotter, larger = {}, {}
    for name, key, value in (("electric", "conductivity_S_m", 0.35), ("capacity", "heat_J_kgK", 3540),
                             ("thermal", "conduction_W_mK", 0.52)):
        mode = program.run("soft_coagulation", f"tissue.liver_ex_vivo.{key}={1.1 * value}")["continuous"]
        hotter[name] = abs(mode["peak_C"] - base["peak_C"])
        larger[name] = abs(mode["volume_mm3"]["coagulation"] - base["volume_mm3"]["coagulation"])
    return {"temperature_first": max(hotter, key=hotter.get) == "electric",
            "volume_first": max(larger, key=larger.get) == "capacity",
            "temperature_last": min(hotter, key=hotter.get) == "thermal",
            "volume_last": min(larger, key=larger.get) == "thermal"}


def apparent_heat(program):
    results = {}
    for power in (20, 25):
        _, grid, frames = program.with_file("apparent_heat", f"mode.0.source.setting_W={power}")
        volume = numpy.diff(grid["z_face_m"])[:, None] * numpy.diff(grid["r_face_m"]**2)[None, :]
        for thickness in (0.5, 1, 2):
            ring = (grid["r_m"] > 0.85e-3) & (grid["r_m"] < (0.85 + thickness) * 1e-3)
            weight = numpy.where(ring[None, :] & (grid["z_m"] < 1e-3)[:, None], volume, 0)
            weight /= weight.sum()
            warm = (frames["temperature_C"] * weight).sum((1, 2))
            water = frames["water_fraction"]
            # Heat content over that of wet liver per kelvin [K]: (1 - 0.15) and 0.15 of its heat capacity stay with
            # water and solids, 0.72 x 2.257e6/3540 K is the latent heat.
            content = (0.15 + 0.85 * water) * (frames["temperature_C"] - 100) + 0.72 * 2.257e6 / 3540 * (1 - water)
            content = (content * weight).sum((1, 2))
            rising = slice(0, int(numpy.argmax(warm)) + 1)
            low, high = (numpy.interp(level, warm[rising], content[rising]) for level in (90, 99))
            results[f"{power}_{thickness:g}"] = float(high - low) / 9 if warm.max() >= 99 else None
    return results


# 0.3 to 20 W, evenly in the logarithm: from far below 100 C to far past it.
SETTINGS_W = [0.3 * (20 / 0.3)**(k / 9) for k in range(10)]


def tip_in_vitro(program):
    rises = {True: [], False: []}
    for setting in SETTINGS_W:
        mode = program.run("tip_in_vitro", f"mode.0.source.setting_W={setting}")["continuous"]
        rises[mode["peak_C"] > 100].append(rise_of_load(mode["trace"]) is not None)
    share = {name: sum(rises[past]) / len(rises[past]) if rises[past] else None
             for name, past in (("past", True), ("below", False))}
    return share


def probe_on_epicardium(program):
    return {f"{hold}_{activation}": program.run("probe_on_epicardium", f"mode.0.source.hold_C={hold}",
                                                 f"mode.0.activation_s={activation}")
            ["continuous"]["depth_mm"]["coagulation"]
            for hold, activation in ((80, 15), (80, 120), (70, 60), (90, 60))}


def drying_under_a_face(program):
    results = {}
    for name, cooling in (("edge", 10), ("axis", 5000)):
        mode, grid, frames = program.with_file("drying_under_a_face", f"electrode.heat_W_m2K={cooling}")
        water = frames["water_fraction"]
        dried = numpy.nonzero(water.min((1, 2)) < 0.99)[0]
        if not len(dried):
            results |= {name: False, f"{name}_interval": None}
            continue
        begun = int(dried[0])
        column = int(numpy.unravel_index(numpy.argmin(water[begun]), water[begun].shape)[1])
        at_rim = bool(grid["r_m"][column] > 1.5e-3)
        risen = rise_of_load(mode["trace"])
        results |= {name: at_rim == (name == "edge"),
                    f"{name}_interval": None if risen is None else risen - float(frames["t_s"][begun])}
    return {"edge": results["edge"], "axis": results["axis"], "interval": results["edge_interval"]}
