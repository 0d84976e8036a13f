"""The cross-section: two modes back to back across the axis or plane, a field filled, depths of effect as curves."""

import numpy as np
from matplotlib import patheffects
from matplotlib.colors import LogNorm, Normalize
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path
from matplotlib.ticker import MultipleLocator

import appearance
import contours
import describe
import palette
import scene
import words

HALO = [patheffects.withStroke(linewidth=3.2, foreground="white")]
PIXELS_PER_MM = 36


def colour_map(field):
    """Dark is the most affected: for water that is the low end."""
    colours = appearance.MAPS[field.colours]
    return colours.reversed() if field.key == "water_fraction" else colours


def colour_scale(field):
    scale = LogNorm if field.logarithmic else Normalize
    return scale(field.low, field.high, clip=True)


def stored_values(field, mode, frame):
    """What is interpolated between cell centres: damage and heating as logarithms, since they vary by decades."""
    raw = np.asarray(mode.fields[field.key][frame], float)
    return np.log(np.maximum(raw, 1e-4)) if logarithmic_between_cells(field) else raw


def shown_values(field, stored):
    """The stored values in the unit of the field's label."""
    values = np.exp(stored) if logarithmic_between_cells(field) else stored
    if field.key.startswith("omega_"):
        return 100 * -np.expm1(-values)
    return values * 1e-6 if field.key == "heating_W_m3" else values


def logarithmic_between_cells(field):
    return field.key.startswith("omega_") or field.key == "heating_W_m3"


def draw_half(axes, run, mode, field, view, side, labels=True, linewidth=2.2, fontsize=13):
    """One half; side is -1 on the left, +1 on the right. Returns the image."""
    frame = scene.frame_for(field, mode)
    columns, rows = (max(int(PIXELS_PER_MM * length), 2) for length in (view.reach, view.bottom))
    values = stored_values(field, mode, frame)
    image = shown_values(
        field, contours.smooth_image(run.r, run.z, values, view.reach * 1e-3, view.bottom * 1e-3, columns, rows))
    extent = (0, view.reach, view.bottom, 0) if side > 0 else (-view.reach, 0, view.bottom, 0)
    artist = axes.imshow(image if side > 0 else image[:, ::-1], extent=extent, aspect="equal", origin="upper",
                         cmap=colour_map(field), norm=colour_scale(field), interpolation="bilinear", zorder=1)
    artist.set_gid(f"{field.key} {mode.name}")
    for position, name in enumerate(run.effects):
        if name not in mode.effects:
            continue
        for r, z in contours.effect_lines(run, mode, name, len(mode.time) - 1):
            axes.plot(side * 1e3 * r, 1e3 * z, color=palette.INK, linewidth=linewidth, zorder=4,
                      linestyle=appearance.effect_dash(position), gid=f"{name} {mode.name}",
                      path_effects=[patheffects.Stroke(linewidth=linewidth + 2.2, foreground="white", alpha=0.75),
                                    patheffects.Normal()])
    taken = label_depths(axes, run, mode, view, side, fontsize) if labels else []
    draw_isolines(axes, run, values, field, view, side, min(fontsize - 2.5, 10.5), taken)
    return artist


def draw_isolines(axes, run, values, field, view, side, fontsize, taken):
    if not field.isolines:
        return
    r, z, extended = contours.extended_to_axis(run.r, run.z, values)
    i, j = np.searchsorted(1e3 * r, view.reach) + 1, np.searchsorted(1e3 * z, view.bottom) + 1
    shown = extended[:j, :i]
    levels = [level for level in field.isolines if shown.min() < level < shown.max()]
    if levels:
        lines = axes.contour(side * 1e3 * r[:i], 1e3 * z[:j], shown, levels=levels, colors=palette.QUIET,
                             linewidths=0.9, zorder=3)
        places = [label_place(lines.allsegs[k], side, view, taken) for k in range(len(levels))]
        texts = axes.clabel(lines, levels=levels, fmt="%g \u00b0C", fontsize=fontsize, inline=True, inline_spacing=3,
                            manual=[p for p in places if p is not None])
        for text in texts:
            text.set_path_effects(HALO)
            text.set_zorder(5)


def label_place(segments, side, view, taken):
    """Where an isoline carries its label: far from the axis and clear of the depths' boxes (x0, x1, z0, z1). [mm]"""
    points = np.concatenate(segments) if segments else np.empty((0, 2))
    points = points[(points[:, 1] > 0.06 * view.bottom) & (side * points[:, 0] < 0.93 * view.reach)]
    for x0, x1, z0, z1 in taken:
        points = points[(points[:, 0] < x0) | (points[:, 0] > x1) | (points[:, 1] < z0) | (points[:, 1] > z1)]
    if not len(points):
        return None
    outside = points[side * points[:, 0] > 0.6 * view.reach]
    if len(outside):
        return tuple(outside[int(np.argmax(outside[:, 1]))])
    return tuple(points[int(np.argmax(side * points[:, 0]))])


