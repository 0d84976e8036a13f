"""The handout: a page with question, settings, section pair, numbers, power against load and cautions, and a second one
for researchers with histories and shares. A4 or letter, upright.
"""

import textwrap

import appearance
import comparison
import describe
import mechanisms
import palette
import power_load
import power_load_figure
import scene
import section
import traces
import waveform_kind
import words

PAPERS = {"a4": (8.268, 11.693), "letter": (8.5, 11.0)}
MARGIN = 0.6


def number_rows(run):
    """The table of results: header and one row for each mode."""
    header = [
        "mode", "crest\nfactor", *[f"depth of\n{words.plain_words(name)}" for name in run.effects], "half-\nwidth",
        "resistance\nstart | end", "energy\n", "of it at the\nsurface", "arcing\nfrom", "dry-out\nat"
    ]
    main = scene.main_effect(run)
    rows = []
    for mode in run.modes:
        s = mode.shown
        rows.append([
            textwrap.fill(mode.label, 22), mode.shown["crest_factor"],
            *[describe.depth_number(mode.effects[n]) if n in mode.effects else "\u2013" for n in run.effects],
            mode.effects[main].shown["half_width"] if main in mode.effects else "\u2013",
            f"{s['resistance_start_ohm']} | {s['resistance_end_ohm']}",
            s["delivered_J"],
            s["surface_J"],
            s["arcing_s"],
            s["dry_out_s"]
        ])
    return header, rows


def handout_figure(plt, run, left, right, paper):
    """The first page, with section and power against load as large as leaves room for all the text."""
    for share, panel in ((1.0, 1.35), (0.92, 1.2), (0.84, 1.1), (0.76, 1.0), (0.68, 0.9), (0.6, 0.8)):
        figure, end = one_page(plt, run, left, right, paper, share, panel)
        if end > 0.45:
            return figure
        if share > 0.6:
            plt.close(figure)
    return figure


def one_page(plt, run, left, right, paper, share, panel):
    width, height = PAPERS[paper]
    figure = plt.figure(figsize=(width, height))
    inside = width - 2 * MARGIN
    y = height - 0.36
    y = paragraph(figure, run.title or run.path.stem, y, inside, size=15.5, weight="bold")
    if run.question:
        y = paragraph(figure, run.question, y - 0.04, inside, size=9.8, style="italic")
    y = paragraph(figure,
                  describe.compare_words(run, left, right, scene.main_effect(run)),
                  y - 0.06,
                  inside,
                  size=9.8,
                  weight="bold")

    y = section_part(figure, run, left, right, y, inside, share)

    y = heading(figure, "Settings", y)
    for mode in run.modes:
        line = (f"{mode.label}: {waveform_kind.in_words(mode)}; {describe.source_words(mode)}; "
                 f"{mode.activation:g} s with current")
        y = paragraph(figure, line, y, inside, size=8.3)
    y = paragraph(figure, describe.specimen_words(run), y, inside, size=8.3)

    y = heading(figure, "Numbers", y - 0.1)
    y = table(figure, run, y, inside)
    for sentence in describe.range_sentences(run.modes) + run.warnings:
        y = paragraph(figure, sentence, y, inside, size=8.3)
    y = paragraph(figure, describe.interval_sentences(run, left, right)[0], y - 0.04, inside, size=8.3)

    y = heading(figure, "Power against load", y - 0.08)
    y = power_load_part(figure, run, left, right, y, inside, panel)
    return figure, foot(figure, run, y, inside)


def researchers_figure(plt, run, left, right, paper):
    """The second page: histories of all modes, the range, and the shares of what differs with the sentences."""
    width, height = PAPERS[paper]
    figure = plt.figure(figsize=(width, height))
    inside = width - 2 * MARGIN
    y = paragraph(figure, f"For researchers: {run.title or run.path.stem}", height - 0.36, inside, size=15.5,
                  weight="bold")
    y = heading(figure, "Histories", y - 0.1)
    y = histories(figure, run, y, inside)
    y = heading(figure, "Range", y - 0.1)
    y = paragraph(figure, " ".join(describe.interval_sentences(run, left, right)), y, inside, size=8.3)
    y = heading(figure, "Why", y - 0.1)
    y = why_part(figure, run, left, right, y, inside)
    foot(figure, run, y, inside)
    return figure


def pages(plt, run, left, right, paper):
    """The pages of the handout, in order."""
    yield handout_figure(plt, run, left, right, paper)
    yield researchers_figure(plt, run, left, right, paper)


