"""The voltage of each drive over two bursts, with its rms, peak and crest factor."""

import numpy as np

import appearance
import comparison
import describe
import palette

POINTS = 4000


def burst_period(drive):
    """Time from one burst to the next; for a current without bursts, of one cycle [s]."""
    w = drive.waveform
    if w.get("kind") in ("gated", "decaying") and w.get("repeat_Hz", 0) > 0:
        return 1 / w["repeat_Hz"]
    return 1 / w["carrier_Hz"] if w.get("carrier_Hz", 0) > 0 else np.nan


def shape(drive, time):
    """Voltage over its peak at times of one or more bursts [-]; None for a waveform the file does not hold.

    gated     sin(2 pi f t) while t mod T < duty T
    decaying  exp(-(t mod T)/tau) sin(2 pi f (t mod T))
    """
    w = drive.waveform
    kind, carrier = w.get("kind"), w.get("carrier_Hz", 0)
    if kind == "continuous":
        return np.sin(2 * np.pi * carrier * time)
    within = np.mod(time, burst_period(drive))
    if kind == "gated":
        return np.where(within < w["duty"] * burst_period(drive), np.sin(2 * np.pi * carrier * within), 0.0)
    if kind == "decaying":
        v = np.exp(-within / w["decay_s"]) * np.sin(2 * np.pi * carrier * within)
        first = np.linspace(0, 1 / carrier, 2000)
        return v / np.max(np.exp(-first / w["decay_s"]) * np.sin(2 * np.pi * carrier * first))
    if "samples" in w:
        t, v = w["samples"]
        return np.interp(np.mod(time, t[-1] - t[0]), t - t[0], v) / np.max(np.abs(v))
    return None


def shown_time(run):
    """Two bursts of the slowest drive [s], so that all panels share one time axis."""
    periods = [burst_period(d) for d in run.drives if d.waveform.get("kind") in ("gated", "decaying")]
    periods += [w[0][-1] - w[0][0] for w in (d.waveform.get("samples") for d in run.drives) if w is not None]
    periods += [10 * burst_period(d) for d in run.drives if d.waveform.get("kind") == "continuous"]
    return 2 * max((p for p in periods if np.isfinite(p)), default=1e-4)


def draw(axes, run, drive, end, limit=None):
    """One drive's voltage at the start of its dwell [V] over time [us]; rms and peak as marked lines."""
    colour = appearance.drive_line(run.drives.index(drive))["color"]
    time = np.linspace(0, end, POINTS)
    rms, peak = float(drive.trace["rms_V"][0]), float(drive.trace["peak_V"][0])
    v = shape(drive, time)
    if v is None:
        axes.text(0.5, 0.5, "sampled waveform: its samples are not in the run file", ha="center", transform=axes.transAxes)
    else:
        axes.plot(1e6 * time, peak * v, color=colour, linewidth=1.3, gid=f"waveform {drive.name}")
    limit = 1.25 * (limit or peak)
    axes.set_xlim(0, 1e6 * end)
    axes.set_ylim(-limit, limit)
    for value, words, dash, above in ((peak, f"peak {peak:.0f} V", (0, (6, 3)), True), (rms, f"rms {rms:.0f} V", "solid", peak > 2 * rms)):
        axes.axhline(value, color=palette.INK, linewidth=1.3, linestyle=dash, zorder=3, gid=words.split()[0])
        axes.annotate(words, (1.0, value), xycoords=("axes fraction", "data"), xytext=(5, 0), textcoords="offset points",
                      va="bottom" if above else "top", ha="left", fontsize=12, annotation_clip=False)
    axes.set_title(f"{describe.headline(drive)}  ({describe.waveform_words(drive)})", loc="left", color=colour, fontsize=13.5)


def waveform_figure(plt, run):
    """All drives under each other, one time axis and one voltage axis."""
    count = len(run.drives)
    figure, axes = plt.subplots(count, 1, figsize=(comparison.WIDTH, 1.5 + 1.75 * count), squeeze=False)
    end = shown_time(run)
    limit = max(float(d.trace["peak_V"][0]) for d in run.drives)
    for axis, drive in zip(axes[:, 0], run.drives):
        draw(axis, run, drive, end, limit)
        axis.set_ylabel("voltage [V]")
    axes[-1, 0].set_xlabel("time [\u00b5s]")
    high = figure.get_figheight()
    figure.subplots_adjust(left=0.085, right=0.9, top=1 - 1.05 / high, bottom=0.65 / high, hspace=0.5)
    figure.text(0.085, 1 - 0.2 / high, "Two bursts of each drive, at the start of the dwell", fontsize=19, weight="bold", va="top")
    return figure
