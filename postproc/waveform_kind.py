"""What depends on the kind of a waveform: its words and its shape over the microseconds of a burst."""

import numpy as np


def in_words(mode):
    """The waveform by what it is."""
    w = mode.waveform
    kind = w["kind"]
    if kind == "gated":
        return f"gated, {100 * w['duty']:g} % on"
    if kind == "damped":
        return f"damped, time constant {1e6 * w['decay_s']:g} \u00b5s"
    return kind


def burst_period(mode):
    """Time from one burst to the next; for a current without bursts, of one cycle [s]."""
    w = mode.waveform
    if w.get("kind") in ("gated", "damped") and w.get("repeat_Hz", 0) > 0:
        return 1 / w["repeat_Hz"]
    return 1 / w["carrier_Hz"] if w.get("carrier_Hz", 0) > 0 else np.nan


def shape(mode, time):
    """Voltage over its peak at times of one or more bursts [-]; sampled: from the samples kept in the run file.

    gated     sin(2 pi f t) while t mod T < duty T
    damped    exp(-(t mod T)/tau) sin(2 pi f (t mod T))
    """
    w = mode.waveform
    kind, carrier = w.get("kind"), w.get("carrier_Hz", 0)
    if kind == "continuous":
        return np.sin(2 * np.pi * carrier * time)
    within = np.mod(time, burst_period(mode))
    if kind == "gated":
        return np.where(within < w["duty"] * burst_period(mode), np.sin(2 * np.pi * carrier * within), 0.0)
    if kind == "damped":
        v = np.exp(-within / w["decay_s"]) * np.sin(2 * np.pi * carrier * within)
        first = np.linspace(0, 1 / carrier, 2000)
        return v / np.max(np.exp(-first / w["decay_s"]) * np.sin(2 * np.pi * carrier * first))
    t, v = w["samples"]
    return np.interp(np.mod(time, t[-1] - t[0]), t - t[0], v) / np.max(np.abs(v))


def shown_time(run):
    """Two bursts of the slowest mode [s], so that all panels share one time axis."""
    periods = [burst_period(d) for d in run.modes if d.waveform.get("kind") in ("gated", "damped")]
    periods += [w[0][-1] - w[0][0] for w in (d.waveform.get("samples") for d in run.modes) if w is not None]
    periods += [10 * burst_period(d) for d in run.modes if d.waveform.get("kind") == "continuous"]
    return 2 * max((p for p in periods if np.isfinite(p)), default=1e-4)