def foot(figure, run, y, inside):
    """The cautions, and at the end of the page where its numbers come from; returns where the cautions end."""
    y = heading(figure, "Cautions", y - 0.1)
    for sentence in describe.CAUTIONS:
        y = paragraph(figure, sentence, y, inside, size=8.3, bullet=True)
    comparison.note(figure,
                    MARGIN,
                    0.25, f"dryfront {run.version}, source {run.source_revision[:12]}; run file {run.path.name}, "
                    f"{run.started}",
                    fontsize=7,
                    color=palette.QUIET)
    return y


def power_load_part(figure, run, left, right, y, inside, high):
    """Curves and paths of the pair with their legend, and the words beneath; returns where it ends."""
    low = y - 0.28 - high
    axes = figure.add_axes(comparison.fractions(figure, (MARGIN + 0.4, low, inside - 0.5, high)), label="power load")
    modes = power_load_figure.pair_of(run, left, right)
    power_load_figure.draw(axes, modes, 0.6)
    power_load_figure.draw_rated_loads(axes, modes, 7.5)
    small(axes)
    axes.xaxis.labelpad = 1
    curves = axes.get_legend_handles_labels()
    handles, labels = power_load_figure.marks(axes, modes, 0.6)
    letters = sum(map(len, (*curves[1], *labels)))
    figure.legend([*curves[0], *handles], [*curves[1], *labels], loc="upper left", ncol=len(labels) + len(curves[1]),
                  fontsize=8 * min(1, 66 / letters), handlelength=2.6, handletextpad=0.4, columnspacing=1.0,
                  borderpad=0.1, bbox_to_anchor=((MARGIN + 0.3) / figure.get_figwidth(),
                                                 (y + 0.02) / figure.get_figheight()))
    y = low - 0.42
    for heading_words, text in power_load.sentences(run, left, right, scene.main_effect(run)):
        y = paragraph(figure, f"{heading_words}: {text}", y, inside, size=8.3, bullet=True)
    return y


def section_part(figure, run, left, right, y, inside, share):
    """The section of the pair with labels, colours and legend, on a share of the width; returns where it ends."""
    view = scene.view_of(run, [left, right])
    wide = share * (inside - 1.35)
    high = comparison.section_height(view, wide)
    low = y - 0.42 - high
    x = MARGIN + 0.4 + (1 - share) * (inside - 1.35) / 2
    field = scene.temperature_field(run, [left, right])
    axes = figure.add_axes(comparison.fractions(figure, (x, low, wide, high)), label="section")
    image = section.draw_pair(axes, run, left, right, field, view, fontsize=8.5, linewidth=1.5)
    small(axes)
    bar = section.colour_bar(figure, image, field, comparison.fractions(
        figure, (x + wide + 0.35, low, 0.1, comparison.tissue_height(view, wide))))
    bar.ax.tick_params(labelsize=8)
    bar.set_label(field.label, fontsize=8)
    titles = [comparison.note(figure, place, low + high + 0.1, mode.label, ha=align, fontsize=9.5,
                              weight="bold", color=appearance.mode_line(run.modes.index(mode))["color"])
              for mode, place, align in ((left, x, "left"), (right, x + wide, "right"))]
    comparison.fit_halves(titles, wide / 2 - 0.08)
    comparison.effect_legend(axes,
                             run, [left, right],
                             loc="upper center",
                             fontsize=8.5,
                             bbox_to_anchor=(0.5, -0.36 / high))
    y = paragraph(figure, f"Colours: {field.name} {comparison.time_words(field, left)}. "
                  f"{describe.line_moment(left, right)}", low - 0.62, inside, size=8.3)
    for sentence in describe.lens_sentences(run, [left, right]):
        y = paragraph(figure, sentence, y, inside, size=8.3)
    return y - 0.05


def histories(figure, run, y, inside):
    """Resistance, power and depth of all modes over time; returns where it ends."""
    high = 1.6
    low = y - 0.24 - high
    boxes = [(MARGIN + 0.3 + k * (inside + 0.25) / 3, low, (inside - 0.9) / 3, high) for k in range(3)]
    below = [figure.add_axes(comparison.fractions(figure, box)) for box in boxes]
    traces.draw_quantity(below[0], run, "resistance_ohm")
    traces.draw_quantity(below[1], run, "power_W")
    traces.draw_depth(below[2], run, scene.main_effect(run))
    for axis in below:
        small(axis)
        for line in axis.lines:
            line.set_linewidth(1.5)
            line.set_markersize(4)
    handles, labels = below[0].get_legend_handles_labels()
    letters = sum(map(len, labels[:4]))
    figure.legend(handles, labels, loc="upper center", ncol=4, fontsize=8.5 * min(1, 72 / letters), handlelength=3.4,
                  bbox_to_anchor=(0.5, (low - 0.33) / figure.get_figheight()))
    return low - 0.64


