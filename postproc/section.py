"""The cross-section: two modes back to back across the axis or plane, a field filled, depths of effect as curves."""

import numpy as np
from matplotlib import patheffects
from matplotlib.colors import LogNorm, Normalize
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.ticker import MultipleLocator

import appearance
import contours
import describe
import labels as placing
import palette
import scene
import words

# Behind a text on a field. A halo would turn the text of an svg into outlines.
VEIL = {"facecolor": "#ffffffc8", "edgecolor": "none", "pad": 0.8}
HALO_LINE = [patheffects.Stroke(linewidth=3, foreground="white", alpha=0.8), patheffects.Normal()]
HATCH_ON = {"temperature": "#ffffff90", "damage": "#ffffff70", "water": "#1c1b1a66", "heating": "#1c1b1a66"}
BOX_EDGE = 2  # of the paper behind a label [points]
SPARED = "spared lens"  # what was not reached right under the electrode
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
    draw_hatching(axes, run, mode, side, HATCH_ON[field.colours])
    draw_effect_lines(axes, run, mode, side, linewidth)
    taken = label_depths(axes, run, mode, view, side, fontsize) if labels else []
    draw_isolines(axes, run, values, field, view, side, min(fontsize - 2.5, 10.5), taken)
    return artist


def draw_effect_lines(axes, run, mode, side, linewidth):
    """Where every effect ends at the end of the run, each with its own dashes."""
    for position, name in enumerate(run.effects):
        if name not in mode.effects:
            continue
        for r, z in contours.effect_lines(run, mode, name, len(mode.time) - 1):
            axes.plot(side * 1e3 * r, 1e3 * z, color=palette.INK, linewidth=linewidth, zorder=4,
                      linestyle=appearance.effect_dash(position), gid=f"{name} {mode.name}",
                      path_effects=[patheffects.Stroke(linewidth=linewidth + 2.2, foreground="white", alpha=0.75),
                                    patheffects.Normal()])


def region_path(run, mode, name, side):
    """What an effect has taken at the end of the run as one path [mm], or None."""
    outlines = contours.effect_regions(run, mode, name, len(mode.time) - 1)
    if not outlines:
        return None
    return Path.make_compound_path(*(Path(1e3 * np.stack([side * r, z], axis=1), closed=True) for r, z in outlines))


def draw_hatching(axes, run, mode, side, colour):
    """Fine strokes over what has coagulated."""
    path = region_path(run, mode, scene.main_effect(run), side)
    if path is not None:
        axes.add_patch(PathPatch(path, facecolor="none", edgecolor=colour, linewidth=0, hatch=palette.HATCH, zorder=2,
                                 gid=f"hatched {mode.name}"))


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
            text.set_bbox(VEIL)
            text.set_zorder(5)


def label_place(segments, side, view, taken):
    """Where an isoline carries its label: far from the axis and clear of the depths' boxes (x0, x1, z0, z1). [mm]"""
    points = np.concatenate(segments) if segments else np.empty((0, 2))
    x, z = side * points[:, 0], points[:, 1]
    points = points[(z > 0.06 * view.bottom) & (z < 0.93 * view.bottom) & (x < 0.93 * view.reach)]
    for x0, x1, z0, z1 in taken:
        points = points[(points[:, 0] < x0) | (points[:, 0] > x1) | (points[:, 1] < z0) | (points[:, 1] > z1)]
    if not len(points):
        return None
    outside = points[side * points[:, 0] > 0.6 * view.reach]
    if len(outside):
        return tuple(outside[int(np.argmax(outside[:, 1]))])
    return tuple(points[int(np.argmax(side * points[:, 0]))])


