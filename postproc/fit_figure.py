"""Draws what `dryfront fit` found: what the sections made of each parameter, and measured against predicted.

    python3 fit_figure.py ANSWER.json --out FILE.svg|png|pdf

Exit codes: 0 done, 1 usage, 3 a fault of this program, 4 a file that cannot be read or written, or a Python package
that is missing.
"""

import argparse
import json
import math
import os
import sys
import textwrap
import traceback
from pathlib import Path

MOST_PARAMETERS = 12  # that a slide has room for
LETTERS = 24  # of a panel's title in one line


def parse(words):
    parser = argparse.ArgumentParser(prog="fit_figure.py")
    parser.add_argument("file")
    parser.add_argument("--out", required=True)
    try:
        return parser.parse_args(words)
    except SystemExit as stop:
        raise SystemExit(1 if stop.code else 0) from None


def layout(plt, answer):
    """The figure, an axes for each parameter on its left half, one for each unit of the measured on its right."""
    import appearance

    parameters = answer["parameters"][:MOST_PARAMETERS]
    columns = 2 if len(parameters) <= 6 else 3
    rows = -(-len(parameters) // columns)
    figure = plt.figure(figsize=appearance.SLIDE_INCHES)
    left = figure.add_gridspec(rows, columns, left=0.06, right=0.54, top=0.76, bottom=0.2, hspace=1.0, wspace=0.3)
    panels = [figure.add_subplot(left[k // columns, k % columns]) for k in range(len(parameters))]
    units = list(dict.fromkeys(row["unit"] for row in answer["rows"] if row["measured"] != "none"))
    right = figure.add_gridspec(len(units), 1, left=0.62, right=0.97, top=0.76, bottom=0.2, hspace=0.45)
    return figure, list(zip(parameters, panels)), {unit: figure.add_subplot(right[k]) for k, unit in enumerate(units)}


def parameter_panel(axes, parameter):
    """How often a value occurs among the draws, over how often the prior has it: 1 where nothing was learnt."""
    from matplotlib import ticker

    import palette
    import words

    edges, ratio = parameter["histogram"]["edges"], parameter["histogram"]["posterior_over_prior"]
    axes.stairs(ratio, edges, fill=True, color=palette.MODE_COLOURS[0], alpha=0.75)
    axes.axhline(1, color=palette.QUIET, linestyle=(0, (5, 2)), linewidth=1.5)
    if edges[0] > 0 and abs(edges[2] / edges[1] / (edges[-2] / edges[-3]) - 1) < 1e-3:  # slices of equal ratio
        axes.set_xscale("log")
        decades = math.log10(edges[-1] / edges[0])
        axes.xaxis.set_major_locator(ticker.LogLocator(subs=(1, 2, 5) if decades < 1.5 else (1,)))
        axes.xaxis.set_minor_formatter(ticker.NullFormatter())
        if 1e-3 <= edges[0] and edges[-1] <= 1e4:
            axes.xaxis.set_major_formatter(ticker.FormatStrFormatter("%g"))
    axes.set_xlim(edges[0], edges[-1])
    axes.set_ylim(0, 1.1 * max(1.2, *ratio))
    if parameter["here"] is not None and edges[0] <= parameter["here"] <= edges[-1]:
        axes.plot([parameter["here"]], [0], marker="^", markersize=11, color=palette.INK, clip_on=False, zorder=5)
    unit = words.key_parts(parameter["key"])[1]
    name = words.key_words(parameter["key"])
    state = "" if parameter["identified"] else ": not identified"
    axes.set_title("\n".join(textwrap.wrap(name + state, LETTERS)), fontsize=12, loc="left")
    axes.set_xlabel(f"[{unit}]" if unit else "", fontsize=11)
    axes.tick_params(labelsize=10)


def measured_panel(axes, rows, unit):
    """Every measured number against what the posterior predicts for a specimen like it, with the 90 %."""
    import palette

    kinds = ((False, "fitted", palette.MODE_COLOURS[0], "o"), (True, "held out", palette.MODE_COLOURS[3], "s"))
    for held_out, label, colour, marker in kinds:
        chosen = [row for row in rows if row["held_out"] == held_out]
        if not chosen:
            continue
        middle = [row["predicted"]["median"] for row in chosen]
        reach = [[m - row["predicted"]["low"] for m, row in zip(middle, chosen)],
                 [row["predicted"]["high"] - m for m, row in zip(middle, chosen)]]
        axes.errorbar([row["measured"] for row in chosen], middle, yerr=reach, fmt=marker, color=colour, markersize=7,
                      elinewidth=1.6, capsize=3, label=label)
    ends = [min(axes.get_xlim()[0], axes.get_ylim()[0]), max(axes.get_xlim()[1], axes.get_ylim()[1])]
    axes.plot(ends, ends, color=palette.QUIET, linewidth=1.2, zorder=0)
    axes.set_xlim(ends)
    axes.set_ylim(ends)
    axes.set_xlabel(f"measured [{unit}]")
    axes.set_ylabel(f"predicted, 90 % [{unit}]")
    axes.legend(loc="upper left", fontsize=12)


def fit_figure(plt, answer):
    import palette

    figure, panels, by_unit = layout(plt, answer)
    figure.text(0.06, 0.96, answer["title"], fontsize=20, weight="bold", va="top")
    figure.text(0.06, 0.895, answer["scope"], fontsize=13, va="top")
    figure.text(0.06, 0.115, "Left: how much likelier a value is than it was before the sections (broken line: as "
                "likely as before; triangle: in the case).\nRight: lengths and times of single specimens.",
                fontsize=11, va="top", linespacing=1.25)
    for parameter, axes in panels:
        parameter_panel(axes, parameter)
    for unit, axes in by_unit.items():
        rows = [row for row in answer["rows"] if row["unit"] == unit and row["measured"] != "none"]
        measured_panel(axes, rows, unit)
    left_out = len(answer["parameters"]) - MOST_PARAMETERS
    if left_out > 0:
        figure.text(0.54, 0.80, f"{left_out} more not drawn", fontsize=11, ha="right")
    figure.text(0.5, 0.02, answer["caution"], fontsize=10, color=palette.QUIET, ha="center", va="bottom")
    return figure


def main(words):
    arguments = parse(words)
    out = Path(arguments.out)
    try:
        import appearance
        appearance.use()
        import matplotlib.pyplot as plt
    except ImportError as error:
        print(f"dryfront fit: the Python package '{error.name}' is missing for {sys.executable}. Install it (Debian: "
              "apt-get install python3-numpy python3-matplotlib), or name another interpreter in DRYFRONT_PYTHON.",
              file=sys.stderr)
        return 4
    part = out.with_name(out.name + ".part")
    try:
        answer = json.loads(Path(arguments.file).read_text(encoding="utf-8"))
        fit_figure(plt, answer).savefig(part, format=out.suffix[1:], dpi=appearance.DOTS_PER_INCH)
        os.replace(part, out)
    except OSError as error:
        print(f"dryfront fit: {error.filename or out}: {error.strerror or error}. Give a place that can be written "
              "with --figure.", file=sys.stderr)
        return 4
    finally:
        part.unlink(missing_ok=True)
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
    except Exception:  # not 1, which the interpreter would give: that is for usage
        traceback.print_exc()
        sys.exit(3)