def why_part(figure, run, left, right, y, inside):
    """The shares of what differs where the file has them, and what the run itself shows; returns where it ends."""
    sentences = describe.why_words(run, left, right)
    if run.why["computed"]:
        power, _ = describe.shares_beside(run)
        y = paragraph(figure, f"{describe.shares_words(run)} {power}", y, inside, size=8.3)
        sentences = sentences[1:]  # the power stands above
    if run.why["computed"] and describe.shares(run):
        high = 0.145 * len(describe.shares(run))
        axes = figure.add_axes(comparison.fractions(figure, (MARGIN + 0.85, y - high - 0.03, inside - 0.95, high)),
                               label="shares")
        mechanisms.draw_shares(axes, run, 7.5)
        axes.set_xlabel(mechanisms.directions(run), fontsize=7.5, labelpad=1)
        y -= high + 0.4
    elif run.why["computed"]:
        sentences.insert(0, "The two modes differ in nothing that the model sees.")
    else:
        sentences.append(f"How much each difference accounts for is not in this file: {run.why['reason']}.")
    for sentence in sentences:
        y = paragraph(figure, sentence, y, inside, size=8.3, bullet=True)
    return y


def paragraph(figure, text, y, width, size, bullet=False, **style):
    """Wrapped text from y downwards; returns where it ends [inches]."""
    indent = 0.14 if bullet else 0
    share = 0.585 if style.get("weight") == "bold" else 0.53  # mean width of a letter over its size
    per_line = int((width - indent) * 72 / (share * size))
    line = size / 72 * 1.24
    for number, part in enumerate(textwrap.wrap(text, per_line)):
        y -= line
        if bullet and number == 0:
            comparison.note(figure, MARGIN, y, "\u2022", fontsize=size, va="baseline")
        comparison.note(figure, MARGIN + indent, y, part, fontsize=size, va="baseline", **style)
    return y - 0.015


def heading(figure, text, y):
    comparison.note(figure, MARGIN, y - 0.17, text, fontsize=11, weight="bold", va="baseline")
    return y - 0.22


def small(axes):
    axes.tick_params(labelsize=8)
    axes.xaxis.label.set_size(8.5)
    axes.yaxis.label.set_size(8.5)
    axes.title.set_size(9)
    axes._left_title.set_size(9)


def table(figure, run, y, width):
    header, rows = number_rows(run)
    lines = max(cells[0].count("\n") + 1 for cells in rows)
    row = 0.175 if lines == 1 else 0.04 + 0.125 * lines
    high = 0.34 + row * len(rows)
    axes = figure.add_axes(comparison.fractions(figure, (MARGIN, y - high - 0.04, width, high)), label="numbers")
    axes.set_axis_off()
    shares = [2.0 if k == 0 else max(len(line) for line in h.split("\n")) * 0.085 + 0.22 for k, h in enumerate(header)]
    starts = [sum(shares[:k]) / sum(shares) for k in range(len(shares))]
    for k, h in enumerate(header):
        axes.text(starts[k], 1.0, h, fontsize=7.6, va="top", linespacing=1.15, color=palette.QUIET)
    names = []
    for n, cells in enumerate(rows):
        for k, cell in enumerate(cells):
            text = axes.text(starts[k], 1 - (0.34 + row * (n + 0.5)) / high, cell, fontsize=8.3, va="center_baseline",
                             weight="bold" if k == 0 else "normal", linespacing=1.1,
                             color=appearance.mode_line(n)["color"] if k == 0 else palette.INK)
            if k == 0:
                appearance.shrink_to(text, (starts[1] - 0.01) * width)
                names.append(text)
    appearance.alike(names)
    axes.plot([0, 1], [1 - 0.32 / high] * 2, color=palette.QUIET, linewidth=0.8, transform=axes.transAxes)
    axes.set_xlim(0, 1)
    axes.set_ylim(0, 1)
    return y - high - 0.06
