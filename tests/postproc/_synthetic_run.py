"""Makes a run file with known contours, so that what is drawn can be held against what was put in.

Every effect is a half ellipse at every time: depth(r, t) = D(t) sqrt(1 - (r / w(t))^2), with D and w proportional to
1 - exp(-t / tau). The fields belong to it: Omega = 1, s = 0.5 and the temperature of coagulation lie on these ellipses.

    python3 _synthetic_run.py OUT.h5 [--frames N] [--modes N] [--unfinished] [--format-version N]
"""

import argparse
import json

import h5py
import numpy as np

ACTIVATION_S = 10.0
TIME_CONSTANT_S = 4.0
ELECTRODE_RADIUS_M = 6e-3

# name, kind, duty, decay [us], depth of coagulation [mm], half-width [mm]
MODES = [
    ("continuous", "continuous", 1.0, 0.0, 3.10, 7.4),
    ("half", "gated", 0.5, 0.0, 2.85, 7.1),
    ("gated", "gated", 0.06, 0.0, 2.45, 6.8),
    ("interrupted", "damped", 0.0, 2.2, 2.10, 6.6),
]
LABELS = {"half": "gated, half the time on", "gated": "gated, 6 % on"}  # the others: their names
EFFECT_SHARE = {
    "coagulation": 1.0,
    "desiccation": 0.45,
    "char": 0.12
}  # size of its half ellipse over that of coagulation


def shares(crest_factor_of_mode):
    """Only an interrupted mode chars."""
    return EFFECT_SHARE if crest_factor_of_mode > 3 else EFFECT_SHARE | {"char": 0.0}


CASE = """title = "Same setting, two waveforms"
question = "At the same setting, does a continuous current whiten the tissue deeper than an interrupted one?"

[specimen]
tissue = "liver_ex_vivo"
radius_mm = 40.0
depth_mm = 40.0
start_C = 22.0
surroundings_C = 22.0
air_W_m2K = 10.0

[electrode]
shape = "disc"
radius_mm = 6.0
contact = "spots"
contact_fraction = 0.5
heat = "lumped"

"""


def crest_factor(kind, duty, carrier_hz, repeat_hz, decay_s):
    """Peak over rms of a sine, a gated sine, a damped sine train (the last by quadrature)."""
    if kind == "continuous":
        return np.sqrt(2.0)
    if kind == "gated":
        return np.sqrt(2.0 / duty)
    t = np.linspace(0.0, 1.0 / repeat_hz, 200001)
    v = np.exp(-t / decay_s) * np.sin(2 * np.pi * carrier_hz * t)
    return float(np.max(np.abs(v)) / np.sqrt(np.mean(v**2)))


def graded_faces(fine, growth, coarse, end):
    faces = [0.0]
    while faces[-1] < end:
        faces.append(faces[-1] + min(coarse, fine + (growth - 1) * faces[-1]))
    return np.array(faces) * end / faces[-1]


def radial_faces(fine, growth, coarse, end, edge):
    inner = edge - graded_faces(fine, growth, coarse, edge)[::-1]
    outer = edge + graded_faces(fine, growth, coarse, end - edge)[1:]
    faces = np.concatenate([inner, outer])
    faces[0] = 0.0
    return faces


def ellipse_depth(r, depth, half_width):
    return depth * np.sqrt(np.clip(1 - (r / half_width) ** 2, 0, None)) if half_width > 0 else 0 * r


def profile(shape):
    """Face and side of an electrode in the half plane, as the program writes them [m]."""
    a = ELECTRODE_RADIUS_M
    face = {"disc": ([0, a], [0, 0]), "ring": ([3e-3, a], [0, 0]), "rod": ([0, a, a], [3e-3, 3e-3, 0])}
    side = ([a], [0])
    if shape == "dome":
        rim = np.arccos(1 - 1e-3 / a)
        angles = np.linspace(0, rim, 21), np.linspace(rim, np.pi / 2, 21)
        face["dome"], side = ((a * np.sin(k), 1e-3 - a * (1 - np.cos(k))) for k in angles)
    lines = zip(("face_r_m", "face_z_m", "side_r_m", "side_z_m"), (*face[shape], *side))
    return {name: np.asarray(line, float) for name, line in lines}


def dataset(group, name, data, units, long_name, scales=()):
    d = group.create_dataset(name, data=data, compression="gzip" if data.ndim > 1 else None,
                             compression_opts=1 if data.ndim > 1 else None, shuffle=data.ndim > 1 or None)
    d.attrs["units"] = units
    d.attrs["long_name"] = long_name
    for axis, scale in enumerate(scales):
        d.dims[axis].attach_scale(scale)
    return d


