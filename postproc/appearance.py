"""Colours, line styles and type sizes shared by every figure and by the page.

Colour maps run from light (untouched tissue) to dark (most affected), with steadily falling lightness, so that they read
the same in grey print and to a colour-blind reader. Drives are told apart by colour and by line style.
"""

import re

import matplotlib
from matplotlib.colors import LinearSegmentedColormap

# Anchors of falling CIE lightness; the spaces between are filled linearly.
ANCHORS = {
    "temperature": ["#fbf3e4", "#f6d3a6", "#eea16c", "#d96a4c", "#ab3a4b", "#6d2148", "#2b1130"],
    "water": ["#eaf4f0", "#bcdcd6", "#8dbdb6", "#7d9686", "#7a6a55", "#553b2c", "#2a1713"],
    "damage": ["#f5f1f6", "#dccde0", "#be9fc8", "#9b6fae", "#73458d", "#4c2466", "#250f38"],
    "heating": ["#f4f6ea", "#d3e0b4", "#a5c384", "#72a266", "#427c55", "#215344", "#0e2a2a"],
}
MAPS = {name: LinearSegmentedColormap.from_list(f"dryfront_{name}", colours) for name, colours in ANCHORS.items()}

DRIVE_COLOURS = ["#00695f", "#56616b", "#8a3d98", "#d9541e", "#b81c66", "#7b7a10"]
DRIVE_DASHES = ["solid", (0, (6, 2)), (0, (7, 2, 1.5, 2)), (0, (1.5, 1.5)), (0, (10, 3)), (0, (4, 1.5, 1, 1.5, 1, 1.5))]
PLOTLY_DASHES = ["solid", "dash", "dashdot", "dot", "longdash", "longdashdot"]

EFFECT_DASHES = ["solid", (0, (5, 2)), (0, (1.2, 1.4)), (0, (6, 2, 1.2, 2)), (0, (10, 2)), (0, (3, 3))]

INK = "#1c1b1a"
QUIET = "#6a6763"
METAL = "#c9ccd1"
METAL_EDGE = "#3d4147"

CAUTION = ("For teaching and research only. Not for choosing settings on a patient. Computed for a model specimen: "
           "follow local codes and licensed practice.")

SETTINGS = {
    "font.family": "DejaVu Sans",
    "font.size": 14,
    "axes.titlesize": 15,
    "axes.labelsize": 14,
    "axes.edgecolor": QUIET,
    "axes.labelcolor": INK,
    "axes.linewidth": 1.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": "#dedbd6",
    "grid.linewidth": 0.8,
    "xtick.color": INK,
    "ytick.color": INK,
    "xtick.labelsize": 13,
    "ytick.labelsize": 13,
    "legend.fontsize": 13,
    "legend.frameon": False,
    "lines.linewidth": 2.4,
    "text.color": INK,
    "figure.facecolor": "white",
    "savefig.facecolor": "white",
    "svg.hashsalt": "dryfront",  # the same file gives the same bytes
    "pdf.fonttype": 42,
    "path.simplify_threshold": 0.3,
}

SLIDE_INCHES = (13.333, 7.5)
DOTS_PER_INCH = 144


def use():
    matplotlib.use("Agg")
    matplotlib.rcParams.update(SETTINGS)


def drive_line(position):
    """Colour and line style of the drive at a position of the run file."""
    return {"color": DRIVE_COLOURS[position % len(DRIVE_COLOURS)],
            "linestyle": DRIVE_DASHES[position % len(DRIVE_DASHES)]}


def effect_dash(position):
    return EFFECT_DASHES[position % len(EFFECT_DASHES)]


def number(value, digits=3):
    """A number to a few significant digits without an exponent where it can be helped; a dash where there is none."""
    if value is None or value != value:
        return "\u2013"
    if value == 0:
        return "0"
    text = f"{value:.{digits}g}"
    return f"{value:.0f}" if re.search(r"e\+0[0-5]$", text) else text


def millimetres(metres):
    """Two decimals, as the printed comparison has them."""
    return f"{1e3 * metres:.2f} mm" if metres == metres else "\u2013"


def shrink_to(text, inches):
    """Makes a line of text smaller until it fits a width."""
    figure = text.figure
    renderer = figure.canvas.get_renderer()
    width = text.get_window_extent(renderer).width / figure.dpi
    if width > inches:
        text.set_fontsize(text.get_fontsize() * inches / width)
