"""The static figures with the cross-section: the comparison with its traces, and the pair in four fields.

Places are given in inches from the lower left corner, since the section's height follows from the specimen.
"""

import textwrap

from matplotlib.patches import Patch

import appearance
import describe
import palette
import scene
import section
import traces
import waveform_kind
import words

WIDTH = appearance.SLIDE_INCHES[0]
LETTERS_A_LINE = 120


def fractions(figure, box):
    w, h = figure.get_figwidth(), figure.get_figheight()
    return [box[0] / w, box[1] / h, box[2] / w, box[3] / h]


def note(figure, x, y, text, **style):
    """Text at a place in inches."""
    return figure.text(x / figure.get_figwidth(), y / figure.get_figheight(), text, **style)


def section_height(view, width):
    """Height in inches of a section drawn to scale in a width in inches."""
    return width * (view.bottom + view.top) / (2 * view.reach)


def tissue_height(view, width):
    return width * view.bottom / (2 * view.reach)


def halves_titles(figure, run, left, right, x0, x1, y, fontsize=15):
    """Label, crest factor and source of each half above it, in the colour of its mode."""
    titles, settings = [], []
    for mode, x, align in ((left, x0, "left"), (right, x1, "right")):
        colour = appearance.mode_line(run.modes.index(mode))["color"]
        titles.append(note(figure, x, y + 0.30, describe.headline(mode), ha=align, va="baseline", fontsize=fontsize,
                           weight="bold", color=colour))
        settings.append(note(figure, x, y + 0.06, f"{waveform_kind.in_words(mode)}; {describe.source_words(mode)}",
                             ha=align, va="baseline", fontsize=fontsize - 3))
    for texts in (titles, settings):
        fit_halves(texts, (x1 - x0) / 2 - 0.15)


def fit_halves(texts, inches):
    """Makes what stands above the two halves fit its half, both alike."""
    for text in texts:
        appearance.shrink_to(text, inches)
    appearance.alike(texts)


def effect_legend(axes, run, modes, **placing):
    """What the lines and strokes in the section mean and which moment they belong to."""
    names = [name for name in run.effects if any(name in d.effects for d in modes)]
    handles = [axes.plot([], [], color=palette.INK, linewidth=2.2,
                         linestyle=appearance.effect_dash(list(run.effects).index(name)))[0] for name in names]
    drawn = {name for mode in modes for name, effect in mode.effects.items() if effect.greatest > 0}
    meanings = [describe.effect_meaning(run, name) + ("" if name in drawn else " (none)") for name in names]
    main = words.plain_words(scene.main_effect(run))
    handles.append(Patch(facecolor="white", edgecolor=palette.QUIET, hatch=palette.HATCH, linewidth=0.8))
    legend = axes.legend(handles, [*meanings, f"strokes: {main}"], ncol=min(len(handles), 4), handlelength=2.6,
                         borderpad=0.2, columnspacing=1.4, **placing)
    shrink_legend(legend, 0.97 * axes.figure.get_figwidth())
    return legend


def shrink_legend(legend, inches):
    """Makes the texts of a legend smaller until it is not wider than this."""
    figure = legend.figure
    width = legend.get_window_extent(figure.canvas.get_renderer()).width / figure.dpi
    if width > inches:
        for text in legend.get_texts():
            text.set_fontsize(0.97 * text.get_fontsize() * inches / width)


def spread(figure, x, y, text, size, colour):
    """Lines of text from a height downwards, as wide as the figure lets them; returns where they end [inches]."""
    written = note(figure, x, y, text, fontsize=size, color=colour, va="top", linespacing=1.3)
    appearance.shrink_to(written, WIDTH - x - 0.3)
    return y - 0.255 * (1 + text.count("\n"))


def time_words(field, mode):
    return scene.moment_words(mode, scene.frame_for(field, mode))


