"""Words for a mode and for the result, shared by the figures, the handout and the page."""

import numpy as np

import contours
import palette
import run_file
import scene
import words

PAST_RANGE = "*"  # beside a depth that rests on temperatures past those the model knows

CAUTIONS = [
    "For teaching and research only. Never for choosing settings on a patient.",
    "What is done in practice follows local codes and is left to those licensed to do it.",
    "A model specimen with numbers from the literature or assumed; depths in living tissue differ.",
]


def flat_range(source):
    """Between which loads a source holds its power [ohm]; empty: over all."""
    ends = source.get("flat_ohm", [])
    return ends if any(ends) else []


def source_words(mode):
    """The source by its characteristic and its setting."""
    s = mode.source
    setting = f"set to {s['setting_W']:g} W"
    if s["kind"] == "constant_power":
        flat = " from {:g} to {:g} ohm".format(*flat_range(s)) if flat_range(s) else ""
        return f"constant power{flat}, {setting}"
    if s["kind"] == "unregulated":
        return f"unregulated, rated for {s['rated_load_ohm']:g} ohm, {setting}"
    if s["kind"] == "temperature":
        return f"holds {s['hold_C']:g} \u00b0C at {words.plain_words(s['probe'])}, at most {s['setting_W']:g} W"
    if s["kind"] == "voltage":
        return f"constant voltage, {s['rms_V']:g} V rms"
    if s["kind"] == "table":
        return f"power by a measured table of loads, {setting}"
    return words.plain_words(s["kind"])


def headline(mode):
    """Label, and what the trade's number says about the shape."""
    return f"{mode.label} \u2013 crest factor {mode.shown['crest_factor']}"


def compare_words(run, left, right, effect):
    """One sentence: which reached deeper, by how much, or that the grid cannot tell; as the program says it."""
    return run.pairs[left.name, right.name, effect]


def range_sentences(modes):
    """What the program says of each mode that went past the temperatures the model knows; as the run file has it."""
    return list(dict.fromkeys(f"{PAST_RANGE} {mode.past_range}" for mode in modes if mode.past_range))


def specimen_words(run):
    """Tissue, start temperature and electrode in one sentence."""
    s, e = run.specimen, run.electrode
    names = [words.tissue_words(name) for name in run_file.listed(s["layer_tissue"])]
    depths = run_file.listed(s["layer_thickness_m"])
    tissue = names[0] if len(names) == 1 else " on ".join(
        f"{1e3 * d:g} mm {n}" if k + 1 < len(names) else n for k, (n, d) in enumerate(zip(names, depths)))
    plane = run.symmetry == "plane"
    shape = words.LONG_SHAPE[e["shape"]] if plane else e["shape"]
    across = f"{2e3 * e['radius_m']:g} mm across" + (f" and {1e3 * run.length:g} mm long" if plane else "")
    return (f"Specimen: {tissue} at {s['start_C']:g} \u00b0C. Electrode: {shape}, {across}, "
            f"{words.CONTACT[e['contact']]}.")


def why_words(run, left, right):
    """What differs between the two modes on the way to the depth: observations of the run, no attribution."""
    if left is right:
        return []
    a, b = left.summary, right.summary
    sentences = []
    sentences.append(f"Energy: \u201c{left.label}\u201d delivered {left.shown['delivered_J']}, "
                     f"\u201c{right.label}\u201d {right.shown['delivered_J']}; the same setting need not give "
                     "the same power at a low load.")
    if min(a["delivered_J"], b["delivered_J"]) > 0:
        sentences.append(
            f"Where it went: {left.shown['surface_J']} of it into the contact and its arcs with "
            f"\u201c{left.label}\u201d, {right.shown['surface_J']} with "
            f"\u201c{right.label}\u201d. What is spent at the surface reaches the depth late or not at all.")
    sentences.append(
        f"Contact: {contact_words(left)}; {contact_words(right)}. A dry contact without arcing ends the current.")
    return sentences


def interval_of(run, name):
    """What the interval says of one of its numbers, or None."""
    quantities = run.interval.get("quantities", [])
    return next((q for q in quantities if q["name"] == name), None)


def interval_line(run, left, right):
    """The interval of the shown pair in one line, or that there is none."""
    if not run.interval["computed"]:
        return "No interval was computed for these depths."
    depths = [interval_of(run, f"depth_mm.{mode.name}") for mode in ((left,) if left is right else (left, right))]
    ranges = " against ".join(q["shown"]["range"] for q in depths)
    line = (f"{100 * run.interval['share']:.0f} % range over {len(run.interval['assumed'])} assumed numbers: "
            f"{words.plain_words(run.interval['effect'])} {ranges}")
    if is_pair(run, left, right):
        line += f"; {left.label} / {right.label}: {interval_of(run, 'depth_ratio')['shown']['range']}"
    return line + "." + "".join(outside_words(mode.label, q) for mode, q in zip((left, right), depths))


def outside_words(label, quantity):
    """Where the case's own numbers put a depth beside its range."""
    for end, beside in (("low", lambda d, e: d < e), ("high", lambda d, e: d > e)):
        value = quantity[end]["value"]
        if value is not None and beside(quantity["here"], value):
            return f" In this case {label} lies {'below' if end == 'low' else 'above'} its range."
    return ""


def is_pair(run, left, right):
    """Whether the interval compares these two, in this order."""
    return (run.interval.get("first"), run.interval.get("second")) == (left.name, right.name)


