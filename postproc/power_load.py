"""Power against load: curve and path of a mode, and the words of what was set, what was delivered, into which load,
what that did. Numbers of the run file alone, so that figures, handout and page show and say the same.
"""

from dataclasses import dataclass

import numpy as np

import describe
import words

ALIKE = 0.02  # of energies, of mean power against the setting: less is not told apart
REACHED = 0.999  # of a limit
DECADES = (1.0, 1e4)  # loads of the curves [ohm]


@dataclass
class Path:
    """Load [ohm] and delivered power [W] while the current flowed; loads beyond the curves stand at their ends."""

    time: np.ndarray  # [s]
    load: np.ndarray
    power: np.ndarray
    seconds: np.ndarray  # whole seconds of the activation, the start among them
    clipped: bool  # a load lay beyond the curves

    def at(self, time):
        """Load and power at times, the load by its logarithm."""
        return np.exp(np.interp(time, self.time, np.log(self.load))), np.interp(time, self.time, self.power)


def path_of(mode):
    """The path of a mode, or None where no current flowed."""
    t, power = mode.trace["t_s"], mode.trace["power_W"].astype(float)
    flows = (t <= mode.activation * (1 + 1e-9)) & (power > 0)
    if not flows.any():
        return None
    load = mode.trace["resistance_ohm"][flows].astype(float)
    inside = np.clip(load, *DECADES)
    last = t[flows][-1]
    return Path(t[flows], inside, power[flows], np.arange(np.floor(last + 1e-9) + 1), bool(np.any(inside != load)))


def events_of(mode):
    """What happened on the path: word and time [s]."""
    happened = {"arcing sets in": mode.summary["arcing_s"], "dried out": mode.summary["dry_out_s"]}
    return {word: float(time) for word, time in happened.items() if time == time and time <= mode.activation}


def rated_load(mode):
    """The load that takes all of the setting, of a source that has one [ohm]."""
    return float(mode.source["rated_load_ohm"]) if mode.source["kind"] == "unregulated" else None


def shown_loads(modes):
    """Whole decades, three at least, that hold the paths and the rated loads [ohm]."""
    found = [rated_load(mode) for mode in modes if rated_load(mode)]
    for path in filter(None, map(path_of, modes)):
        found += [path.load.min(), path.load.max()]
    low, high = (np.floor(np.log10(min(found))), np.ceil(np.log10(max(found)))) if found else (1, 4)
    high = min(max(high, low + 3), 4)
    return 10.0**max(min(low, high - 3), 0), 10.0**high


def set_words(mode):
    """What the mode was set to."""
    s = mode.source
    if s["kind"] == "voltage":
        return f"{s['rms_V']:g} V rms"
    if s["kind"] == "temperature":
        return f"hold {s['hold_C']:g} \u00b0C at {words.plain_words(s['probe'])} with at most {s['setting_W']:g} W"
    return f"{s['setting_W']:g} W"


def mean_power(mode):
    return float(mode.summary["delivered_J"]) / mode.activation


def load_words(run, mode):
    """The loads while power flowed."""
    load = mode.trace["resistance_ohm"][mode.trace["power_W"] > 0].astype(float)
    low, high = (describe.as_shown(run, "resistance", float(value)) for value in (load.min(), load.max()))
    return low if low == high else f"{low.rsplit(' ', 1)[0]} to {high}"


def power_words(run, value):
    return describe.as_shown(run, "power", float(value))


def cell_at(run, depth):
    """Height of the cells at a depth: less than that two depths cannot be told apart [m]."""
    row = min(int(np.searchsorted(run.z_face, depth, side="right")) - 1, len(run.z) - 1)
    return float(run.z_face[row + 1] - run.z_face[row])


def reasons(mode):
    """Why less was delivered than was set, as the run itself shows it; empty where it was not."""
    s = mode.source
    if s["kind"] == "voltage" or mean_power(mode) > (1 - ALIKE) * s["setting_W"]:
        return []
    found = []
    if s["kind"] == "unregulated":
        found.append(f"its source is rated for {s['rated_load_ohm']:g} ohm")
    if s["kind"] == "temperature":
        found.append(f"its source gives no more than holds {s['hold_C']:g} \u00b0C")
    if s["kind"] == "table":
        found.append("its source gives what its table has for the load")
    if describe.flat_range(s):
        found.append("its source holds the power from {:g} to {:g} ohm alone".format(*describe.flat_range(s)))
    if 0 < REACHED * s["peak_limit_V"] < mode.trace["peak_V"].max():
        rms = s["peak_limit_V"] / mode.crest_factor
        found.append(f"it came to its limit of {s['peak_limit_V']:g} V peak, which at a crest factor of "
                     f"{mode.crest_factor:.2f} is {rms:.0f} V rms")
    if 0 < REACHED * s["current_limit_A"] < mode.trace["current_A"].max():
        found.append(f"it came to its limit of {s['current_limit_A']:g} A")
    return found