def comparison_figure(plt, run, left, right):
    """Cross-section with temperature above; resistance, power and depth of all modes below."""
    view = scene.view_of(run, [left, right])
    x0, width = 0.85, 10.6
    high = section_height(view, width)
    beyond = describe.lens_sentences(run, [left, right]) + describe.range_sentences([left, right])
    foot = appearance.footnotes_of(beyond)[1]
    section_low = 4.15 + foot
    field = scene.temperature_field(run, [left, right])
    said = [(describe.compare_words(run, left, right, scene.main_effect(run)), 13.5, palette.INK),
            (describe.interval_line(run, left, right), 12, palette.QUIET),
            (f"Colours: {field.name} {time_words(field, left)}. {describe.line_moment(left, right)}", 12,
             palette.QUIET)]
    said = [(textwrap.fill(text, LETTERS_A_LINE), size, colour) for text, size, colour in said]
    head = 0.255 * sum(1 + text.count("\n") for text, *_ in said)
    figure = plt.figure(figsize=(WIDTH, section_low + high + 1.22 + head))
    top = figure.get_figheight()

    axes = figure.add_axes(fractions(figure, (x0, section_low, width, high)), label="section")
    image = section.draw_pair(axes, run, left, right, field, view)
    halves_titles(figure, run, left, right, x0, x0 + width, section_low + high + 0.08)
    section.colour_bar(figure, image, field,
                       fractions(figure, (x0 + width + 0.5, section_low, 0.18, tissue_height(view, width))),
                       field.label)
    effect_legend(axes, run, [left, right], loc="upper center", fontsize=12,
                  bbox_to_anchor=(0.5, (section_low - 0.62) / top), bbox_transform=figure.transFigure)
    note(figure, x0, top - 0.2, run.title or run.path.stem, fontsize=20, weight="bold", va="top")
    y = top - 0.66
    for text, size, colour in said:
        y = spread(figure, x0, y, text, size, colour)
    below = [figure.add_axes(fractions(figure, (x, 1.25 + foot, 3.35, 1.45))) for x in (x0, x0 + 4.22, x0 + 8.44)]
    traces.draw_quantity(below[0], run, "resistance_ohm")
    traces.draw_quantity(below[1], run, "power_W")
    traces.draw_depth(below[2], run, scene.main_effect(run))
    traces.legend(figure, below[0], run, loc="lower center", bbox_to_anchor=(0.5, (0.3 + foot) / top))
    appearance.footnotes(figure, beyond)
    appearance.caution(figure)
    return figure


def fields_figure(plt, run, left, right):
    """The pair in temperature, water left, damage and heating density."""
    fields = scene.fields_of(run, [left, right])
    view = scene.view_of(run, [left, right])
    width = 4.95
    high = section_height(view, width)
    rows = (len(fields) + 1) // 2
    beyond = describe.range_sentences([left, right])
    foot = appearance.footnotes_of(beyond)[1]
    low, pitch = 1.35 + foot, high + 0.85
    figure = plt.figure(figsize=(WIDTH, low + rows * pitch + 0.75))
    top = figure.get_figheight()
    for position, field in enumerate(fields):
        column, row = position % 2, position // 2
        x, y = 0.75 + 6.3 * column, low + (rows - 1 - row) * pitch
        axes = figure.add_axes(fractions(figure, (x, y, width, high)), label=field.key)
        image = section.draw_pair(axes, run, left, right, field, view, labels=position == 0, fontsize=10, linewidth=1.6)
        axes.tick_params(labelsize=11)
        axes.set_xlabel(f"distance from the {run.symmetry} [mm]" if row == rows - 1 else "", fontsize=12)
        axes.set_ylabel("depth [mm]" if column == 0 else "", fontsize=12)
        note(figure,
             x,
             y + high + 0.12,
             field.label,
             fontsize=14,
             weight="bold",
             va="bottom")
        appearance.shrink_to(
            note(figure, x + width, y + high + 0.12, time_words(field, left), fontsize=11, va="bottom", ha="right"),
            1.9)
        bar = section.colour_bar(figure, image, field,
                                 fractions(figure, (x + width + 0.38, y, 0.12, tissue_height(view, width))))
        bar.ax.tick_params(labelsize=11)
        if position == 0:
            first = axes
    note(figure, 0.75, top - 0.2, run.title or run.path.stem, fontsize=20, weight="bold", va="top")
    titles = []
    for mode, x, align, half in ((left, 0.75, "left", "left half: "), (right, WIDTH - 0.5, "right", "right half: ")):
        titles.append(note(figure, x, top - 0.68, half + describe.headline(mode), ha=align, va="top", fontsize=14,
                           weight="bold", color=appearance.mode_line(run.modes.index(mode))["color"]))
    fit_halves(titles, WIDTH / 2 - 0.75)
    note(figure, 0.75, 0.33 + foot, describe.line_moment(left, right), fontsize=12, color=palette.QUIET)
    effect_legend(first, run, [left, right], loc="lower center", fontsize=12,
                  bbox_to_anchor=(0.5, (0.5 + foot) / top), bbox_transform=figure.transFigure)
    appearance.footnotes(figure, beyond)
    appearance.caution(figure)
    return figure