def interval(modes):
    """The interval of the modes' depths from half to one and a half times as deep, as the program writes it."""
    names = [entry[0] for entry in MODES[:modes]]
    keys = ["electrode.contact_fraction", "physics.strike_V"]

    def quantity(name, words, unit, here, low, high):
        ends = [{"value": value, "from": 0.9 * value, "to": 1.1 * value} for value in (low, high)]
        return {
            "name": name,
            "words": words,
            "unit": unit,
            "here": here,
            "low": ends[0],
            "high": ends[1],
            "least": low,
            "greatest": high,
            "counted": 48,
            "stands_out": True,
            "shown": {
                "here": f"{here:.2f}",
                "range": f"{low:.2f} to {high:.2f}" + (" mm" if unit == "mm" else ""),
                "foremost": "-0.71"
            },
            "foremost": keys[0],
            "rank_correlation": {
                keys[0]: -0.71,
                keys[1]: 0.02
            }
        }

    depths = [quantity(f"depth_mm.{name}", name, "mm", entry[4], 0.5 * entry[4], 1.5 * entry[4])
              for name, entry in zip(names, MODES)]
    pair = [names[0], names[-1]] if modes > 1 else []
    if pair:
        depths += [quantity("depth_ratio", " / ".join(pair), "1", 1.4, 0.8, 1.6)]
    return {
        "computed": True,
        "effect": "coagulation",
        "share": 0.9,
        "points": 48,
        "failed": 0,
        "confidence_of_ends": 0.8,
        "assumed": [{
            "key": key,
            "distribution": "uniform",
            "low": 0,
            "high": 1,
            "here": 0.4
        } for key in keys],
        "quantities": depths
    } | ({
        "first": pair[0],
        "second": pair[1],
        "first_deeper": 0.75
    } if pair else {})


WHY_SHARES = {"source": (0.70, -0.10, 1.20), "arcing": (0.40, 0.10, 0.60), "activation time": (-0.10, -0.30, 0.05)}


def why():
    """The shares of what differs between the first and the last mode, as the program writes them."""
    values = WHY_SHARES | {"peak limit": (0, 0, 0), "breakdown": (0, 0, 0)}
    shares = {
        name.replace(" ", "_"): {
            "differs": name in WHY_SHARES,
            "share": share,
            "first": share,
            "last": share,
            "least": least,
            "greatest": greatest
        }
        for name, (share, least, greatest) in values.items()
    }
    said = {name: f"{name.capitalize()}: a sentence to say aloud, with a number such as {share:.2f} mm in it."
            for name, (share, _, _) in WHY_SHARES.items()}
    modes = [{"name": entry[0], "label": LABELS.get(entry[0], entry[0]), "crest_factor": crest}
             for entry, crest in ((MODES[0], 1.4), (MODES[-1], 6.0))]
    return {
        "computed": True,
        "basis": "The modes as the case has them.",
        "resolution": "sweep resolution (grid.fine_mm = 0.05)",
        "modes": modes,
        "players": [{
            "key": name.replace(" ", "_"),
            "words": name,
            "differs": name in said,
            "sentence": said.get(name)
        } for name in values],
        "conditions": [{
            "key": "moisture",
            "words": "re-wetting"
        }],
        "quantities": [{
            "name": "depth_mm.coagulation",
            "words": "depth of coagulation",
            "unit": "mm",
            "first": 3.1,
            "second": 2.1,
            "difference": 1.0,
            "players": shares,
            "conditions": {
                "moisture": {
                    "first": 2.6,
                    "second": 2.2
                }
            }
        }],
        "sentences": [
            "Both were set to 45 W, of which this much was delivered.", *said.values(),
            "Nothing differs in peak limit and breakdown: no share.",
            "With one mechanism switched off for both, the depths would be 2.60 and 2.20 mm without re-wetting."
        ]
    }


def add_studies(path, modes=4):
    """What run --interval and why --into put into a file."""
    with h5py.File(path, "r+") as f:
        f.attrs["interval_json"] = json.dumps(interval(modes))
        if modes == len(MODES):
            f.attrs["why_json"] = json.dumps(why())


