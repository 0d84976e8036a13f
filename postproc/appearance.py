"""How matplotlib draws: colour maps, type sizes, line styles."""

import textwrap

import matplotlib
from matplotlib.colors import LinearSegmentedColormap

import palette

MAPS = {
    name: LinearSegmentedColormap.from_list(f"dryfront_{name}", colours)
    for name, colours in palette.ANCHORS.items()
}

SETTINGS = {
    "font.family": "DejaVu Sans",
    "font.size": 14,
    "axes.titlesize": 15,
    "axes.labelsize": 14,
    "axes.edgecolor": palette.QUIET,
    "axes.labelcolor": palette.INK,
    "axes.linewidth": 1.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": "#dedbd6",
    "grid.linewidth": 0.8,
    "xtick.color": palette.INK,
    "ytick.color": palette.INK,
    "xtick.labelsize": 13,
    "ytick.labelsize": 13,
    "legend.fontsize": 13,
    "legend.frameon": False,
    "lines.linewidth": 2.4,
    "text.color": palette.INK,
    "figure.facecolor": "white",
    "savefig.facecolor": "white",
    "svg.hashsalt": "dryfront",  # the same file gives the same bytes
    "svg.fonttype": "none",  # text stays text: it can be searched, read aloud and set in another type
    "hatch.linewidth": 0.7,
    "pdf.fonttype": 42,
    "path.simplify_threshold": 0.3,
}

SLIDE_INCHES = (13.333, 7.5)
DOTS_PER_INCH = 144
LETTERS_A_FOOTNOTE_LINE = 170


def use():
    matplotlib.use("Agg")
    matplotlib.rcParams.update(SETTINGS)


def mode_line(position):
    """Colour and line style of the mode at a position of the run file."""
    return {"color": palette.MODE_COLOURS[position % len(palette.MODE_COLOURS)],
            "linestyle": palette.MODE_DASHES[position % len(palette.MODE_DASHES)]}


def effect_dash(position):
    return palette.EFFECT_DASHES[position % len(palette.EFFECT_DASHES)]


def caution(figure):
    """At the foot of a figure."""
    figure.text(0.5,
                0.12 / figure.get_figheight(),
                palette.CAUTION,
                fontsize=10,
                color=palette.QUIET,
                ha="center",
                va="bottom")


def footnotes_of(sentences):
    """The lines of the footnotes of a figure and the height they take above the caution [inches]."""
    lines = [line for sentence in sentences for line in textwrap.wrap(sentence, LETTERS_A_FOOTNOTE_LINE)]
    return lines, (0.08 + 0.17 * len(lines) if lines else 0.0)


def footnotes(figure, sentences):
    """Above the caution of a figure that has left the room for them."""
    lines, _ = footnotes_of(sentences)
    figure.text(0.5, 0.34 / figure.get_figheight(), "\n".join(lines), fontsize=10, ha="center", va="bottom",
                linespacing=1.2, gid="footnotes")


def alike(texts):
    """Gives all the size of the smallest."""
    for text in texts:
        text.set_fontsize(min(other.get_fontsize() for other in texts))


def shrink_to(text, inches):
    """Makes a line of text smaller until it fits a width."""
    figure = text.figure
    renderer = figure.canvas.get_renderer()
    width = text.get_window_extent(renderer).width / figure.dpi
    if width > inches:
        text.set_fontsize(text.get_fontsize() * inches / width)
