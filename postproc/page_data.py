"""What the page carries: the fields of every mode in the shown part of the specimen, curves, histories, words."""

import numpy as np

import contours
import describe
import mechanisms
import packing
import palette
import power_load
import scene
import waveform_kind
import words

# Field of the run file: name on the page, range, quantum. Damage and heating are carried as decimal logarithms.
TEMPERATURE_QUANTUM = 0.02  # [C]; the page prints one decimal
WATER_QUANTUM = 5e-4
OMEGA_RANGE, OMEGA_QUANTUM = (-6.0, 8.0), 1e-3  # log10
HEATING_RANGE, HEATING_QUANTUM = (1.0, 11.0), 4e-3  # log10 W/m3
HISTORIES = {"resistance_ohm": "resistance [ohm]", "power_W": "power [W]", "peak_V": "peak voltage [V]",
             "arcing_share": "current through arcs [share]"}
SMALLEST_QUESTION, QUESTION_STEP = 10.0, 5.0  # [mm]


def page_data(run, left, right, every=1):
    """A plain dict for JSON. `every`: of the frames only each so many-th, and the last."""
    view = scene.view_of(run, run.modes)
    question = question_view(run, view)
    view.top = question.top  # the electrode is drawn alike before and after
    columns = min(int(np.searchsorted(1e3 * run.r_face, question.reach)), len(run.r))
    rows = min(int(np.searchsorted(1e3 * run.z_face, question.bottom)), len(run.z))
    shown = slice(0, rows), slice(0, columns)
    fields = [field_words(field) for field in scene.fields_of(run, run.modes)]
    return {
        "title": run.title or run.path.stem,
        "question": run.question,
        "file": run.path.name,
        "version": run.version,
        "revision": run.source_revision,
        "started": run.started,
        "specimen": describe.specimen_words(run),
        "case": run.case_text,
        "cautions": describe.CAUTIONS,
        "caution": palette.CAUTION,
        "symmetry": run.symmetry,
        "view": vars(view),
        "question_view": vars(question),
        "electrode": electrode_data(run, view),
        "grid": {"r": rounded(1e3 * run.r[:columns]), "z": rounded(1e3 * run.z[:rows]),
                 "decimals": run.z_decimals[:rows].tolist(),
                 "r_face": rounded(1e3 * run.r_face[:columns + 1]), "z_face": rounded(1e3 * run.z_face[:rows + 1])},
        "fields": fields + [{"key": "cut", "label": "as a cut specimen", "isolines": []}],
        "cut": cut_words(run, view),
        "quantities": run.quantities,
        "pairs": {name: [[describe.compare_words(run, a, b, name) for b in run.modes] for a in run.modes]
                  for name in run.effects},
        "spared": describe.lens_sentences(run, run.modes),
        "effects": [effect_words(run, name) for name in run.effects],
        "histories": HISTORIES,
        "interval": run.interval | {"sentences": describe.interval_sentences(run, left, right)},
        "past_range": describe.range_sentences(run.modes) + run.warnings,
        "why": why_data(run),
        "power_load_range": power_load.shown_loads(run.modes),
        "power_load_words": power_load_words(run),
        "left": run.modes.index(left),
        "right": run.modes.index(right),
        "waveform_end_us": 1e6 * waveform_kind.shown_time(run),
        "modes": [mode_data(run, mode, position, shown, every) for position, mode in enumerate(run.modes)],
    }


def question_view(run, view):
    """What is shown of the specimen before the answer: a size from the electrode alone, so that the picture's scale
    tells nothing; only where the answer would not fit, the next whole 5 mm. Also the most that can be entered."""
    face = max(2e3 * run.electrode["radius_m"], SMALLEST_QUESTION)

    def at_least(shown, end):
        size = face if shown <= face else QUESTION_STEP * np.ceil(shown / QUESTION_STEP)
        return min(float(size), 1e3 * float(end))

    reach = at_least(view.reach, run.r_face[-1])
    return scene.View(reach, at_least(view.bottom, run.z_face[-1]), 0.12 * reach)


def electrode_data(run, view):
    """What the page draws and names of the electrode, lengths in mm."""
    face, metal = scene.electrode_lines(run.electrode, -0.92 * view.top - 1e3 * run.electrode["gap_m"])
    drawn = {"face": face, "metal": metal}
    return {"radius": 1e3 * run.electrode["radius_m"], "gap": 1e3 * run.electrode["gap_m"]} | {
        name: [[rounded(point) for point in line] for line in lines] for name, lines in drawn.items()}