def delivered_words(run, mode):
    """Power on average, load, and why it is less than was set."""
    because = " and ".join(reasons(mode))
    said = f"{power_words(run, mean_power(mode))} on average into {load_words(run, mode)}"
    return said + (f", because {because}" if because else "")


def named(mode):
    return f"\u201c{mode.label}\u201d"


def alike(first, second):
    """Whether two tables of attributes say the same, samples of a waveform included."""
    return first.keys() == second.keys() and all(np.array_equal(first[key], second[key]) for key in first)


def differences(left, right):
    """In what the two modes differ, as they were set."""
    found = []
    if not alike(left.source, right.source):
        found.append("the source")
    if not alike(left.waveform, right.waveform):
        found.append(f"the waveform (crest factor {left.crest_factor:.2f} and {right.crest_factor:.2f})")
    if (left.activation, left.after) != (right.activation, right.after):
        found.append("the time")
    return found


def difference_words(left, right):
    found = differences(left, right)
    if not found:
        return "They differ in nothing that the model sees."
    return f"They differ in {' and '.join(found)}" + (" alone." if len(found) == 1 else ".")


def what_was_set(left, right):
    if left is right:
        return f"{named(left)} was set to {set_words(left)}."
    a, b = set_words(left), set_words(right)
    said = f"both to {a}" if a == b else f"{named(left)} to {a}, {named(right)} to {b}"
    return f"{said[0].upper()}{said[1:]}. {difference_words(left, right)}"


def what_was_delivered(run, left, right):
    if left is right:
        return f"{named(left)} {delivered_words(run, left)}."
    a, b = delivered_words(run, left), delivered_words(run, right)
    if a == b:
        return f"Both {a}."
    return f"{named(left)} {a}; {named(right)} {b}."


def what_that_did(run, left, right, effect):
    """Energies beside depths: which of them go together, no attribution."""
    reached, depths = words.plain_words(effect), [mode.effects[effect].greatest for mode in (left, right)]
    energies = [float(mode.summary["delivered_J"]) for mode in (left, right)]
    if left is right:
        return f"{left.shown['delivered_J']}, and {reached} to {left.effects[effect].shown['depth']}."
    same_depth = abs(depths[0] - depths[1]) < cell_at(run, max(depths)) if max(depths) > 0 else True
    shown = [mode.effects[effect].shown["depth"] for mode in (left, right)]
    said = " and ".join(shown)
    if abs(energies[0] - energies[1]) <= ALIKE * max(energies):
        begin = f"Both delivered {energy_words(left, right)}"
        if same_depth:
            return f"{begin}, and reached {reached} alike: {said}."
        return f"{begin}, yet reached {reached} to {said}: that difference is not one of energy."
    more, less = (0, 1) if energies[0] > energies[1] else (1, 0)
    mode = (left, right)
    begin = (f"{named(mode[more])} delivered {mode[more].shown['delivered_J']}, {named(mode[less])} "
             f"{mode[less].shown['delivered_J']}. ")
    if same_depth:
        return f"{begin}Both reached {reached} alike for all that: {said}."
    if depths[more] > depths[less]:
        return (f"{begin}The one that delivered more reached deeper: {reached} to {shown[more]} "
                f"against {shown[less]}.")
    return (f"{begin}The one that delivered less reached deeper: {reached} to {shown[less]} "
            f"against {shown[more]}.")


def energy_words(left, right):
    a, b = left.shown["delivered_J"], right.shown["delivered_J"]
    return a if a == b else f"much the same energy, {a} and {b}"


def event_sentence(run, mode):
    """When a mode's contact dried out and arced, and where that took load and power; empty where neither came."""
    events, path = events_of(mode), path_of(mode)
    if not events or path is None:
        return ""
    parts = []
    if "dried out" in events:
        load, power = path.at(events["dried out"])
        last = mode.trace["power_W"] > 0
        end = mode.trace["resistance_ohm"][last][-1], mode.trace["power_W"][last][-1]
        at, at_end = (describe.as_shown(run, "resistance", float(value)) for value in (load, end[0]))
        parts.append(f"dried out at {mode.shown['dry_out_s']} ({at}, {power_words(run, power)}) and ended at {at_end} "
                     f"with {power_words(run, end[1])}")
    if "arcing sets in" in events:
        parts.append(f"arced from {mode.shown['arcing_s']}")
    return f"{named(mode)} {' and '.join(parts)}."


def contact_sentence(run, left, right):
    """Dry-out and arcing of both; that neither came where neither did."""
    said = [sentence for sentence in dict.fromkeys(event_sentence(run, mode) for mode in (left, right)) if sentence]
    if not said:
        return "Neither dried out nor arced." if left is not right else "It neither dried out nor arced."
    both = left is not right and all("dried out" in events_of(mode) for mode in (left, right))
    return " ".join((["Both dried out."] if both else []) + said)


def sentences(run, left, right, effect):
    """Heading and text of each of the four."""
    return [("Set", what_was_set(left, right)), ("Delivered", what_was_delivered(run, left, right)),
            ("What that did", what_that_did(run, left, right, effect)), ("Contact", contact_sentence(run, left, right))]
