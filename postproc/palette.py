"""Colours, line styles and the caution, shared by the figures and the page.

Colour maps run from light (untouched tissue) to dark (most affected), with steadily falling lightness, so that they
read the same in grey print and to a colour-blind reader. Modes are told apart by colour and by line style.
"""

# Anchors of falling CIE lightness; the spaces between are filled linearly.
ANCHORS = {
    "temperature": ["#fbf3e4", "#f6d3a6", "#eea16c", "#d96a4c", "#ab3a4b", "#6d2148", "#2b1130"],
    "water": ["#eaf4f0", "#bcdcd6", "#8dbdb6", "#7d9686", "#7a6a55", "#553b2c", "#2a1713"],
    "damage": ["#f5f1f6", "#dccde0", "#be9fc8", "#9b6fae", "#73458d", "#4c2466", "#250f38"],
    "heating": ["#f4f6ea", "#d3e0b4", "#a5c384", "#72a266", "#427c55", "#215344", "#0e2a2a"],
}

MODE_COLOURS = ["#00695f", "#56616b", "#8a3d98", "#d9541e", "#b81c66", "#7b7a10"]
MODE_COLOURS_ON_DARK = ["#3fc9b5", "#a9b7c4", "#d29be0", "#ff9566", "#f277b0", "#cfcd4e"]
MODE_DASHES = ["solid", (0, (6, 2)), (0, (7, 2, 1.5, 2)), (0, (1.5, 1.5)), (0, (10, 3)), (0, (4, 1.5, 1, 1.5, 1, 1.5))]
PLOTLY_DASHES = ["solid", "dash", "dashdot", "dot", "longdash", "longdashdot"]

EFFECT_DASHES = ["solid", (0, (5, 2)), (0, (1.2, 1.4)), (0, (6, 2, 1.2, 2)), (0, (10, 2)), (0, (3, 3))]

INK = "#1c1b1a"
QUIET = "#6a6763"
HATCH = "////"  # over what has coagulated

# The colours of a cut specimen, of our own choosing: an illustration, not computed. Fresh by the tissue's first name.
CUT_FRESH = {"liver": "#7a3b33", "muscle": "#a64b44", "fat": "#e6cf8f", "skin": "#d7a58c", "potato": "#ead9a0",
             "saline": "#cfdde0"}
CUT_MARK = "Illustration: the outlines are computed, the colours are chosen to resemble a cut specimen."
CUT_FRESH_OTHER = "#9a5a50"
CUT_EFFECTS = {"coagulation": ("#dcc9b4", "coagulated"), "desiccation": ("#a3733f", "desiccated"),
               "char": ("#181310", "charred")}
CUT_PAPER = "#fffaf2"  # behind a label on it

METAL = "#c9ccd1"
METAL_EDGE = "#3d4147"

CAUTION = ("For teaching and research only. Not for choosing settings on a patient. Computed for a model specimen: "
           "follow local codes and licensed practice.")