def why_data(run):
    """The shares of what differs and the sentences, or why there are none."""
    if not run.why["computed"]:
        return run.why
    positions = [[d.name for d in run.modes].index(mode["name"]) for mode in run.why["modes"]]
    return {
        "computed": True,
        "modes": positions,
        "words": describe.shares_words(run),
        "how_to_read": mechanisms.HOW_TO_READ,
        "sentences": run.why["sentences"],
        "shares": [{
            "name": name,
            "share": share,
            "least": least,
            "greatest": greatest
        } for name, share, least, greatest, _ in describe.shares(run)]
    }


def cut_words(run, view):
    """The colours of a cut specimen and what they stand for."""
    layers = [{"words": f"fresh {name}", "top": top, "bottom": min(bottom, view.bottom), "colour": colour}
              for name, top, bottom, colour in describe.fresh_layers(run) if top < view.bottom]
    effects = [{"name": name, "colour": colour, "words": said} for name, (colour, said) in palette.CUT_EFFECTS.items()
               if name in run.effects]
    return {"mark": palette.CUT_MARK, "paper": palette.CUT_PAPER, "layers": layers, "effects": effects,
            "main": scene.main_effect(run)}


def effect_words(run, name):
    return {"name": name, "words": words.plain_words(name), "meaning": describe.effect_meaning(run, name)}


def field_words(field):
    colours = palette.ANCHORS[field.colours]
    return {
        "beyond": bool(field.beyond),
        "key": "omega" if field.key.startswith("omega_") else field.key,
        "label": field.label,
        "colours": colours[::-1] if field.key == "water_fraction" else colours,
        "low": field.low,
        "high": field.high,
        "logarithmic": field.logarithmic,
        "isolines": list(field.isolines)
    }


def rounded(values, digits=6):
    return [float(f"{v:.{digits}g}") for v in values]


def or_none(value, digits=5):
    """JSON has no infinity and no NaN."""
    return float(f"{value:.{digits}g}") if np.isfinite(value) else None


def mode_data(run, mode, position, shown, every):
    frames = np.unique(np.append(np.arange(0, len(mode.time), every), len(mode.time) - 1))
    summary = {key: or_none(value) for key, value in mode.summary.items() if isinstance(value, (int, float))}
    return {
        "name": mode.name,
        "label": mode.label,
        "crest_factor": mode.crest_factor,
        "waveform_words": waveform_kind.in_words(mode),
        "source_words": describe.source_words(mode),
        "activation": mode.activation,
        "colour": palette.MODE_COLOURS[position % len(palette.MODE_COLOURS)],
        "dark_colour": palette.MODE_COLOURS_ON_DARK[position % len(palette.MODE_COLOURS)],
        "dash": palette.PLOTLY_DASHES[position % len(palette.PLOTLY_DASHES)],
        "time": rounded(mode.time[frames]),
        "fields": packed_fields(run, mode, frames, shown),
        "depth": {name: packed_depth(effect, frames, shown) for name, effect in mode.effects.items()},
        "lines": {name: packed_lines(run, mode, name, frames, shown, contours.effect_lines) for name in mode.effects},
        "regions": {name: packed_lines(run, mode, name, frames, shown, contours.effect_regions)
                    for name in mode.effects if name in palette.CUT_EFFECTS or name == scene.main_effect(run)},
        "shown": mode.shown,
        "spared": spared_place(run, mode),
        "result": {name: {"depth": or_none(1e3 * e.greatest), "axis": or_none(1e3 * e.axis),
                          "half_width": or_none(1e3 * e.half_width), "volume": or_none(1e9 * e.volume),
                          "shown": e.shown, "mark": describe.PAST_RANGE * e.past_range}
                   for name, e in mode.effects.items()},
        "summary": summary,
        "trace": histories(mode),
        "power_load": power_load_data(mode),
        "waveform": waveform(run, mode),
    }


