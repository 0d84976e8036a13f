"""The cross-section: two drives back to back across the axis, a field filled, depths of effect as curves."""

from dataclasses import dataclass

import numpy as np
from matplotlib import patheffects
from matplotlib.colors import LogNorm, Normalize
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path
from matplotlib.ticker import MultipleLocator

import appearance
import contours

HALO = [patheffects.withStroke(linewidth=3.2, foreground="white")]
PIXELS_PER_MM = 36


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
    def map(self):
        """Dark is the most affected: for water that is the low end."""
        colours = appearance.MAPS[self.colours]
        return colours.reversed() if self.key == "water_fraction" else colours

    @property
    def norm(self):
        return LogNorm(self.low, self.high, clip=True) if self.logarithmic else Normalize(self.low, self.high, clip=True)


@dataclass
class View:
    """What part of the specimen is shown [mm]."""

    reach: float
    bottom: float
    top: float


def view_of(run, drives):
    """Wide enough for the electrode and every effect of these drives, with room below for the labels."""
    electrode = run.electrode
    widest = 1e3 * electrode["radius_m"]
    deepest = 1e3 * max(electrode["press_m"], electrode["length_m"])
    for drive in drives:
        for effect in drive.effects.values():
            touched = np.flatnonzero(effect.depth[-1] > 0)
            if touched.size:
                widest = max(widest, 1e3 * run.r[touched[-1]])
                deepest = max(deepest, 1e3 * effect.greatest)
    reach = min(1.3 * widest, 1e3 * run.r_face[-1])
    bottom = min(max(1.5 * deepest, 0.45 * reach), 1e3 * run.z_face[-1])
    return View(reach, bottom, 0.12 * reach)


def temperature_field(run, drives):
    hottest = max(float(d.fields["temperature_C"][d.last_hot_frame].max()) for d in drives)
    coldest = min(float(d.fields["temperature_C"][0].min()) for d in drives)
    # Hotter than this is the thin charred skin alone; the range would be spent on it and the depth look all alike.
    high = min(10 * np.ceil(max(hottest, 60) / 10), 120)
    return Field("temperature_C", "temperature [\u00b0C]", "temperature", 10 * np.floor(coldest / 10), high,
                 beyond=hottest > high, isolines=tuple(t for t in (40, 60, 80) if t < hottest))


def water_field(run, drives):
    return Field("water_fraction", "water left [share of the start]", "water", 0.0, 1.0)


def damage_field(run, drives):
    return Field(run.damage_field(drives[0]), "tissue coagulated, 1 \u2212 exp(\u2212\u03a9) [%]", "damage", 0.0, 100.0)


def heating_field(run, drives):
    greatest = max(float(d.fields["heating_W_m3"][heating_frame(d)].max()) for d in drives) * 1e-6
    high = 10 ** np.ceil(np.log10(max(greatest, 1e-3)))
    return Field("heating_W_m3", "heating density [W/cm\u00b3]", "heating", high * 1e-4, high, logarithmic=True)


def heating_frame(drive):
    """The frame nearest the middle of the dwell: the current is on and the pattern has settled."""
    return drive.frame_at(drive.dwell / 2)


def frame_for(field, drive):
    """Heating in the middle of the dwell, damage and water at the end, temperature when the current goes off."""
    if field.key == "heating_W_m3":
        return heating_frame(drive)
    return drive.last_hot_frame if field.key == "temperature_C" else len(drive.time) - 1


def values_of(field, drive, frame):
    """The field in the unit of its label, cells without a value as 0."""
    raw = np.asarray(drive.fields[field.key][frame], float)
    if field.key.startswith("omega_"):
        return 100 * -np.expm1(-raw)
    return raw * 1e-6 if field.key == "heating_W_m3" else raw


