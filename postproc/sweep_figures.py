#!/usr/bin/env python3
"""Figures of a sweep, from what `dryfront sweep` or `dryfront merge` wrote.

Maps with the line where two modes are alike, Sobol indices, tornado, quantiles.

    /usr/bin/python3 postproc/sweep_figures.py DIR [--out DIR] [--format svg,png,pdf]

Reads DIR/analysis.json and nothing else. Exit codes: 0 done, 1 usage, 4 a file that is missing, damaged or cannot be
written.
"""

import argparse
import json
import math
import pathlib
import sys

import appearance
import palette
import words

appearance.use()

import matplotlib.pyplot as plt  # noqa: E402
import numpy as np  # noqa: E402
from matplotlib.colors import LinearSegmentedColormap, ListedColormap, TwoSlopeNorm  # noqa: E402
from matplotlib.ticker import MaxNLocator  # noqa: E402

FIRST_DEEPER, ALIKE, OTHER_DEEPER = "#00695f", "#f7f5f2", "#8a3d98"
EITHER = LinearSegmentedColormap.from_list("dryfront_either", [OTHER_DEEPER, ALIKE, FIRST_DEEPER])
NO_VALUE = "#c9c5bf"
GREATEST_COLOUR = 1.5  # ratios beyond 2^1.5 share the last colour [log2]
FLAT = 0.02  # where neighbouring ratios differ by less, a line through them only follows round-off
RATIO_LEVELS = [0.5, 0.67, 0.8, 0.9, 1.1, 1.25, 1.5, 2, 3]
FORMATS = ("svg", "png", "pdf")


def numbers(values):
    """Numbers of a JSON list, null as not a number, "inf" as infinite."""
    return np.array([math.nan if value is None else float(value) for value in values])


def pair_of(output):
    """The two modes of a ratio or a difference."""
    return output.split(".")[1].split("_over_" if output.startswith("depth_ratio.") else "_minus_")


def labels_of(part):
    """The labels of the modes of a ratio or a difference."""
    return [part["labels"].get(name, name) for name in pair_of(part["output"])]


def in_words(part):
    """"depth_ratio.a_over_b.desiccation" -> "depth of desiccation: A over B", with the modes' labels."""
    parts = part["output"].split(".")
    effect = words.plain_words(parts[2]) if len(parts) == 3 else ""
    if parts[0] in ("depth_ratio", "depth_difference_mm"):
        first, other = labels_of(part)
        return f"depth of {effect}: {first} {'over' if parts[0] == 'depth_ratio' else 'minus'} {other}"
    quantity, _ = words.key_parts(parts[1])
    return f"{part['labels'].get(parts[0], parts[0])}: {quantity}" + (f" of {effect}" if effect else "")


def with_unit(part):
    return in_words(part) if part["units"] == "1" else f"{in_words(part)} [{part['units']}]"


def axis_words(axis):
    """An axis of a map by its name and the unit of its key."""
    _, unit = words.key_parts(axis["key"])
    return words.plain_words(axis["axis"]) + (f" [{unit}]" if unit else "")


def edges(centres):
    """Cell edges half way between the centres; half way in ratio where the centres are spread that way."""
    ratios = centres[1:] / centres[:-1] if (centres > 0).all() else None
    logarithmic = ratios is not None and len(ratios) > 1 and np.ptp(ratios) < 1e-6 * ratios.mean() and ratios[0] > 1.01
    if logarithmic:
        centres = np.log(centres)
    middle = (centres[1:] + centres[:-1]) / 2
    found = np.concatenate([[centres[0] - (middle[0] - centres[0])], middle,
                            [centres[-1] + (centres[-1] - middle[-1])]])
    return (np.exp(found) if logarithmic else found), logarithmic


def crosses_slope(x, y, field, segment):
    """Whether the four points around a segment of the level line differ by more than FLAT."""
    corner = [min(max(int(np.searchsorted(axis, (segment[at] + segment[at + 2]) / 2)), 1), len(axis) - 1)
              for axis, at in ((x, 0), (y, 1))]
    around = field[corner[1] - 1:corner[1] + 1, corner[0] - 1:corner[0] + 1]
    return not np.isfinite(around).all() or np.ptp(around) > FLAT