def power_load_data(mode):
    """Curve, path and what happened on it: loads [ohm], powers [W], voltages [V], currents [A], times [s]."""
    curve = {key: rounded(values, 5) for key, values in mode.power_load.items()}
    path, rated = power_load.path_of(mode), power_load.rated_load(mode)
    data = {"curve": curve, "rated_load": rated, "path": None, "events": {}}
    if path is None:
        return data

    def points(times):
        load, power = path.at(times)
        return {"t": rounded(times, 5), "load": rounded(load, 5), "power": rounded(power, 5)}

    kept = [packing.thinned(path.time, values)[0] for values in (np.log(path.load), path.power)]
    data["path"] = points(np.union1d(*kept))
    data["seconds"] = points(path.seconds)
    data["events"] = {word: points(np.array([time])) for word, time in power_load.events_of(mode).items()}
    return data


def power_load_words(run):
    """What the page says of every pair of modes, [left][right]: heading and text of each sentence."""
    effect = scene.main_effect(run)
    return [[power_load.sentences(run, left, right, effect) for right in run.modes] for left in run.modes]


def packed_depth(effect, frames, shown):
    return packing.pack(1e3 * effect.depth[frames][:, shown[1]], 0.0, max(1e3 * effect.depth.max(), 1e-3), 1e-4)


def histories(mode):
    """The traces the page can draw, and the greatest depth of every effect [mm]."""
    time = mode.trace["t_s"]
    traces = {key: history(time, describe.history(mode, key)) for key in HISTORIES if key in mode.trace}
    depths = {f"depth {name}": history(time, 1e3 * e.greatest_trace) for name, e in mode.effects.items()}
    return traces | depths


def packed_fields(run, mode, frames, shown):
    """Quantities at hand in the file, in the shown part; those that are missing are left out."""
    packed = {}

    def put(name, key, low, high, quantum, logarithm=False):
        if key not in mode.fields:
            return
        values = np.stack([np.asarray(mode.fields[key][int(k)][shown], float) for k in frames])
        if logarithm:
            values = np.log10(np.maximum(values, 10.0**low))
        low, high = (values.min() if low is None else low), (values.max() if high is None else high)
        packed[name] = packing.pack(values, low, max(high, low + quantum), quantum) | {"logarithmic": logarithm}

    put("temperature_C", "temperature_C", None, None, TEMPERATURE_QUANTUM)
    put("water_fraction", "water_fraction", 0.0, 1.0, WATER_QUANTUM)
    put("omega", run.damage_field(mode), *OMEGA_RANGE, OMEGA_QUANTUM, True)
    put("heating_W_m3", "heating_W_m3", *HEATING_RANGE, HEATING_QUANTUM, True)
    return packed


def spared_place(run, mode):
    """Where tissue right under the electrode is spared at the end of the run (r, z) [mm], or None."""
    place = contours.spared_lens(run, mode, scene.main_effect(run))
    return place and rounded([1e3 * x for x in place])


def packed_lines(run, mode, name, frames, shown, found):
    """The lines or outlines of an effect in every frame: all points in a row [um], and how many each and each frame
    has."""
    rows, columns = shown[0].stop, shown[1].stop
    points, lengths, lines_of_frame = [], [], []
    for frame in frames:
        lines = found(run, mode, name, int(frame), columns, rows)
        lines_of_frame.append(len(lines))
        lengths += [len(r) for r, _ in lines]
        points += [np.stack([r, z], axis=1) for r, z in lines]
    flat = 1e6 * np.concatenate(points).T if points else np.zeros((2, 0))
    return packing.pack(flat, 0.0, max(float(flat.max(initial=0.0)), 1.0), 0.1) | {
        "lengths": lengths,
        "lines": lines_of_frame
    }


def history(time, values):
    t, v = packing.thinned(time, values)
    return {"t": rounded(t, 5), "v": [or_none(x) for x in v]}


def waveform(run, mode):
    """Two bursts at the start of the activation, or nothing where the file does not hold the shape."""
    end = waveform_kind.shown_time(run)
    time = np.linspace(0, end, 1600)
    v = waveform_kind.shape(mode, time)
    rms, peak = (float(mode.trace[key][0]) for key in ("rms_V", "peak_V"))
    said = f"peak {describe.as_shown(run, 'voltage', peak)}, rms {describe.as_shown(run, 'voltage', rms)}"
    return {"rms": or_none(rms), "peak": or_none(peak), "words": said,
            "t": rounded(1e6 * time, 5), "v": [or_none(x, 4) for x in v * mode.trace["peak_V"][0]]}
