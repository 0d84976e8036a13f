"""Histories of all modes: depth, resistance, power, voltage, share of current through arcs."""

import numpy as np
from matplotlib.ticker import LogLocator, MaxNLocator, NullFormatter

import appearance
import describe
import palette
import words

QUANTITIES = {
    "resistance_ohm": "resistance [ohm]",
    "power_W": "power [W]",
    "peak_V": "peak voltage [V]",
    "arcing_share": "current through arcs [%]",
}
LETTERS_A_LINE = 66  # of four labels side by side in a legend, at the usual size


def draw_quantity(axes, run, key):
    """One quantity over time, a line for each mode."""
    scale = 100 if key.endswith("_share") else 1
    for position, mode in enumerate(run.modes):
        if key in mode.trace:
            axes.plot(mode.trace["t_s"],
                      scale * describe.history(mode, key),
                      label=mode.label,
                      gid=f"{key} {mode.name}",
                      **appearance.mode_line(position))
    axes.set_title(QUANTITIES[key], loc="left")
    axes.set_xlabel("time [s]")
    axes.set_xlim(0, max(d.trace["t_s"][-1] for d in run.modes))
    if key == "resistance_ohm" and spread(run, key) > 30:
        axes.set_yscale("log")
        axes.yaxis.set_major_locator(LogLocator(subs=(1, 2, 5), numticks=9))
        axes.yaxis.set_minor_formatter(NullFormatter())
        axes.yaxis.set_major_formatter(lambda y, _: f"{y:,.0f}".replace(",", "\u2009") if y >= 1 else f"{y:g}")
    else:
        axes.set_ylim(bottom=0)
    if key.endswith("_share"):
        axes.set_ylim(top=max(axes.get_ylim()[1], 1))  # less than 1 % does not count as arcing
    axes.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))


def spread(run, key):
    found = np.concatenate([describe.history(d, key) for d in run.modes])
    found = found[found > 0]  # leaves out what is not a number, too
    return found.max() / found.min() if found.size else 1


def draw_depth(axes, run, effect, over="time"):
    """Greatest depth of an effect [mm] over time [s] or over the energy delivered [J], a line for each mode."""
    for position, mode in enumerate(run.modes):
        depth, t = mode.effects[effect].greatest_trace, mode.trace["t_s"]
        x = t if over == "time" else mode.energy
        axes.plot(x, 1e3 * depth, label=mode.label, gid=f"depth {effect} {mode.name}", **appearance.mode_line(position))
        axes.plot(x[-1:], 1e3 * depth[-1:], marker="o", markersize=6, color=appearance.mode_line(position)["color"],
                  clip_on=False, zorder=5)
    axes.set_xlabel("time [s]" if over == "time" else "energy delivered [J]")
    axes.set_title(f"depth of {words.plain_words(effect)} [mm]", loc="left")
    axes.set_xlim(0, max((d.trace["t_s"] if over == "time" else d.energy)[-1] for d in run.modes))
    axes.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
    axes.set_ylim(bottom=0)
    if not any(d.effects[effect].greatest_trace.max() > 0 for d in run.modes):
        axes.set_ylim(0, 1)
        axes.text(0.5, 0.5, "not reached", transform=axes.transAxes, ha="center", color=palette.QUIET)


def draw_intervals(axes, run, effect):
    """The range of each mode's depth as a bar beside the end of its line, or that there is none."""
    if run.interval["computed"]:
        note = f"bars: {100 * run.interval['share']:.0f} % range\nover {len(run.interval['assumed'])} assumed numbers"
        end = max(mode.trace["t_s"][-1] for mode in run.modes)
        for position, mode in enumerate(run.modes):
            quantity = describe.interval_of(run, f"depth_mm.{mode.name}")
            x = end * (1.03 + 0.025 * position)
            colour = appearance.mode_line(position)["color"]
            axes.plot([x, x], [quantity["low"]["value"], quantity["high"]["value"]], color=colour, linewidth=4,
                      solid_capstyle="butt", gid=f"interval {mode.name}")
        axes.set_xlim(0, end * (1.05 + 0.025 * len(run.modes)))
        axes.set_ylim(0, max(axes.get_ylim()[1], 1.05 * max(line.get_ydata().max() for line in axes.lines)))
    else:
        note = "no interval was computed"
    axes.text(0.97, 0.05, note, transform=axes.transAxes, ha="right", va="bottom", fontsize=11, color=palette.QUIET)


def legend(figure, axes, run, **place):
    """One legend for the whole figure, with line samples long enough to tell the dashes apart."""
    handles, labels = axes.get_legend_handles_labels()
    share = min(1.0, LETTERS_A_LINE / max(sum(map(len, labels[:4])), 1))
    figure.legend(handles, labels, ncol=min(len(labels), 4), handlelength=3.6, columnspacing=2.2,
                  fontsize=share * appearance.SETTINGS["legend.fontsize"], **place)


def dress(figure, axes, run, heading, footnotes=(), **spaces):
    """Heading, legend, footnotes, caution and margins of a figure of histories."""
    foot = appearance.footnotes_of(footnotes)[1] / figure.get_figheight()
    figure.subplots_adjust(left=0.065, right=0.985, top=0.83, bottom=0.125 + foot, **spaces)
    appearance.footnotes(figure, footnotes)
    title = figure.suptitle(f"{heading}: {run.title or run.path.stem}",
                            x=0.065,
                            y=0.975,
                            ha="left",
                            fontsize=19,
                            weight="bold")
    appearance.shrink_to(title, 0.92 * figure.get_figwidth())
    legend(figure, axes, run, loc="upper left", bbox_to_anchor=(0.055, 0.935))
    appearance.caution(figure)


def depth_figure(plt, run):
    """Depth of every effect against time (above) and against energy delivered (below)."""
    effects = list(run.effects)
    figure, axes = plt.subplots(2, len(effects), figsize=appearance.SLIDE_INCHES, squeeze=False)
    for column, effect in enumerate(effects):
        draw_depth(axes[0, column], run, effect, "time")
        draw_depth(axes[1, column], run, effect, "energy")
        if effect == run.interval.get("effect", effects[0]):
            draw_intervals(axes[0, column], run, effect)
        axes[0, column].set_title(describe.effect_meaning(run, effect), loc="left")
        axes[1, column].set_title("", loc="left")
        for row in (0, 1):
            axes[row, column].set_ylabel("greatest depth [mm]" if column == 0 else "")
    dress(figure, axes[0, 0], run, "How deep, and when", describe.range_sentences(run.modes), wspace=0.2, hspace=0.36)
    return figure


def electric_figure(plt, run):
    """Resistance, power, peak voltage and share of current through arcs over time."""
    figure, axes = plt.subplots(2, 2, figsize=appearance.SLIDE_INCHES)
    for axis, key in zip(axes.flat, QUANTITIES):
        draw_quantity(axis, run, key)
    strike = run.case.get("physics", {}).get("strike_V")
    if strike:
        axes[1, 0].axhline(strike, color=palette.QUIET, linewidth=1.2, zorder=1, gid="strike voltage")
        axes[1, 0].annotate(f"arcing near {strike:g} V", (0.99, strike), xycoords=("axes fraction", "data"),
                            xytext=(0, 4), textcoords="offset points", ha="right", va="bottom", fontsize=11,
                            color=palette.QUIET)
    dress(figure, axes[0, 0], run, "What the source sees", wspace=0.16, hspace=0.45)
    return figure