def make(path, frames=61, modes=4, finished=True, format_version=1, shape="disc"):
    r_face = radial_faces(1e-4, 1.08, 1e-3, 0.04, ELECTRODE_RADIUS_M)
    z_face = graded_faces(1e-4, 1.06, 1e-3, 0.04)
    r, z = (r_face[1:] + r_face[:-1]) / 2, (z_face[1:] + z_face[:-1]) / 2
    case = CASE
    for name, kind, duty, decay_us, _, _ in MODES[:modes]:
        shape_keys = {"continuous": "", "gated": f", duty = {duty}, repeat_kHz = 30.0",
                      "damped": f", decay_us = {decay_us}, repeat_kHz = 30.0"}[kind]
        source = ('kind = "constant_power", setting_W = 45.0' if kind == "continuous"
                  else 'kind = "unregulated", setting_W = 45.0, rated_load_ohm = 500.0')
        case += (f'[[mode]]\nname = "{name}"\nactivation_s = {ACTIVATION_S}\nafter_s = 0.0\n'
                 f'waveform = {{ kind = "{kind}", carrier_kHz = 400.0{shape_keys} }}\nsource = {{ {source} }}\n\n')
    with h5py.File(path, "w", track_order=True) as f:
        f.attrs.update({"title": "Same setting, two waveforms",
                        "question": "At the same setting, does a continuous current whiten the tissue deeper "
                                    "than an interrupted one?",
                        "case_toml": case, "version": "0.1.0", "source_revision": "synthetic",
                        "started": "2025-01-01T00:00:00Z", "finished": int(finished), "format": "dryfront run file",
                        "format_version": format_version})
        grid = f.create_group("grid")
        scale = {}
        for key, data, what in [("r_m", r, "radius of cell centres"), ("z_m", z, "depth of cell centres"),
                                ("r_face_m", r_face, "radius of cell faces"), ("z_face_m", z_face, "depth of faces")]:
            scale[key] = dataset(grid, key, data, "m", what)
            scale[key].make_scale(key)
        dataset(grid, "z_decimals", np.full(len(z), 2.0), "1", "decimals of a depth", (scale["z_m"],))
        f.create_group("shown").attrs.update(QUANTITIES)
        f.attrs["pairs_json"] = json.dumps(pairs(MODES[:modes]))
        electrode = f.create_group("electrode")
        electrode.attrs.update({
            "shape": shape,
            "radius_m": ELECTRODE_RADIUS_M,
            "inner_radius_m": 3e-3 if shape == "ring" else 0.0,
            "press_m": 1e-3 if shape == "dome" else 0.0,
            "length_m": 3e-3 if shape == "rod" else 0.0,
            "gap_m": 0.0,
            **profile(shape),
            "contact": "spots",
            "heat": "lumped"
        })
        f.create_group("specimen").attrs.update({"radius_m": 0.04, "depth_m": 0.04, "start_C": 22.0,
                                                 "layer_tissue": ["liver_ex_vivo"], "layer_thickness_m": [0.04]})
        f.create_group("effect").attrs.update({
            "names": list(EFFECT_SHARE),
            "of": ["damage:liver", "dry", "peak_temperature"],
            "at": [1.0, 0.5, 150.0],
            "at_units": ["1", "1", "degC"]
        })
        f.create_group("mode").attrs["names"] = [entry[0] for entry in MODES[:modes]]
        for entry in MODES[:modes]:
            write_mode(f, scale, r, z, frames, *entry)


def write_mode(f, scale, r, z, frames, name, kind, duty, decay_us, depth_mm, half_width_mm):
    group = f.create_group(f"mode/{name}", track_order=True)
    group.attrs["label"] = LABELS.get(name, name)
    cf = crest_factor(kind, duty, 400e3, 30e3, decay_us * 1e-6)
    t = np.linspace(0, ACTIVATION_S, frames)
    grown = (1 - np.exp(-t / TIME_CONSTANT_S)) / (1 - np.exp(-ACTIVATION_S / TIME_CONSTANT_S))
    depth, width = depth_mm * 1e-3 * grown, half_width_mm * 1e-3 * np.sqrt(grown)

    peak = write_frames(group, scale, r, z, t, depth, width, cf)
    load = write_trace(group, depth_mm, cf)
    write_settings(group, kind, duty, decay_us, cf)
    write_summary(group, depth_mm, half_width_mm, cf, load, peak)