def draw_pair_map(figure, axes, part, one, x, y, field):
    """A ratio or a difference of the depths of two modes: colours, contours, line of equal depths. Its colour bar."""
    is_ratio = part["output"].startswith("depth_ratio.")
    known = field[np.isfinite(field)]
    x_edges, y_edges = edges(x)[0], edges(y)[0]
    level = 1 if is_ratio else 0
    shown = np.log2(field) if is_ratio else field
    reach = max(np.abs(np.log2(known[known > 0]) if is_ratio else known).max(initial=0), 1e-3)
    beyond = is_ratio and reach > GREATEST_COLOUR
    reach = GREATEST_COLOUR if beyond else reach
    mesh = axes.pcolormesh(x_edges, y_edges, shown, cmap=EITHER, norm=TwoSlopeNorm(0, -reach, reach))
    levels = RATIO_LEVELS if is_ratio or not known.size else MaxNLocator(7).tick_values(known.min(), known.max())
    levels = [value for value in levels if known.size and known.min() < value < known.max() and value != level]
    if levels:
        lines = axes.contour(x, y, np.ma.masked_invalid(field), levels=levels, colors=palette.INK, linewidths=1,
                             linestyles=["dashed" if value < level else "solid" for value in levels])
        axes.clabel(lines, fmt="%.3g", fontsize=12)
    for x0, y0, x1, y1 in one.get("level_line", []):
        if is_ratio and not crosses_slope(x, y, field, (x0, y0, x1, y1)):
            continue
        axes.plot([x0, x1], [y0, y1], color=palette.INK, linewidth=3.2, solid_capstyle="round")
    axes.plot([], [], color=palette.INK, linewidth=3.2, label="alike")
    first, other = labels_of(part)
    axes.plot([], [], color=palette.INK, linewidth=1, label=f"{first} deeper")
    axes.plot([], [], color=palette.INK, linewidth=1, linestyle="dashed", label=f"{other} deeper")
    only_first = np.isinf(field)
    if only_first.any():
        axes.pcolor(x_edges,
                    y_edges,
                    np.ma.masked_where(~only_first, np.zeros(field.shape)),
                    hatch="//",
                    edgecolor=ALIKE,
                    linewidth=0,
                    cmap=ListedColormap([FIRST_DEEPER]))
        axes.fill_between([], [], [], facecolor=FIRST_DEEPER, edgecolor=ALIKE, hatch="//", label=f"{first} only")
    if np.isnan(field).any():
        axes.plot([], [],
                  color=NO_VALUE,
                  marker="s",
                  markersize=14,
                  linestyle="none",
                  label="neither, or no result")
    bar = figure.colorbar(mesh, ax=axes, extend="both" if beyond else "neither")
    if is_ratio:
        ticks = [value for value in (0.25, 0.5, 0.67, 0.8, 1, 1.25, 1.5, 2, 4) if abs(math.log2(value)) <= reach]
        bar.set_ticks([math.log2(value) for value in ticks], labels=[f"{value:g}" for value in ticks])
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.12), ncols=3)
    return bar


def draw_map(part, one):
    x, y = numbers(part["x"]["values"]), numbers(part["y"]["values"])
    field = np.array([numbers(row) for row in one["values"]]).T
    figure, axes = plt.subplots(figsize=appearance.SLIDE_INCHES)
    x_edges, x_log = edges(x)
    y_edges, y_log = edges(y)
    is_ratio, is_difference = part["output"].startswith("depth_ratio."), part["output"].startswith("depth_difference")
    if is_ratio or is_difference:
        bar = draw_pair_map(figure, axes, part, one, x, y, field)
    else:
        mesh = axes.pcolormesh(x_edges, y_edges, field, cmap=appearance.MAPS["damage"])
        bar = figure.colorbar(mesh, ax=axes)
    bar.set_label("ratio of the depths" if is_ratio else "difference [mm]" if is_difference else f"[{part['units']}]")
    axes.set_facecolor(NO_VALUE)
    if x_log:
        axes.set_xscale("log")
    if y_log:
        axes.set_yscale("log")
    for axis, log in ((axes.xaxis, x_log), (axes.yaxis, y_log)):
        if log:
            axis.set_major_formatter(plt.FuncFormatter(lambda value, _: f"{value:g}"))
            axis.set_minor_formatter(plt.FuncFormatter(lambda value, _: f"{value:g}"))
            axis.set_tick_params(which="both", labelsize=11, length=3, pad=4)
    axes.set_xlabel(axis_words(part["x"]))
    axes.set_ylabel(axis_words(part["y"]))
    where = ", ".join(f"{words.plain_words(name)} {value}" for name, value in one["at"].items())
    axes.set_title(in_words(part) + (f"   ({where})" if where else ""))
    axes.grid(False)
    return figure


