"""Words for a drive and for the result, shared by the figures, the handout and the page."""

import appearance
import run_file


def waveform_words(drive):
    """The waveform by what it is."""
    w = drive.waveform
    kind = w["kind"]
    if kind == "gated":
        return f"gated, {100 * w['duty']:g} % on"
    if kind == "decaying":
        return f"decaying, time constant {1e6 * w['decay_s']:g} \u00b5s"
    return kind


def source_words(drive):
    """The source by its characteristic and its dial."""
    s = drive.source
    kind = s["kind"]
    if kind in ("regulated", "power"):
        words = f"dial {s['dial_W']:g} W, {'regulated' if kind == 'regulated' else 'constant power'}"
    elif kind == "matched":
        words = f"dial {s['dial_W']:g} W, matched to {s['match_ohm']:g} \u03a9"
    elif kind == "voltage":
        words = f"{s['rms_V']:g} V rms"
    else:
        words = f"dial {s['dial_W']:g} W, load table"
    return words


def headline(drive):
    """Name, and what the trade's number says about the shape."""
    return f"{drive.name} \u2013 crest factor {drive.crest_factor:.2f}"


def compare_words(left, right, effect="coagulation"):
    """One sentence: which reached deeper, by how much."""
    a, b = (d.effects.get(effect) for d in (left, right))
    if left is right or a is None or b is None:
        return ""
    if a.greatest == 0 and b.greatest == 0:
        return f"Neither drive reached {effect}."
    deeper, other = (left, right) if a.greatest >= b.greatest else (right, left)
    d, o = deeper.effects[effect].greatest, other.effects[effect].greatest
    if abs(d - o) < 5e-6:
        return f"Both drives reached {effect} to {appearance.millimetres(d)}."
    by = f"{1e3 * (d - o):.2f} mm"
    ratio = f", {d / o:.2f} times as deep" if o > 0 else ""
    return (f"\u201c{deeper.name}\u201d reached deeper: {effect} to {appearance.millimetres(d)} against "
            f"{appearance.millimetres(o)} for \u201c{other.name}\u201d ({by} more{ratio}).")


def event_words(value):
    """The moment of an event for a table, or that it did not come."""
    return "never" if value is None or value != value or value < 0 else f"{value:.2f} s"


def specimen_words(run):
    """Tissue, start temperature and electrode in one sentence."""
    s, e = run.specimen, run.electrode
    names = [name.replace("_", " ") for name in run_file.listed(s["layer_tissue"])]
    depths = run_file.listed(s["layer_thickness_m"])
    tissue = names[0] if len(names) == 1 else " on ".join(
        f"{1e3 * d:g} mm {n}" if k + 1 < len(names) else n for k, (n, d) in enumerate(zip(names, depths)))
    return (f"Specimen: {tissue} at {s['start_C']:g} \u00b0C. Electrode: {e['shape']}, {2e3 * e['radius_m']:g} mm across, "
            f"contact: {e['contact']}.")


def why_words(run, left, right):
    """What differs between the two drives on the way to the depth, from the run's own numbers.

    Observations, not an attribution: how much each mechanism accounts for is what `dryfront why` computes.
    """
    if left is right:
        return []
    a, b = left.summary, right.summary
    sentences = []
    sentences.append(f"Energy: \u201c{left.name}\u201d delivered {a['delivered_J']:.0f} J, \u201c{right.name}\u201d "
                     f"{b['delivered_J']:.0f} J; the same dial need not give the same power at a low load.")
    if min(a["delivered_J"], b["delivered_J"]) > 0:
        sentences.append(f"Where it went: {100 * a['surface_J'] / a['delivered_J']:.0f} % of it into the contact and sparks with "
                         f"\u201c{left.name}\u201d, {100 * b['surface_J'] / b['delivered_J']:.0f} % with \u201c{right.name}\u201d. "
                         "What stays at the surface chars it and heats the depth late or not at all.")
    struck = [event_words(s.get("struck_s")) for s in (a, b)]
    dry = [event_words(s.get("dry_out_s")) for s in (a, b)]
    sentences.append(f"Contact: sparks from {struck[0]} against {struck[1]}, dry-out at {dry[0]} against {dry[1]} "
                     f"(\u201c{left.name}\u201d against \u201c{right.name}\u201d). A dry contact without sparks ends the current.")
    sentences.append("How much each mechanism accounts for: dryfront why CASE.toml.")
    return sentences