def draw_half(axes, run, drive, field, view, side, labels=True, linewidth=2.2, fontsize=13):
    """One half; side is -1 on the left, +1 on the right. Returns the image."""
    frame = frame_for(field, drive)
    columns, rows = (max(int(PIXELS_PER_MM * length), 2) for length in (view.reach, view.bottom))
    values = values_of(field, drive, frame)
    image = contours.smooth_image(run.r, run.z, values, view.reach * 1e-3, view.bottom * 1e-3, columns, rows)
    extent = (0, view.reach, view.bottom, 0) if side > 0 else (-view.reach, 0, view.bottom, 0)
    artist = axes.imshow(image if side > 0 else image[:, ::-1], extent=extent, aspect="equal", origin="upper",
                         cmap=field.map, norm=field.norm, interpolation="bilinear", zorder=1)
    artist.set_gid(f"{field.key} {drive.name}")
    draw_isolines(axes, run, values, field, view, side, min(fontsize - 2.5, 10.5))
    for position, name in enumerate(run.effects):
        if name not in drive.effects:
            continue
        effect = drive.effects[name]
        r, z = contours.depth_curve(run.r, effect.depth[-1], effect.half_width)
        if r.size:
            axes.plot(side * 1e3 * r, 1e3 * z, color=appearance.INK, linewidth=linewidth, zorder=4,
                      linestyle=appearance.effect_dash(position), gid=f"{effect.name} {drive.name}",
                      path_effects=[patheffects.Stroke(linewidth=linewidth + 2.2, foreground="white", alpha=0.75),
                                    patheffects.Normal()])
    if labels:
        label_depths(axes, run, drive, view, side, fontsize)
    return artist


def draw_isolines(axes, run, values, field, view, side, fontsize):
    if not field.isolines:
        return
    r, z, extended = contours.extended_to_axis(run.r, run.z, values)
    i, j = np.searchsorted(1e3 * r, view.reach) + 1, np.searchsorted(1e3 * z, view.bottom) + 1
    shown = extended[:j, :i]
    levels = [level for level in field.isolines if shown.min() < level < shown.max()]
    if levels:
        lines = axes.contour(side * 1e3 * r[:i], 1e3 * z[:j], shown, levels=levels, colors=appearance.QUIET,
                             linewidths=0.9, zorder=3)
        places = [label_place(lines.allsegs[k], side, view) for k in range(len(levels))]
        texts = axes.clabel(lines, levels=levels, fmt="%g \u00b0C", fontsize=fontsize, inline=True, inline_spacing=3,
                            manual=[p for p in places if p is not None])
        for text in texts:
            text.set_path_effects(HALO)
            text.set_zorder(5)


def label_place(segments, side, view):
    """Where an isoline carries its label: far from the axis, along which the depths are written."""
    points = np.concatenate(segments) if segments else np.empty((0, 2))
    points = points[(points[:, 1] > 0.06 * view.bottom) & (side * points[:, 0] < 0.93 * view.reach)]
    if not len(points):
        return None
    outside = points[side * points[:, 0] > 0.6 * view.reach]
    if len(outside):
        return tuple(outside[int(np.argmax(outside[:, 1]))])
    return tuple(points[int(np.argmax(side * points[:, 0]))])


def label_depths(axes, run, drive, view, side, fontsize):
    """Name and greatest depth of every effect, stacked below its deepest point, never on top of each other."""
    line_height = fontsize / 72 * 1.28 / axes_inches_per_mm(axes, view)
    found = [(e, contours.deepest_point(run.r, e.depth[-1])) for e in drive.effects.values() if e.greatest > 0]
    lowest = -np.inf
    for effect, (r, z) in sorted(found, key=lambda entry: entry[1][1]):
        r, z = 1e3 * r, 1e3 * effect.greatest
        top = max(z + 0.12 * line_height, lowest)
        axes.plot([side * r], [z], marker="v", markersize=5, color=appearance.INK, zorder=6, clip_on=False,
                  gid=f"deepest {effect.name} {drive.name}")
        x = side * (r + 0.012 * view.reach) if r < 0.5 * view.reach else side * r
        align = ("left" if side > 0 else "right") if r < 0.5 * view.reach else ("right" if side > 0 else "left")
        axes.text(x, top, f"{effect.name} {appearance.millimetres(effect.greatest)}", ha=align, va="top",
                  fontsize=fontsize, weight="bold", path_effects=HALO, zorder=7)
        lowest = top + line_height


def axes_inches_per_mm(axes, view):
    figure = axes.figure
    box = axes.get_position()
    width = figure.get_figwidth() * box.width / (2 * view.reach)
    height = figure.get_figheight() * box.height / (view.bottom + view.top)
    return min(width, height)