def bars_figure(count):
    return plt.subplots(figsize=(appearance.SLIDE_INCHES[0], max(5, 1.8 + 0.36 * count)))


def draw_indices(part):
    entries = part["indices"][::-1]
    figure, axes = bars_figure(len(entries))
    places = np.arange(len(entries))
    for name, shift, style in (("total", 0.18, {"color": FIRST_DEEPER, "marker": "o"}),
                               ("first", -0.18, {"color": OTHER_DEEPER, "marker": "s"})):
        value, low, high = (numbers([entry[name][key] for entry in entries]) for key in ("value", "low", "high"))
        axes.hlines(places + shift, low, high, color=style["color"], linewidth=1.6)
        axes.plot(value, places + shift, linestyle="none", markersize=7, **style,
                  label="with all it interacts with (total)" if name == "total" else "by itself (first order)")
    axes.axvline(0, color=palette.QUIET, linewidth=1)
    axes.set_yticks(places, [words.plain_words(entry["axis"]) for entry in entries])
    axes.set_xlabel("share of the variance (Sobol index), with its 95 % range")
    axes.set_title(with_unit(part))
    axes.legend(loc="lower right")
    return figure


def plain(value):
    return f"{value:.4g}" if 1000 <= abs(value) < 10000 else f"{value:.3g}"


def draw_tornado(part):
    entries = [entry for entry in part["tornado"] if entry["least"] is not None and entry["greatest"] is not None][::-1]
    figure, axes = bars_figure(len(entries))
    places = np.arange(len(entries))
    least, greatest = numbers([e["least"] for e in entries]), numbers([e["greatest"] for e in entries])
    axes.barh(places, greatest - least, left=least, height=0.6, color=palette.METAL, edgecolor=palette.METAL_EDGE)
    for place, entry in zip(places, entries):
        for end, side, alignment in (("least", "at", "right"), ("greatest", "at_greatest", "left")):
            if entry[side] is not None and entry["greatest"] > entry["least"]:
                axes.annotate(plain(entry[side]), (entry[end], place), fontsize=10, va="center", ha=alignment,
                              xytext=(-4 if alignment == "right" else 4, 0), textcoords="offset points")
    if part["base"] is not None:
        axes.axvline(part["base"], color=palette.INK, linewidth=1.6, label=f"base case {part['base']:.3g}")
    if part["output"].startswith("depth_ratio."):
        axes.axvline(1, color=OTHER_DEEPER, linewidth=1.6, linestyle="dashed", label="both alike")
    axes.set_yticks(places, [words.plain_words(entry["axis"]) for entry in entries])
    axes.use_sticky_edges = False
    axes.margins(x=0.12)
    axes.set_xlabel(with_unit(part))
    axes.set_title("Each axis by itself over its range; the number at an end is the axis' value there")
    axes.legend(loc="lower right")
    return figure