def label_depths(axes, run, mode, view, side, fontsize):
    """Name and greatest depth of every effect below its deepest point, clear of the others' lines; their boxes [mm]."""
    inches_per_mm = axes_inches_per_mm(axes, view)
    line_height, letter = fontsize / 72 * 1.28 / inches_per_mm, fontsize / 72 * 0.72 / inches_per_mm
    found = [(e, contours.deepest_point(run.r, e.depth[-1])[0]) for e in mode.effects.values() if e.greatest > 0]
    lowest, boxes = -np.inf, []
    for effect, r in sorted(found, key=lambda entry: entry[0].greatest):
        r, z = 1e3 * r, 1e3 * effect.greatest
        top = max(z, lowest)
        for other in sorted(1e3 * e.greatest for e, _ in found):
            if z < other and top < other < top + line_height:
                top = other
        top += 0.12 * line_height
        axes.plot([side * r], [z], marker="v", markersize=5, color=palette.INK, zorder=6, clip_on=False,
                  gid=f"deepest {effect.name} {mode.name}")
        near = r < 0.25 * view.reach
        x = side * (r + 0.012 * view.reach) if near else side * r
        align = ("left" if side > 0 else "right") if near else "center"
        text = describe.reached_words(effect.name, effect)
        axes.text(x, top, text, ha=align, va="top", fontsize=fontsize, weight="bold", path_effects=HALO, zorder=7)
        width = letter * len(text)
        start = {"left": x, "right": x - width, "center": x - width / 2}[align]
        boxes.append((start - letter, start + width + letter, top - 0.4 * line_height, top + 1.3 * line_height))
        lowest = top + line_height
    return boxes


def axes_inches_per_mm(axes, view):
    figure = axes.figure
    box = axes.get_position()
    width = figure.get_figwidth() * box.width / (2 * view.reach)
    height = figure.get_figheight() * box.height / (view.bottom + view.top)
    return min(width, height)


def draw_electrode(axes, run, view, fontsize=12):
    """The electrode above or in the tissue, its contact face as a heavy line [mm]."""
    style = {"facecolor": palette.METAL, "edgecolor": palette.METAL_EDGE, "linewidth": 1.2, "zorder": 8}
    heavy = {"color": palette.METAL_EDGE, "linewidth": 3.4, "solid_capstyle": "butt", "zorder": 9, "gid": "contact"}
    electrode = run.electrode
    gap, top = 1e3 * electrode["gap_m"], 0.92 * view.top
    face, metal = scene.electrode_lines(electrode, -gap - top)
    for outline in metal:
        axes.add_patch(PathPatch(Path([*outline, outline[0]]), **style))
    for line in face:
        axes.plot(*np.transpose(line), **heavy)
    name = f"electrode, {2e3 * electrode['radius_m']:g} mm" + (" wide" if run.symmetry == "plane" else "")
    widest = max(x for x, _ in metal[-1])
    letters = 0.6 * len(name) * fontsize / 72 / axes_inches_per_mm(axes, view)
    if len(metal) > 1 or letters > 2 * widest:
        axes.text(widest + 0.02 * view.reach, -top / 2, name, ha="left", va="center", fontsize=fontsize, zorder=10)
    else:
        axes.text(0, -gap - top / 2, name, ha="center", va="center", fontsize=fontsize, zorder=10)


def frame_axes(axes, view, symmetry):
    """Axes in mm on both sides, depth downwards, the axis or plane of symmetry marked."""
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
    axes.axhline(0, color=palette.QUIET, linewidth=1.2, zorder=7)
    axes.plot([0, 0], [0, view.bottom], color=palette.INK, linewidth=0.9, linestyle=(0, (8, 3, 2, 3)), zorder=5,
              gid=f"{symmetry} of symmetry")
    axes.set_xlabel(f"distance from the {symmetry} [mm]")
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
    view = view or scene.view_of(run, [left, right])
    frame_axes(axes, view, run.symmetry)
    artist = draw_half(axes, run, left, field, view, -1, labels, linewidth, fontsize)
    draw_half(axes, run, right, field, view, +1, labels, linewidth, fontsize)
    draw_electrode(axes, run, view, fontsize - 1)
    axes.set_xlim(-view.reach, view.reach)
    axes.set_ylim(view.bottom, -view.top)
    return artist