def draw_electrode(axes, electrode, view, fontsize=12):
    """The electrode above or in the tissue, its contact face as a heavy line [mm]."""
    radius, inner, press, length, gap = (1e3 * electrode[k + "_m"] for k in ("radius", "inner_radius", "press", "length", "gap"))
    style = {"facecolor": appearance.METAL, "edgecolor": appearance.METAL_EDGE, "linewidth": 1.2, "zorder": 8}
    face = {"color": appearance.METAL_EDGE, "linewidth": 3.4, "solid_capstyle": "butt", "zorder": 9, "gid": "contact"}
    top = view.top * 0.92
    name = f"electrode, {2 * radius:g} mm"
    if electrode["shape"] == "ring":
        for side in (-1, 1):
            axes.add_patch(Rectangle((min(side * inner, side * radius), -gap - top), radius - inner, top, **style))
            axes.plot([side * inner, side * radius], [-gap, -gap], **face)
    elif electrode["shape"] == "dome" and press > 0:
        x = np.linspace(-radius, radius, 121)
        sphere = (radius**2 + press**2) / (2 * press)
        z = press - sphere + np.sqrt(np.maximum(sphere**2 - x**2, 0))
        outline = [(-radius, -top), *zip(x, z), (radius, -top), (-radius, -top)]
        axes.add_patch(PathPatch(Path(outline), **style))
        axes.plot(x, z, **face)
    elif electrode["shape"] == "rod":
        axes.add_patch(Rectangle((-radius, -top), 2 * radius, top + length, **style))
        axes.plot([-radius, -radius, radius, radius], [0, length, length, 0], **face)
    else:
        axes.add_patch(Rectangle((-radius, -gap - top), 2 * radius, top, **style))
        axes.plot([-radius, radius], [-gap, -gap], **face)
    if electrode["shape"] in ("ring", "rod"):
        axes.text(radius + 0.02 * view.reach, -top / 2, name, ha="left", va="center", fontsize=fontsize, zorder=10)
    else:
        axes.text(0, -gap - top / 2, name, ha="center", va="center", fontsize=fontsize, zorder=10)


def frame_axes(axes, view):
    """Axes in mm on both sides, depth downwards, the axis of symmetry marked."""
    axes.set_xlim(-view.reach, view.reach)
    axes.set_ylim(view.bottom, -view.top)
    axes.set_aspect("equal")
    axes.grid(False)
    step = 5 if view.reach > 12 else 2
    axes.xaxis.set_major_locator(MultipleLocator(step))
    axes.xaxis.set_minor_locator(MultipleLocator(1))
    axes.xaxis.set_major_formatter(lambda x, _: f"{abs(x):g}")
    axes.yaxis.set_major_locator(MultipleLocator(1 if view.bottom < 10 else 2))
    axes.yaxis.set_major_formatter(lambda y, _: f"{y:g}" if y >= 0 else "")
    axes.set_yticks([y for y in axes.get_yticks() if 0 <= y <= view.bottom])
    axes.tick_params(axis="y", right=True, labelright=True)
    axes.spines[["left", "right", "top"]].set_visible(False)
    axes.axhline(0, color=appearance.QUIET, linewidth=1.2, zorder=7)
    axes.plot([0, 0], [0, view.bottom], color=appearance.INK, linewidth=0.9, linestyle=(0, (8, 3, 2, 3)), zorder=5,
              gid="axis of symmetry")
    axes.set_xlabel("distance from the axis [mm]")
    axes.set_ylabel("depth [mm]")


def colour_bar(figure, image, field, place, label=""):
    bar = figure.colorbar(image, cax=figure.add_axes(place, label=f"colours {field.key}"),
                          extend="max" if field.beyond else "neither", extendfrac=0.04)
    bar.set_label(label)
    bar.outline.set_visible(False)
    if field.key == "water_fraction":
        bar.ax.invert_yaxis()
    return bar


def draw_pair(axes, run, left, right, field, view=None, labels=True, fontsize=13, linewidth=2.2):
    """Both halves, the electrode and the axes. Returns the image to which a colour bar belongs."""
    view = view or view_of(run, [left, right])
    frame_axes(axes, view)
    artist = draw_half(axes, run, left, field, view, -1, labels, linewidth, fontsize)
    draw_half(axes, run, right, field, view, +1, labels, linewidth, fontsize)
    draw_electrode(axes, run.electrode, view, fontsize - 1)
    axes.set_xlim(-view.reach, view.reach)
    axes.set_ylim(view.bottom, -view.top)
    return artist


def effect_meaning(run, name):
    """What an effect's curve means, in the words of its definition."""
    of, at = run.effects[name]["of"], run.effects[name]["at"]
    if of.startswith("damage"):
        return f"{name}: \u03a9 = {at:g}"
    if of == "dry":
        return f"{name}: water left {100 * at:g} %"
    if of == "peak_temperature":
        return f"{name}: reached {at:g} \u00b0C"
    if of == "temperature":
        return f"{name}: {at:g} \u00b0C"
    return f"{name}: CEM43 = {at:g} min"