def draw_quantiles(parts):
    """Depths, ratios and differences have axes of their own: one panel per unit and kind."""
    panels = {}
    for part in parts:
        kind = part["output"].split(".")[0] if part["output"].startswith("depth_") else part["units"]
        panels.setdefault(kind, []).append(part)
    heights = [0.7 + 0.5 * len(panel) for panel in panels.values()]
    figure, all_axes = plt.subplots(len(panels),
                                    1,
                                    figsize=(appearance.SLIDE_INCHES[0], 1.4 + sum(heights)),
                                    squeeze=False,
                                    height_ratios=heights)
    for axes, (kind, panel) in zip(all_axes[:, 0], panels.items()):
        for place, part in enumerate(panel[::-1]):
            at = {round(entry["share"], 4): entry["value"] for entry in part["quantiles"]}
            if any(at[share] is None for share in (0.05, 0.25, 0.5, 0.75, 0.95)):
                axes.annotate("without a value", (0.02, place), xycoords=("axes fraction", "data"), va="center")
                continue
            axes.hlines(place, at[0.05], at[0.95], color=palette.METAL_EDGE, linewidth=2)
            axes.hlines(place, at[0.25], at[0.75], color=palette.METAL_EDGE, linewidth=9)
            axes.plot(at[0.5], place, marker="o", color="white", markeredgecolor=palette.INK, markersize=9)
        if kind in ("depth_ratio", "depth_difference_mm"):
            axes.axvline(1 if kind == "depth_ratio" else 0, color=OTHER_DEEPER, linewidth=1.6, linestyle="dashed")
        axes.set_yticks(range(len(panel)), [in_words(part) for part in panel[::-1]])
        axes.set_ylim(-0.6, len(panel) - 0.4)
        axes.set_xlabel("" if panel[0]["units"] == "1" else f"[{panel[0]['units']}]")
    all_axes[0, 0].set_title(f"{words.plain_words(parts[0]['design'])}: median, half and nine tenths of the points")
    return figure


def save(figure, folder, name, formats):
    """The figure in every format; the names written."""
    figure.tight_layout(rect=(0, 0.035, 1, 1))
    appearance.caution(figure)
    written = []
    for kind in formats:
        path = folder / f"{name}.{kind}"
        figure.savefig(path, dpi=appearance.DOTS_PER_INCH, metadata={"Date": None} if kind == "svg" else None)
        written.append(path)
    plt.close(figure)
    return written


def draw_all(analysis, folder, formats):
    written = []
    with_quantiles = {}
    for part in analysis["analysis"]:
        part["labels"] = analysis["labels"]
        name = f"{part['design']}-{part['output'].replace('.', '-')}"
        for number, one in enumerate(part.get("maps", [])):
            suffix = "" if len(part["maps"]) == 1 else "-" + "_".join(str(v).strip("\"'") for v in one["at"].values())
            written += save(draw_map(part, one), folder, f"map-{name}{suffix}", formats)
        if "indices" in part:
            written += save(draw_indices(part), folder, f"indices-{name}", formats)
        if "tornado" in part:
            written += save(draw_tornado(part), folder, f"tornado-{name}", formats)
        if "quantiles" in part:
            with_quantiles.setdefault(part["design"], []).append(part)
    for design, parts in with_quantiles.items():
        written += save(draw_quantiles(parts), folder, f"quantiles-{design}", formats)
    return written


def main():
    parser = argparse.ArgumentParser(description="Figures of a sweep.")
    parser.add_argument("folder", metavar="DIR", type=pathlib.Path, help="the sweep's folder, merged")
    parser.add_argument("--out",
                        metavar="DIR",
                        type=pathlib.Path,
                        help="where the figures go; DIR/figures when not given")
    parser.add_argument("--format", default="svg", help="svg, png, pdf, or several with commas between")
    parser.exit_on_error = False
    try:
        arguments = parser.parse_args()
        formats = arguments.format.split(",")
        unknown = [kind for kind in formats if kind not in FORMATS]
        if unknown:
            parser.error(f"no format {unknown[0]}; there are {', '.join(FORMATS)}")
    except SystemExit as end:
        sys.exit(1 if end.code else 0)
    path = arguments.folder / "analysis.json"
    try:
        analysis = json.loads(path.read_text(encoding="utf-8"))
        folder = arguments.out or arguments.folder / "figures"
        folder.mkdir(parents=True, exist_ok=True)
        written = draw_all(analysis, folder, formats)
    except FileNotFoundError:
        print(f"error: {path} is not there; is the sweep merged? (dryfront merge {arguments.folder})", file=sys.stderr)
        sys.exit(4)
    except (json.JSONDecodeError, KeyError) as error:
        print(f"error: {path} is damaged: {error!r}", file=sys.stderr)
        sys.exit(4)
    except OSError as error:
        print(f"error: {error}", file=sys.stderr)
        sys.exit(4)
    print(f"{len(written)} figures in {folder}")


if __name__ == "__main__":
    main()
