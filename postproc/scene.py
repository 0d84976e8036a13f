"""What of a run is shown: the part of the specimen, the fields with their ranges, the moments."""

from dataclasses import dataclass

import numpy as np


@dataclass
class Field:
    """What is filled: where it comes from, how it is scaled, which map."""

    key: str
    label: str
    colours: str
    low: float
    high: float
    logarithmic: bool = False
    beyond: bool = False  # values above `high` occur and share its colour
    isolines: tuple = ()

    @property
    def name(self):
        """The label without its unit."""
        return self.label.split(" [")[0]


@dataclass
class View:
    """What part of the specimen is shown [mm]."""

    reach: float
    bottom: float
    top: float


def view_of(run, modes):
    """Wide enough for the electrode and every effect of these modes, with room below for the labels."""
    electrode = run.electrode
    widest = 1e3 * electrode["radius_m"]
    deepest = 1e3 * max(electrode["face_z_m"])
    for mode in modes:
        for effect in mode.effects.values():
            touched = np.flatnonzero(effect.depth[-1] > 0)
            if touched.size:
                widest = max(widest, 1e3 * run.r[touched[-1]])
                deepest = max(deepest, 1e3 * effect.greatest)
    reach = min(1.3 * widest, 1e3 * run.r_face[-1])
    bottom = min(max(1.5 * deepest, 0.45 * reach, deepest + 0.25 * reach), 1e3 * run.z_face[-1])
    return View(reach, bottom, 0.12 * reach)


def tick_step(view):
    """A round distance of the ticks, the same both ways: at most six from the axis to the edge [mm]."""
    return next(step for step in (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50) if view.reach <= 6 * step)


def main_effect(run):
    """Coagulation where there is one, else the first effect of the file."""
    return "coagulation" if "coagulation" in run.effects else next(iter(run.effects))


def moment_words(mode, frame):
    """Which moment a frame is, in words: a picture's fields and lines may belong to two of them."""
    time = f"{mode.time[frame]:.4g} s"
    if mode.time[frame] >= mode.time[-1] and mode.after > 0:
        return f"{mode.after:.4g} s after the current ({time})"
    if frame == mode.last_hot_frame:
        return f"at the end of the current ({time})"
    return f"with the current on ({time})" if frame < mode.last_hot_frame else f"after the current ({time})"


def below(line, top):
    """The part of a line that rises from the surface below z = `top`, cut there."""
    inside = [point for point in line if point[1] >= top]
    if len(inside) < len(line):
        (x0, z0), (x1, z1) = line[len(inside) - 1:len(inside) + 1]
        inside.append((x0 + (x1 - x0) * (top - z0) / (z1 - z0), top))
    return inside


def electrode_lines(electrode, top):
    """Contact lines and outlines of the metal, both sides of the axis, each a list of (x, z) [mm].

    The lines of the run file lie in the half plane, from the axis outwards; a face that begins beside the axis is that
    of a ring, whose two sides are drawn apart. The metal goes straight up from the end of its side to z = `top`.
    """
    lift = 1e3 * electrode["gap_m"]

    def line(name):
        r, z = (np.atleast_1d(electrode[f"{name}_{axis}_m"]) for axis in ("r", "z"))
        return [(1e3 * x, 1e3 * y - lift) for x, y in zip(r, z)]

    def mirrored(points):
        return [(-x, z) for x, z in points]

    face = line("face")
    profile = face + below(line("side"), top)
    if face[0][0] > 0:
        half = [(face[0][0], top), *profile, (profile[-1][0], top)]
        return [mirrored(face), face], [mirrored(half), half]
    half = [*profile, (profile[-1][0], top)]
    return [mirrored(face[1:])[::-1] + face], [mirrored(half[1:])[::-1] + half]


def temperature_field(run, modes):
    hottest = max(float(d.fields["temperature_C"][d.last_hot_frame].max()) for d in modes)
    coldest = min(float(d.fields["temperature_C"][0].min()) for d in modes)
    # Hotter than this is the thin charred skin alone; the range would be spent on it and the depth look all alike.
    high = min(10 * np.ceil(max(hottest, 60) / 10), 120)
    return Field("temperature_C", "temperature [\u00b0C]", "temperature", 10 * np.floor(coldest / 10), high,
                 beyond=hottest > high, isolines=tuple(t for t in (40, 60, 80) if t < hottest))


def water_field(run, modes):
    return Field("water_fraction", "water left [share]", "water", 0.0, 1.0)


def damage_field(run, modes):
    return Field(run.damage_field(modes[0]), "tissue coagulated [%]", "damage", 0.0, 100.0)


def heating_field(run, modes):
    rows, columns = 1e3 * run.z < view_of(run, modes).bottom, 1e3 * run.r < view_of(run, modes).reach
    shown = [d.fields["heating_W_m3"][heating_frame(d)][rows][:, columns] * 1e-6 for d in modes]
    # The very edge of a face is singular: a speck of the picture there would take a decade of the range.
    speck = np.outer(np.diff(run.z_face)[rows], np.diff(run.r_face)[columns])
    usual = max(exceeded_on(values, speck, 0.005) for values in shown)
    high = 10.0 ** np.ceil(np.log10(max(usual, 1e-3)))
    return Field("heating_W_m3", "heating density [W/cm\u00b3]", "heating", high * 1e-3, high, logarithmic=True,
                 beyond=max(float(values.max()) for values in shown) > high)


def exceeded_on(values, areas, share):
    """The value that is exceeded on a share of the area."""
    order = np.argsort(values, axis=None)[::-1]
    covered = np.cumsum(areas.reshape(-1)[order])
    return float(values.reshape(-1)[order][np.searchsorted(covered, share * covered[-1])])


def heating_frame(mode):
    """The frame nearest the middle of the activation: the current is on and the pattern has settled."""
    return mode.frame_at(mode.activation / 2)


def frame_for(field, mode):
    """Heating in the middle of the activation, damage and water at the end, temperature when the current goes off."""
    if field.key == "heating_W_m3":
        return heating_frame(mode)
    return mode.last_hot_frame if field.key == "temperature_C" else len(mode.time) - 1


def fields_of(run, modes):
    """The fields to show, in this order: those that all of these modes have in the file."""
    makers = [(temperature_field, "temperature_C"), (water_field, "water_fraction"),
              (damage_field, run.damage_field(modes[0])), (heating_field, "heating_W_m3")]
    return [make(run, modes) for make, key in makers if key and all(key in d.fields for d in modes)]
