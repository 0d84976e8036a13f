"""The rows of docs/experiments.md: what was published, by experiment, and the runs that compute its counterpart."""
import math
from dataclasses import dataclass
from typing import Callable

import _experiment_runs as runs
from _verdict import Row


@dataclass
class Experiment:
    """By its place in the document: <!-- experiment: NAME -->."""

    compute: Callable
    rows: list


def burn_rows():
    return [Row(f"{water}", f"burn in water of {water} C [s]", f"{seconds}", value=seconds, form="{:.3g}",
                 absent=f"beyond {15 * seconds}") for water, seconds in runs.BURNS.items()]


def voltage_rows():
    published = {30: 38, 35: 32, 40: 25, 45: 20}
    beyond = Row("v25", "5 mm deep at 25 V [s]", "beyond 60", spread=(60, math.inf), never=True, series="volts",
                 form="{:.0f}", absent="beyond 60")
    return [beyond] + [Row(f"v{volts}", f"5 mm deep at {volts} V [s]", f"{seconds}", value=seconds, series="volts",
                           form="{:.0f}", absent="beyond 60") for volts, seconds in published.items()]


def width_rows():
    spreads = {2: (11, 20), 3: (23, 32)}
    rows = [Row(f"{hold}_{minute}", f"width after {minute} min over that after 1 min, {hold} C held [%]",
                f"+{low} to {high}", value=(low + high) / 2, spread=(low, high), form="{:+.0f}")
            for hold in (60, 90) for minute, (low, high) in spreads.items()]
    return rows + [Row("hotter", "width after 1 min at 90 C held over that at 60 C [%]", "+108 to 152", value=130,
                       spread=(108, 152), form="{:+.0f}")]


def statement(key, words, published="yes", other_set_up=False):
    return Row(key, words, published, other_set_up=other_set_up)


def depth_row(hold, activation, mean, deviation):
    return Row(f"{hold}_{activation}", f"depth at {hold} C held for {activation} s [mm]", f"{mean} +- {deviation}",
               value=mean, spread=(mean - deviation, mean + deviation))


EXPERIMENTS = {
    "pad": Experiment(runs.return_pad, [
        Row("rise", "rise of the skin over the hottest 1 cm2 after 60 s [K]", "at most 6", spread=(-math.inf, 6)),
        statement("perimeter", "the skin is warmest at the perimeter"),
        Row("load", "load of pad and body [ohm]", "contact at most 50", spread=(0, 50), form="{:.1f}")]),
    "burn": Experiment(runs.skin_burn, burn_rows()),
    "A": Experiment(runs.tip_on_muscle, voltage_rows()),
    "B": Experiment(runs.needle_in_liver, [
        Row("gel", "8 mm from the needle, in gel [C]", "57.5 +- 1.4", value=57.5, spread=(56.1, 58.9), base=22,
            form="{:.1f}"),
        Row("liver", "8 mm from the needle, in liver [C]", "58.7 +- 2.5", value=58.7, spread=(56.2, 61.2), base=22,
            form="{:.1f}")]),
    "C": Experiment(runs.ball_threshold, [
        Row("5", "least power for a lesion in 5 s [W]", "1.8", value=1.8),
        Row("60", "least power for a lesion in 60 s [W]", "0.7", value=0.7),
        Row("rise", "least power whose load rises within 30 s [W]", "7", value=7, form="{:.1f}")]),
    "D": Experiment(runs.needle_widths, width_rows()),
    "E": Experiment(runs.faces_on_liver, [
        *[statement(f"rim_{d:g}", f"the periphery comes first under {d:g} mm") for d in (2, 2.3, 3, 4)],
        statement("deeper", "the larger the face, the deeper")]),
    "F": Experiment(runs.held_off, [
        statement("contact_deeper", "deeper in contact than held off", other_set_up=True)]),
    "G": Experiment(runs.ball_two_currents, [
        statement(f"{setting}", f"3 mm sooner with the low-voltage continuous current, set to {setting} W",
                  "more consistently") for setting in (10, 20, 50, 100)]),
    "H": Experiment(runs.soft_coagulation, [
        statement("temperature_first", "electric conductivity first for the greatest temperature"),
        statement("volume_first", "heat capacity first for the volume"),
        statement("temperature_last", "thermal conductivity last for the greatest temperature"),
        statement("volume_last", "thermal conductivity last for the volume")]),
    "I": Experiment(runs.apparent_heat, [
        Row(f"{power}_{shell}", f"apparent over cold heat capacity, 90 to 99 C, {power} W, ring of {shell} mm",
            "about 5", value=5, form="{:.1f}", absent="99 C not reached")
        for power in (20, 25) for shell in ("0.5", "1", "2")]),
    "J": Experiment(runs.tip_in_vitro, [
        Row("past", "share with a rise of the load, past 100 C", "29 of 32", value=29 / 32, series="shares",
            absent="none past 100 C"),
        Row("below", "share with a rise of the load, below 100 C", "2 of 17", value=2 / 17, series="shares",
            absent="none below 100 C")]),
    "K": Experiment(runs.probe_on_epicardium, [
        depth_row(80, 15, 3.8, 0.9), depth_row(80, 120, 6.1, 0.9), depth_row(70, 60, 5.0, 1.2),
        depth_row(90, 60, 5.6, 1.7)]),
    "L": Experiment(runs.drying_under_a_face, [
        statement("edge", "drying begins at the edge, hardly cooled"),
        statement("axis", "drying begins nearer the axis, strongly cooled"),
        Row("interval", "from the first evaporation to the rise of the load, hardly cooled [s]", "65", value=65,
            form="{:.0f}", absent="no rise within 180 s")]),
}
