"""The voltage of each mode over two bursts, with its rms, peak and crest factor."""

import numpy as np

import appearance
import comparison
import describe
import palette
import waveform_kind

POINTS = 4000


def draw(axes, run, mode, end, limit=None):
    """One mode's voltage at the start of its activation [V] over time [us]; rms and peak as marked lines."""
    colour = appearance.mode_line(run.modes.index(mode))["color"]
    time = np.linspace(0, end, POINTS)
    rms, peak = float(mode.trace["rms_V"][0]), float(mode.trace["peak_V"][0])
    v = waveform_kind.shape(mode, time)
    axes.plot(1e6 * time, peak * v, color=colour, linewidth=1.3, gid=f"waveform {mode.name}")
    limit = 1.25 * (limit or peak)
    axes.set_xlim(0, 1e6 * end)
    axes.set_ylim(-limit, limit)
    for value, words, dash, above in ((peak, f"peak {describe.as_shown(run, 'voltage', peak)}", (0, (6, 3)), True),
                                     (rms, f"rms {describe.as_shown(run, 'voltage', rms)}", "solid", peak > 2 * rms)):
        axes.axhline(value, color=palette.INK, linewidth=1.3, linestyle=dash, zorder=3, gid=words.split()[0])
        axes.annotate(words, (1.0, value),
                      xycoords=("axes fraction", "data"),
                      xytext=(5, 0),
                      textcoords="offset points",
                      va="bottom" if above else "top",
                      ha="left",
                      fontsize=12,
                      annotation_clip=False)
    axes.set_title(f"{describe.headline(mode)}  ({waveform_kind.in_words(mode)})",
                   loc="left",
                   color=colour,
                   fontsize=13.5)


def waveform_figure(plt, run):
    """All modes under each other, one time axis and one voltage axis."""
    count = len(run.modes)
    figure, axes = plt.subplots(count, 1, figsize=(comparison.WIDTH, 1.7 + 1.75 * count), squeeze=False)
    end = waveform_kind.shown_time(run)
    limit = max(float(d.trace["peak_V"][0]) for d in run.modes)
    for axis, mode in zip(axes[:, 0], run.modes):
        draw(axis, run, mode, end, limit)
        axis.set_ylabel("voltage [V]")
    axes[-1, 0].set_xlabel("time [\u00b5s]")
    high = figure.get_figheight()
    figure.subplots_adjust(left=0.085, right=0.9, top=1 - 1.05 / high, bottom=0.85 / high, hspace=0.5)
    figure.text(0.085,
                1 - 0.2/high,
                "Voltage at the start of the activation, over two bursts of the slowest mode",
                fontsize=18,
                weight="bold",
                va="top")
    appearance.caution(figure)
    return figure