def write_frames(group, scale, r, z, t, depth, width, cf):
    """Fields and depths over r at the times of the frames; returns the greatest temperature [C]."""
    frame = group.create_group("frame")
    time = dataset(frame, "t_s", t, "s", "time")
    time.make_scale("t_s")
    with np.errstate(divide="ignore", invalid="ignore"):
        u = np.sqrt((r[None, None, :] / width[:, None, None]) ** 2 + (z[None, :, None] / depth[:, None, None]) ** 2)
    u = np.where(np.isfinite(u), u, 1e3)
    share = EFFECT_SHARE["desiccation"]
    hot = 100 + (50 if cf > 3 else 0) * (share - u) / (share - EFFECT_SHARE["char"])
    temperature = np.where(u < share, hot, 22 + 78 * np.exp(-np.clip(u - share, 0, None) * 1.30))
    water = np.clip(0.5 + 0.5 * (u - share) / (0.25 * share), 0, 1)
    omega = 10.0 ** np.clip(4 * (1 - u), -12, 12)
    peak = np.maximum.accumulate(temperature, axis=0)
    heating = 4e7 * np.exp(-((r[None, :] - ELECTRODE_RADIUS_M) / 2e-3) ** 2 - z[:, None] / 2e-3) + 1e4
    heating = np.broadcast_to(heating, temperature.shape) * np.where(u < share, 0.05, 1.0)
    dims = (time, scale["z_m"], scale["r_m"])
    for key, data, units, what in [
            ("temperature_C", temperature, "degC", "temperature"), ("water_fraction", water, "1", "water left"),
            ("omega_liver", omega, "1", "damage integral"), ("peak_temperature_C", peak, "degC", "peak temperature"),
            ("heating_W_m3", heating, "W m-3", "heating density"),
            ("potential_V", 80 * np.exp(-u), "V", "rms potential"),
            ("conductivity_S_m", 0.3 * water**2 + 3e-4, "S m-1", "effective conductivity")]:
        dataset(frame, key, data.astype("f4"), units, what, dims)

    depths = group.create_group("depth")
    parts = shares(cf)
    for effect, part in parts.items():
        data = np.array([ellipse_depth(r, part * d, part * w) for d, w in zip(depth, width)])
        dataset(depths, f"{effect}_m", data, "m", f"depth of {effect}", (time, scale["r_m"]))
    return float(peak.max())


def trace_times():
    return ACTIVATION_S * np.linspace(0, 1, 400) ** 1.3


def write_trace(group, depth_mm, cf):
    """Load, power, arcing and greatest depths over time; returns resistance [ohm] and power [W]."""
    s, parts = trace_times(), shares(cf)
    g = (1 - np.exp(-s / TIME_CONSTANT_S)) / (1 - np.exp(-ACTIVATION_S / TIME_CONSTANT_S))
    resistance = 150 - 60 * g + (900 if cf > 3 else 400) / (1 + np.exp(-(s - 7.5) * 3))
    power = 45 * np.where(cf < 2, 1.0, 4 * resistance * 500 / (resistance + 500) ** 2) + 0 * s
    arcing = np.where(cf > 3, 0.6 / (1 + np.exp(-(s - 4) * 2)), 0.0) + 0 * s
    trace = group.create_group("trace")
    rms = np.sqrt(power * resistance)
    ts = dataset(trace, "t_s", s, "s", "time")
    ts.make_scale("t_s")
    for key, data, units in [("resistance_ohm", resistance, "ohm"), ("power_W", power, "W"), ("rms_V", rms, "V"),
                             ("peak_V", cf * rms, "V"), ("current_A", rms / resistance, "A"),
                             ("arcing_share", arcing, "1"), ("surface_W", power * (0.1 + 0.5 * arcing), "W"),
                             ("electrode_C", 22 + 60 * g, "degC"), ("wet_share", 0.5 * (1 - g), "1"),
                             ("eschar_share", 0.5 * arcing, "1")]:
        dataset(trace, key, data, units, key.rsplit("_", 1)[0].replace("_", " "), (ts,))
    greatest = trace.create_group("greatest_depth")
    for effect, part in parts.items():
        dataset(greatest, f"{effect}_m", part * depth_mm * 1e-3 * g, "m", f"greatest depth of {effect}", (ts,))
    return resistance, power


def write_settings(group, kind, duty, decay_us, cf):
    group.attrs.update({"activation_s": ACTIVATION_S, "after_s": 0.0})
    group.create_group("source").attrs.update({
        "kind": "constant_power" if kind == "continuous" else "unregulated",
        "setting_W": 45.0,
        "rms_V": 0.0,
        "rated_load_ohm": 500.0,
        "peak_limit_V": 0.0,
        "current_limit_A": 0.0,
        "flat_ohm": [0.0, 0.0]
    })
    write_power_load(group, kind, cf)
    waveform = group.create_group("waveform")
    waveform.attrs.update({"kind": kind, "carrier_Hz": 400e3, "duty": duty, "repeat_Hz": 30e3,
                           "decay_s": decay_us * 1e-6, "crest_factor": cf})


