"""The figure of power against load: the curves of two modes, the path of each on its curve, and the words beneath."""

import re
import textwrap

from matplotlib.ticker import LogLocator, NullFormatter

import appearance
import comparison
import palette
import power_load
import scene

# Filled and large, so that none reads as a letter or a unit beside an axis of loads.
EVENT_MARKS = {"arcing sets in": "*", "dried out": "s"}
EVENT_SIZES = {"arcing sets in": 17, "dried out": 11}
LETTERS_A_LINE = 112


def draw(axes, modes, size=1.0):
    """Power [W] over load [ohm], a curve and a path for each mode; `size` scales lines and marks."""
    low, high = power_load.shown_loads([mode for _, mode in modes])
    highest = 0.0
    for order, (position, mode) in enumerate(modes):
        look, curve = appearance.mode_line(position), mode.power_load
        shown = (curve["load_ohm"] >= low) & (curve["load_ohm"] <= high)
        axes.plot(curve["load_ohm"][shown], curve["power_W"][shown], label=mode.label, gid=f"curve {mode.name}",
                  linewidth=2.6 * size, zorder=3, **look)
        highest = max(highest, curve["power_W"][shown].max())
        # The marks of the first stay to be seen below those of the second where both paths are the same.
        draw_path(axes, mode, look["color"], (1.3 if order + 1 < len(modes) else 1.0) * size, 4 + 5 * order)
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    axes.set_ylim(0, 1.22 * highest)
    axes.xaxis.set_major_locator(LogLocator(subs=(1, 2, 5), numticks=15))
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.xaxis.set_major_formatter(lambda x, _: f"{x:,.0f}".replace(",", "\u2009"))
    axes.set_xlabel("load [ohm]")
    axes.set_ylabel("power [W]")


def draw_path(axes, mode, colour, size, order):
    """The path as a band, a dot each second, the start as a ring, and what happened on the way."""
    path = power_load.path_of(mode)
    if path is None:
        return
    axes.plot(path.load, path.power, color=colour, linewidth=7 * size, alpha=0.3, solid_capstyle="round", zorder=order,
              gid=f"path {mode.name}")
    axes.plot(*path.at(path.seconds), linestyle="none", marker="o", markersize=6.5 * size, color=colour,
              markeredgecolor="white", markeredgewidth=0.8 * size, zorder=order + 2, gid=f"seconds {mode.name}",
              clip_on=False)
    axes.plot(*path.at(path.time[:1]), linestyle="none", marker="o", markersize=12 * size, markerfacecolor="none",
              markeredgecolor=colour, markeredgewidth=2.2 * size, zorder=order + 3, gid=f"start {mode.name}",
              clip_on=False)
    for word, time in power_load.events_of(mode).items():
        axes.plot(*path.at([time]), linestyle="none", marker=EVENT_MARKS[word],
                  markersize=EVENT_SIZES[word] * size, color=colour, markeredgecolor=palette.INK,
                  markeredgewidth=1.2 * size, zorder=order + 4, gid=f"{word} {mode.name}", clip_on=False)


def draw_rated_loads(axes, modes, fontsize):
    """The rated load of every source that has one, once for each value."""
    rated = dict.fromkeys(power_load.rated_load(mode) for _, mode in modes)
    low, high = axes.get_xlim()
    for load in rated:
        if load is None or not low <= load <= high:
            continue
        axes.axvline(load, color=palette.QUIET, linewidth=1.3, linestyle=(0, (3, 3)), zorder=1, gid="rated load")
        align, shift = ("right", -5) if load > (low * high)**0.5 else ("left", 5)
        axes.annotate(f"rated load {load:g} ohm", (load, 0), xycoords=("data", "axes fraction"),
                      xytext=(shift, 6), textcoords="offset points", ha=align, va="bottom",
                      fontsize=fontsize, color=palette.INK, zorder=9)


def marks(axes, modes, size=1.0):
    """Handles and labels of what stands on a path; of the events those that came."""
    grey = {"linestyle": "none", "color": palette.QUIET}
    entries = [(axes.plot([], [], marker="o", markersize=11 * size, markerfacecolor="none", markeredgewidth=2 * size,
                          **grey)[0], "start of the current"),
               (axes.plot([], [], marker="o", markersize=7 * size, **grey)[0], "every second")]
    for word, mark in EVENT_MARKS.items():
        if any(word in power_load.events_of(mode) for _, mode in modes):
            entries.append((axes.plot([], [], marker=mark, markersize=0.9 * EVENT_SIZES[word] * size,
                                      markeredgecolor=palette.INK, **grey)[0], word))
    return zip(*entries)


def pair_of(run, left, right):
    """The shown modes with their positions in the run, one where both halves are the same."""
    return [(run.modes.index(mode), mode) for mode in ([left] if left is right else [left, right])]


def wrapped(text):
    """Lines in which a number stays with its unit."""
    return textwrap.wrap(re.sub(r"(?<=\d) (?=\S)", "\u00a0", text), LETTERS_A_LINE)


def power_load_figure(plt, run, left, right):
    """A slide: curves and paths above, what was set, delivered and came of it beneath."""
    modes = pair_of(run, left, right)
    said = [(heading, wrapped(text))
            for heading, text in power_load.sentences(run, left, right, scene.main_effect(run))]
    line, gap = 0.225, 0.07
    foot = 0.42 + sum(line * len(lines) + gap for _, lines in said)
    wide, high = appearance.SLIDE_INCHES
    figure = plt.figure(figsize=(wide, max(high, foot + 5.3)))
    high = figure.get_figheight()
    x0, below = 0.9, foot + 0.85
    axes = figure.add_axes(comparison.fractions(figure, (x0, below, wide - x0 - 0.45, high - below - 1.5)),
                           label="power load")
    draw(axes, modes)
    draw_rated_loads(axes, modes, 13)
    title = comparison.note(figure, x0, high - 0.2, f"Power against load: {run.title or run.path.stem}", fontsize=20,
                            weight="bold", va="top")
    appearance.shrink_to(title, wide - x0 - 0.4)
    figure.legend(*axes.get_legend_handles_labels(), ncol=2, handlelength=3.6, loc="upper left", fontsize=14.5,
                  bbox_to_anchor=((x0 - 0.1) / wide, 1 - 0.6 / high), borderpad=0.2)
    handles, labels = marks(axes, modes)
    figure.legend(handles, labels, ncol=4, loc="upper left", fontsize=13, borderpad=0.2, handletextpad=0.3,
                  bbox_to_anchor=((x0 - 0.1) / wide, 1 - 0.98 / high))
    y = foot
    for heading, lines in said:
        comparison.note(figure, 0.3, y, heading, fontsize=13.5, weight="bold", va="top")
        comparison.note(figure, 2.0, y, "\n".join(lines), fontsize=13, va="top", linespacing=1.2)
        y -= line * len(lines) + gap
    appearance.caution(figure)
    return figure