def label_depths(axes, run, mode, view, side, fontsize, paper=None):
    """Every effect's name and greatest depth below all lines, tied to its own line; returns what is taken [mm].

    `paper`: colour of the box behind the text, else a white veil.
    """
    wanted, dashes = [], {}
    for position, name in enumerate(run.effects):
        effect = mode.effects.get(name)
        if effect is None or not effect.greatest > 0:
            continue
        lines = contours.effect_lines(run, mode, name, len(mode.time) - 1)
        r, _ = contours.deepest_point(run.r, effect.depth[-1])
        deepest = 1e3 * r, 1e3 * effect.greatest
        axes.plot([side * deepest[0]], [deepest[1]], marker="v", markersize=5, color=palette.INK, zorder=6,
                  clip_on=False, gid=f"deepest {name} {mode.name}")
        lines = [(1e3 * r, 1e3 * z) for r, z in lines]
        wanted.append((deepest[1], name, describe.reached_words(name, effect),
                       placing.anchors_on(lines, deepest, view.reach)))
        dashes[name] = appearance.effect_dash(position)
    lowest = max((depth for depth, *_ in wanted), default=0.0)
    lens = contours.spared_lens(run, mode, scene.main_effect(run))
    if lens is not None:
        wanted.append((0.0, SPARED, f"not reached by {words.plain_words(scene.main_effect(run))}",
                       [tuple(1e3 * x for x in lens)]))
        dashes[SPARED] = "solid"
    wanted.sort(key=lambda entry: -entry[0])
    texts = {name: draw_text(axes, text, fontsize, name == SPARED, paper) for _, name, text, _ in wanted}
    scale = axes_inches_per_mm(axes, view) * axes.figure.dpi
    entries = []
    for _, name, text, anchors in wanted:
        box = texts[name].get_window_extent(axes.figure.canvas.get_renderer())
        edge = 2 * BOX_EDGE * axes.figure.dpi / 72
        entries.append(placing.Label(name, text, (box.width + edge) / scale, (box.height + edge) / scale, anchors))
    placed = placing.place(entries, lowest, view.bottom, view.reach)
    for found in placed:
        draw_label(axes, mode, found, side, texts[found.label.name], dashes[found.label.name])
    return [corners(part, side, entries[0].height) for found in placed for part in (found.box, around(found.leader))]


def draw_text(axes, text, fontsize, light, paper):
    box = {"facecolor": paper or VEIL["facecolor"], "edgecolor": "none", "pad": BOX_EDGE}
    return axes.text(0, 0, text, ha="center", va="center", fontsize=fontsize - (1.5 if light else 0), zorder=7,
                     weight="normal" if light else "bold", bbox=box,
                     color=palette.INK)


def draw_label(axes, mode, found, side, text, dash):
    """The text in its box and the leader in the line's own dashes, with a dot where it touches the line."""
    x0, x1, z0, z1 = found.box
    text.set_position((side * (x0+x1) / 2, (z0+z1) / 2))
    text.set_gid(f"label {found.label.name} {mode.name}")
    (x, z), end = found.leader
    axes.plot([side * x, side * end[0]], [z, end[1]], color=palette.INK, linewidth=1.3, linestyle=dash, zorder=6,
              gid=f"leader {found.label.name} {mode.name}", path_effects=HALO_LINE)
    axes.plot([side * x], [z], marker="o", markersize=4, color=palette.INK, zorder=6,
              gid=f"dot {found.label.name} {mode.name}")


def around(segment):
    (x0, z0), (x1, z1) = segment
    return min(x0, x1), max(x0, x1), min(z0, z1), max(z0, z1)


def corners(box, side, height):
    """A box of a half on its side of the axis, larger by what an isotherm's label needs."""
    x0, x1 = sorted((side * box[0], side * box[1]))
    return x0 - 0.9 * height, x1 + 0.9 * height, box[2] - 0.6 * height, box[3] + 0.6 * height


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
    step = scene.tick_step(view)
    axes.xaxis.set_major_locator(MultipleLocator(step))
    axes.xaxis.set_minor_locator(MultipleLocator(step / 2))
    axes.xaxis.set_major_formatter(lambda x, _: f"{abs(x):g}")
    axes.yaxis.set_major_locator(MultipleLocator(step))
    axes.yaxis.set_minor_locator(MultipleLocator(step / 2))
    axes.yaxis.set_major_formatter(lambda y, _: f"{y:g}" if y >= 0 else "")
    for minor in (False, True):
        axes.set_yticks([y for y in axes.get_yticks(minor=minor) if 0 <= y <= view.bottom], minor=minor)
    axes.tick_params(axis="y", which="both", right=True)
    axes.tick_params(axis="y", labelright=True)
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
    if field.beyond:
        mark_top(bar, field)
    if field.key == "water_fraction":
        bar.ax.invert_yaxis()
    return bar


def mark_top(bar, field):
    """The end of the scale is said to stand for all that lies beyond it."""
    low, high = (field.low, field.high)
    inside = [tick for tick in bar.get_ticks() if low <= tick < high and not crowds(tick, field)]
    bar.set_ticks([*inside, high], labels=[*(f"{tick:g}" for tick in inside), f"{high:g} and\nabove"])
    bar.ax.minorticks_off()


def crowds(tick, field):
    """Whether a tick would stand in the two lines of the top's label."""
    if field.logarithmic:
        return tick > field.high / 1.5
    return tick > field.high - 0.09 * (field.high - field.low)


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