def interval_sentences(run, left, right):
    """The interval in full sentences: ranges, what matters most, how good the ends are, what it is not."""
    interval = run.interval
    if not interval["computed"]:
        return [f"No interval was computed for these depths ({interval['reason']})."]
    sentences = [interval_line(run, left, right)]
    if is_pair(run, left, right):
        ratio = interval_of(run, "depth_ratio")
        sentences.append(f"\u201c{left.label}\u201d reaches deeper than \u201c{right.label}\u201d in "
                         f"{100 * interval['first_deeper']:.0f} % of the {interval['points']} runs behind it; "
                         f"{foremost_words(ratio)}.")
    sentences.append("The range is that of the model over what it assumes, not that of tissue.")
    return sentences


def foremost_words(quantity):
    """The assumed number that a result hangs on most."""
    if not quantity["stands_out"]:
        return "of the assumed numbers none stands out as the one that matters most"
    key = quantity["foremost"]
    return f"what matters most is the {words.key_words(key)} (rank correlation {quantity['shown']['foremost']})"


def shares(run):
    """The difference in depth by what differs: name, what it adds, least and greatest in any order [mm], sentence."""
    players = run.why["quantities"][0]["players"]
    named = [(p["words"], players[p["key"]], p["sentence"]) for p in run.why["players"] if p["differs"]]
    return [(name, m["share"], m["least"], m["greatest"], sentence) for name, m, sentence in named]


def shares_words(run):
    """What the shares add up to, between which modes."""
    depth, labels = run.why["quantities"][0], [mode["label"] for mode in run.why["modes"]]
    return (
        f"{depth['words'].capitalize()}: {labels[0]} {depth['first']:.2f} mm, {labels[1]} {depth['second']:.2f} mm, "
        f"difference {depth['difference']:+.2f} mm, at {run.why['resolution'].split(' (')[0]}. {run.why['basis']}")


def shares_beside(run):
    """The sentences that belong to no share: the power first, what does not differ and the conditions last."""
    of_players = {p["sentence"] for p in run.why["players"]}
    first, *others = run.why["sentences"]
    return first, [sentence for sentence in others if sentence not in of_players]


def contact_words(mode):
    """From when a mode's contact arced and when it dried out."""
    arcing, dry = mode.shown["arcing_s"], mode.shown["dry_out_s"]
    return (f"\u201c{mode.label}\u201d {'no arcing' if arcing == 'never' else 'arcing from ' + arcing}, "
            f"{'no dry-out' if dry == 'never' else 'dry-out at ' + dry}")


def effect_meaning(run, name):
    """What an effect's curve means, in the words of its definition."""
    of, at = run.effects[name]["of"], run.effects[name]["at"]
    name = words.plain_words(name)
    if of.startswith("damage"):
        return f"{name}: damage integral {at:g}"
    if of == "dry":
        return f"{name}: water left {100 * at:g} %"
    if of == "peak_temperature":
        return f"{name}: reached {at:g} \u00b0C"
    if of == "temperature":
        return f"{name}: {at:g} \u00b0C"
    return f"{name}: CEM43 = {at:g} min"


def as_shown(run, quantity, value):
    """A value that changes with time, so that no text of it stands in the file, with the digits of its quantity.

    By the rule of solver/files/shown_numbers.cpp.
    """
    rule = run.quantities[quantity]
    decimals = rule["decimals"]
    if rule["significant"] and value:
        power = int(f"{value:.{rule['significant'] - 1}e}".split("e")[1])
        decimals = min(decimals, rule["significant"] - 1 - power)
    return f"{round(value, decimals):.{max(decimals, 0)}f} {rule['unit']}".rstrip()


def depth_number(effect):
    """A depth for a table; the word where there is none."""
    return effect.shown["depth"] + PAST_RANGE * effect.past_range


def reached_words(name, effect):
    """Name of an effect and its greatest depth, or that there is none."""
    return f"{words.plain_words(name)} {depth_number(effect)}"


def history(mode, key):
    """A trace with gaps (NaN) where it means nothing: no finite load, or no current to measure one with."""
    values = mode.trace[key].astype(float)
    if key == "resistance_ohm":
        values = np.where(mode.trace["power_W"] > 0, values, np.nan)
    return np.where(np.isfinite(values), values, np.nan)


def line_moment(left, right):
    """Which moment the lines and the depths belong to."""
    words_of = {scene.moment_words(mode, len(mode.time) - 1) for mode in (left, right)}
    return f"Lines and depths: {' and '.join(sorted(words_of))}."


def lens_sentences(run, modes):
    """Why tissue right under the electrode may be spared, for the modes that show it; empty where none does."""
    effect = scene.main_effect(run)
    shown = [mode for mode in modes if contours.spared_lens(run, mode, effect) is not None]
    if not shown:
        return []
    who = " and ".join(dict.fromkeys(f"\u201c{mode.label}\u201d" for mode in shown))
    why = "current crowds to the rim of the face, so that its middle stays cooler"
    if run.electrode.get("heat") != "insulated":
        why += ", and the metal takes up heat"
    return [f"Right under the electrode a part is not reached by {words.plain_words(effect)} ({who}): {why}."]


def fresh_layers(run):
    """Name, top, bottom [mm] and colour of every layer of the specimen, from the surface down."""
    names, thick = (run_file.listed(run.specimen[key]) for key in ("layer_tissue", "layer_thickness_m"))
    layers, top = [], 0.0
    for name, thickness in zip(names, thick):
        layers.append((words.tissue_words(name), top, top + 1e3*thickness, fresh_colour(name)))
        top += 1e3 * thickness
    return layers


def fresh_colour(tissue):
    return palette.CUT_FRESH.get(tissue.split("_")[0], palette.CUT_FRESH_OTHER)