def write_power_load(group, kind, cf):
    """The curve on which the trace lies."""
    curve = group.create_group("power_load")
    load = np.logspace(0, 4, 121)
    power = 45 * (load / load if kind == "continuous" else 4 * load * 500 / (load + 500) ** 2)
    rms = np.sqrt(power * load)
    scale = dataset(curve, "load_ohm", load, "ohm", "load")
    scale.make_scale("load_ohm")
    for key, data, units in [("power_W", power, "W"), ("rms_V", rms, "V"), ("peak_V", cf * rms, "V"),
                             ("current_A", rms / load, "A")]:
        dataset(curve, key, data, units, key, (scale,))


# As the program has them: what stands for a quantity, and how many digits it has.
QUANTITIES = {
    "quantity": ["ratio", "resistance", "power", "time", "temperature", "voltage"],
    "unit": ["", "ohm", "W", "s", "\u00b0C", "V"],
    "significant": [2.0, 3.0, 3.0, 2.0, 3.0, 3.0],
    "decimals": [2.0, 0.0, 1.0, 2.0, 0.0, 0.0]
}


def pairs(entries):
    """What the program says of every two modes and effect."""
    said = []
    for first in entries:
        for second in entries:
            for effect, part in EFFECT_SHARE.items():
                a, b = (part * entry[4] for entry in (first, second))
                names = [LABELS.get(entry[0], entry[0]) for entry in (first, second)]
                if first is second:
                    sentence = f"\u201c{names[0]}\u201d reached {effect} to {a:.2f} mm."
                else:
                    sentence = (f"Said by the program, which reached deeper: {effect} to {a:.2f} mm against "
                                f"{b:.2f} mm for \u201c{names[1]}\u201d.")
                said.append({"first": first[0], "second": second[0], "effect": effect, "sentence": sentence})
    return said


def write_shown(group, summary, cf):
    """The numbers of the summary as texts, marked so that none can have been formatted anew by whoever shows them."""
    def text(key, value):
        if key.endswith("_m"):
            return f"{1e3 * value:.2f} mm" if value > 0 else "none"
        if key.endswith("_m3"):
            return f"{1e9 * value:.0f} mm\u00b3" if value > 0 else "none"
        unit = key.rsplit("_", 1)[1]
        if unit == "s":
            return "never" if np.isnan(value) else f"{value:.1f} s"
        return f"{value:.0f} " + {"C": "\u00b0C"}.get(unit, unit)

    wanted = ("depth_", "axis_depth_", "half_width_", "volume_", "resistance_", "delivered_", "surface_", "arcing_",
              "dry_out_", "peak_")
    texts = {key: text(key, value) for key, value in summary.items() if key.startswith(wanted)}
    group.create_group("shown").attrs.update(texts | {"crest_factor": f"{cf:.2f}"})


def write_summary(group, depth_mm, half_width_mm, cf, load, peak):
    (resistance, power), depths = load, group["depth"]
    summary = group.create_group("summary")
    delivered = float(np.trapz(power, trace_times()))
    summary.attrs.update({
        "completed": 1, "steps": len(power) - 1, "resistance_start_ohm": resistance[0],
        "resistance_least_ohm": resistance.min(),
        "resistance_end_ohm": resistance[-1], "delivered_J": delivered, "surface_J": 0.3 * delivered,
        "arcing_s": 4.0 if cf > 3 else np.nan, "dry_out_s": np.nan if cf > 3 else 7.5, "peak_C": peak,
        "ledger_electric": 1e-9, "ledger_energy": 2e-6, "ledger_water": 1e-8})
    for effect, part in shares(cf).items():
        d, w = 1e-3 * part * depth_mm, 1e-3 * part * half_width_mm
        summary.attrs.update({f"depth_{effect}_m": float(depths[f"{effect}_m"][-1].max()), f"axis_depth_{effect}_m": d,
                              f"half_width_{effect}_m": w, f"volume_{effect}_m3": 2 / 3 * np.pi * w**2 * d})
    write_shown(group, dict(summary.attrs), cf)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("out")
    parser.add_argument("--frames", type=int, default=61)
    parser.add_argument("--modes", type=int, default=4)
    parser.add_argument("--shape", default="disc")
    parser.add_argument("--studies", action="store_true", help="with an interval and the shares of what differs")
    parser.add_argument("--unfinished", action="store_true")
    parser.add_argument("--format-version", type=int, default=1)
    arguments = parser.parse_args()
    make(arguments.out, arguments.frames, arguments.modes, not arguments.unfinished, arguments.format_version,
         arguments.shape)
    if arguments.studies:
        add_studies(arguments.out, arguments.modes)
    print(json.dumps({"file": arguments.out}))


if __name__ == "__main__":
    main()
