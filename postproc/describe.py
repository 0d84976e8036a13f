"""Words for a drive and for the result, shared by the figures, the handout and the page."""

import appearance


def waveform_words(drive):
    """The waveform by what it is."""
    w = drive.waveform or drive.settings.get("waveform", {})
    kind = w.get("kind", "")
    if kind == "gated":
        return f"gated, {100 * w.get('duty', 1):g} % on"
    if kind == "decaying":
        decay = w.get("decay_s", 1e-6 * w.get("decay_us", 0)) * 1e6
        return f"decaying, time constant {decay:g} \u00b5s"
    return str(kind)


def source_words(drive):
    """The source by its characteristic and its dial."""
    s = drive.settings.get("source", {})
    kind = s.get("kind", "")
    if kind in ("regulated", "power"):
        words = f"dial {s.get('dial_W', 0):g} W, {'regulated' if kind == 'regulated' else 'constant power'}"
    elif kind == "matched":
        words = f"dial {s.get('dial_W', 0):g} W, matched to {s.get('match_ohm', 0):g} \u03a9"
    elif kind == "voltage":
        words = f"{s.get('rms_V', 0):g} V rms"
    elif kind == "table":
        words = f"dial {s.get('dial_W', 0):g} W, load table"
    else:
        words = kind
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
    s, e = run.case.get("specimen", {}), run.electrode
    layers = s.get("layers")
    tissue = ", ".join(f"{entry.get('tissue', '?')} {entry.get('thickness_mm', 0):g} mm" for entry in layers) if layers else s.get("tissue", "")
    start = f" at {s['start_C']:g} \u00b0C" if "start_C" in s else ""
    contact = run.case.get("electrode", {}).get("contact", "")
    return (f"Specimen: {str(tissue).replace('_', ' ')}{start}. Electrode: {e['shape']}, {2e3 * e['radius']:g} mm across"
            f"{', contact ' + contact if contact else ''}.")


def why_words(run, left, right):
    """What differs between the two drives on the way to the depth, from the run's own numbers.

    Observations, not an attribution: how much each mechanism accounts for is what `dryfront why` computes.
    """
    if left is right:
        return []
    a, b = left.summary, right.summary
    sentences = []
    if "delivered_J" in a and "delivered_J" in b:
        sentences.append(f"Energy: \u201c{left.name}\u201d delivered {a['delivered_J']:.0f} J, \u201c{right.name}\u201d "
                         f"{b['delivered_J']:.0f} J; the same dial need not give the same power at a low load.")
    if all(k in s and s.get("delivered_J", 0) > 0 for s in (a, b) for k in ("surface_J", "delivered_J")):
        sentences.append(f"Where it went: {100 * a['surface_J'] / a['delivered_J']:.0f} % of it into the contact and sparks with "
                         f"\u201c{left.name}\u201d, {100 * b['surface_J'] / b['delivered_J']:.0f} % with \u201c{right.name}\u201d. "
                         "What stays at the surface chars it and heats the depth late or not at all.")
    struck = [event_words(s.get("struck_s")) for s in (a, b)]
    dry = [event_words(s.get("dry_out_s")) for s in (a, b)]
    sentences.append(f"Contact: sparks from {struck[0]} against {struck[1]}, dry-out at {dry[0]} against {dry[1]} "
                     f"(\u201c{left.name}\u201d against \u201c{right.name}\u201d). A dry contact without sparks ends the current.")
    sentences.append("How much each mechanism accounts for: dryfront why CASE.toml.")
    return sentences
