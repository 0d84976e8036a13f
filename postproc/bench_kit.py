"""The bench kit: the pages to print for repeating a run's comparison on real specimens. A4 or letter, upright.

Protocol, record sheet with the run's own modes in a drawn order, how many specimens show the computed difference,
cautions for the bench. What a sentence rests on is said behind it: most of it is common practice without a source.
"""

import random
import textwrap

import numpy as np

import comparison
import describe
import handout
import palette
import scene
import waveform_kind
import words

ROUNDS = 6  # specimens per mode on the record sheet
SEED = 1
ROWS_PER_SHEET = 30
FOOT = 0.55  # of every page [inches]
TYPE_SIZES = (10, 9.4, 8.8, 8.2, 7.6, 7)
PAIRS_PER_PAGE = 10
PRACTICE = "(common practice, no source)"

CAUTIONS = [
    ("Who", "Only people who are trained on the equipment at hand work with it, by its own instructions and by local "
            "rules. Nobody with an implanted device, such as a pacemaker, takes part."),
    ("Burns", "The electrode, the specimen and every bare contact burn by the current and by their heat, also "
              "after the current has stopped. One person activates and says so before; nobody else touches "
              "anything then."),
    ("Leads", "Look over the insulation of every lead. Keep the leads apart, straight and off metal, off wet "
              "cloth and off people. Connect the return electrode first and see that all of it touches."),
    ("Smoke", "Take the smoke away where it rises, under a hood or with an evacuator, and do not breathe it."),
    ("Fire", "Dried tissue sparks, glows and can burn. No alcohol, no solvent, no oxygen near it, nothing "
             "flammable under it; a wet cloth and an extinguisher within reach."),
    ("Measuring", "An oscilloscope's probe connects its ground to earth. Use differential probes and current "
                  "transformers that are rated for the voltage and the frequency below."),
    ("Hygiene", "Specimens are raw meat: gloves, a washable table, nothing to eat or drink there; dispose of "
                "them and clean up by local rules."),
]


def rounds(run, number, seed):
    """The order of the activations: every round has each mode once, in an order drawn from the seed."""
    draw = random.Random(seed)
    order = []
    for _ in range(number):
        modes = list(range(len(run.modes)))
        draw.shuffle(modes)
        order += modes
    return order


def pages(plt, run, left, right, paper, number=ROUNDS, seed=SEED):
    """The figures of the kit, in their order."""
    yield fitted(plt, lambda size: protocol_page(plt, run, paper, seed, size))
    order = rounds(run, number, seed)
    sheets = [order[k:k + ROWS_PER_SHEET] for k in range(0, len(order), ROWS_PER_SHEET)]
    for k, sheet in enumerate(sheets):
        yield record_page(plt, run, paper, sheet, k, len(sheets), seed)
    yield fitted(plt, lambda size: specimens_page(plt, run, left, right, paper, size))
    yield fitted(plt, lambda size: cautions_page(plt, run, paper, size))


def fitted(plt, draw):
    """The page with the largest type that leaves its foot free; `draw` gives the figure and where its text ends."""
    for size in TYPE_SIZES:
        figure, end = draw(size)
        if end > FOOT or size == TYPE_SIZES[-1]:
            return figure
        plt.close(figure)
    raise AssertionError("no type size")


def page(plt, run, paper, title):
    """An empty page with its title and its foot; returns it with where the text begins and the width of the text."""
    width, height = handout.PAPERS[paper]
    figure = plt.figure(figsize=(width, height))
    inside = width - 2 * handout.MARGIN
    y = handout.paragraph(figure, title, height - 0.36, inside, size=15.5, weight="bold")
    y = handout.paragraph(figure, run.title or run.path.stem, y - 0.04, inside, size=10.5, style="italic")
    comparison.note(figure, handout.MARGIN, 0.42, palette.CAUTION, fontsize=7, color=palette.QUIET)
    comparison.note(figure, handout.MARGIN, 0.27, f"dryfront {run.version}, source {run.source_revision[:12]}; "
                    f"run file {run.path.name}, {run.started}", fontsize=7, color=palette.QUIET)
    return figure, y - 0.06, inside


def steps(run, seed):
    """The protocol: (heading, sentences)."""
    s = run.specimen
    across = 2e3 * s["radius_m"]
    rests = sorted({mode.after for mode in run.modes})
    return [
        ("Specimen", [
            describe.specimen_words(run),
            f"Cut blocks at least {across:g} mm across and {1e3 * s['depth_m']:g} mm deep, all of one round "
            f"from the same piece, without large vessels, and note its source and age {PRACTICE}.",
            f"Bring it to {s['start_C']:g} \u00b0C and measure that with a thermometer in the middle and near "
            f"the surface before every activation; the computed depths are for that start {PRACTICE}.",
        ]),
        ("Face and force", [
            f"Clean the face before every activation until bare metal shows, and set it down square {PRACTICE}.",
            contact_sentence(run),
        ]),
        ("Return", [
            "A large wet return electrode under the whole specimen comes nearest to what was computed, where "
            f"the current spreads as {far_words(run)}.",
        ]),
        ("Settings", lettered_settings(run)),
        ("Order", [
            f"In the order of the record sheet: every round holds each mode once, drawn with seed {seed}, so "
            "that drying, warming and the piece itself favour no mode. A failed activation is repeated at the "
            "end of its round.",
            "Whoever measures the sections does not know the mode: write numbers on the specimens, not modes "
            f"{PRACTICE}.",
        ]),
        ("Activation", [
            "Time it with the source's own timer or a relay, not by hand: the depth goes with the time. Leave "
            f"the electrode in place afterwards for {' or '.join(f'{rest:g}' for rest in rests)} s, as computed, "
            "then lift it.",
        ]),
        ("Record", [
            "Rms voltage and rms current across the specimen from the beginning to the end, at ten samples of "
            "the rms a second at least; resistance is their ratio. Of one burst also the voltage itself, for "
            f"crest factor and repetition. Arcs are heard and seen: note from when {PRACTICE}.",
        ]),
        ("Section", [
            "Cut at once through the middle of the mark with one stroke of a sharp blade. Measure the whitened "
            "zone from the uncut surface downwards where it is deepest, and its half-width at the surface; "
            f"twice, and note both {PRACTICE}.",
        ]),
        ("Scale and photograph", [
            "A ruler in the plane of the cut, the camera square to it, diffuse light from two sides, one "
            f"photograph of both halves with the specimen's number in it {PRACTICE}. The page compares a "
            "measured section with a computed one.",
        ]),
        ("Shrinkage", [
            "Heated tissue shrinks and the mark sinks in. Depths are computed in tissue that does not change "
            "its shape: measure the dip below the uncut surface too and state depths with it and without it.",
        ]),
    ]


def contact_sentence(run):
    electrode = run.case.get("electrode", {})
    if run.electrode["contact"] != "spots":
        return ("Press with the same weight every time and write it down: the program knows no force, and "
                f"takes the face as {words.CONTACT[run.electrode['contact']]}.")
    share = 100 * electrode["contact_fraction"]
    return ("Press with the same weight every time and write it down: the program knows no force, and takes "
            f"{share:g} % of the face to touch. How force and touching go together has to be found on the bench.")


def far_words(run):
    specimen = run.case.get("specimen", {})
    said = {"half_space": "if the tissue went on for ever", "grounded": "to a metal wall", "insulated": "along a wall "
            "without current", "pad": "to a pad"}
    side, bottom = said[specimen["side_voltage"]], said[specimen["bottom_voltage"]]
    return side if side == bottom else f"{side} at the side and {bottom} at the bottom"


def setting_sentence(mode):
    return (f"\u201c{mode.label}\u201d: {waveform_kind.in_words(mode)}; {describe.source_words(mode)}; "
            f"{mode.activation:g} s with current.")


def lettered_settings(run):
    """The modes with the letters that stand for them on the record sheet."""
    return [f"{letter(position)}  {setting_sentence(mode)}" for position, mode in enumerate(run.modes)]


def protocol_page(plt, run, paper, seed, size):
    figure, y, inside = page(plt, run, paper, "Bench kit: protocol")
    for number, (name, sentences) in enumerate(steps(run, seed), 1):
        y = handout.heading(figure, f"{number}  {name}", y - 0.05)
        for sentence in sentences:
            y = handout.paragraph(figure, sentence, y, inside, size=size, bullet=len(sentences) > 1)
    return figure, y


def record_page(plt, run, paper, sheet, number, sheets, seed):
    """A sheet to write on: a row for each activation."""
    title = "Bench kit: record sheet" + (f" {number + 1} of {sheets}" if sheets > 1 else "")
    figure, y, inside = page(plt, run, paper, title)
    y = handout.paragraph(figure, f"Order drawn with seed {seed}; a thicker line ends a round.", y, inside, size=8.6)
    for blanks in ("Place and date: ______________________   Names: ______________________________",
                   "Specimens from, age: ______________________   Weight on the electrode: ____________"):
        y = handout.paragraph(figure, blanks, y - 0.08, inside + 1, size=8.6)
    y -= 0.06
    for sentence in lettered_settings(run):
        y = handout.paragraph(figure, sentence, y, inside, size=8)
    heads = ["no.", "mode", "start\n[\u00b0C]", "voltage\nstart | end\n[V rms]", "current\nstart | end\n[A rms]",
             "arcs\nfrom\n[s]", "depth\n[mm]", "half-\nwidth\n[mm]", "dip\n[mm]", "photo-\ngraph", "notes"]
    shares = np.array([0.4, 0.5, 0.6, 1.0, 1.0, 0.55, 0.6, 0.6, 0.5, 0.65, 1.5])
    first = number * ROWS_PER_SHEET
    rows = [[str(first + k + 1), letter(mode)] + [""] * (len(heads) - 2) for k, mode in enumerate(sheet)]
    ruled_table(figure, heads, rows, shares, y - 0.08, inside, head=0.48, row=min(0.3, (y - 1.2) / len(rows)),
                thick=[k for k in range(len(rows) + 1) if (first + k) % len(run.modes) == 0])
    return figure


def letter(position):
    """A, B, ... Z, AA, ...: short enough for a column that is filled in by hand."""
    name = ""
    position += 1
    while position:
        position, rest = divmod(position - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


def ruled_table(figure, heads, rows, shares, y, width, head, row, size=8, thick=()):
    """A table with lines between all cells, thick ones above the rows `thick`; returns where it ends."""
    high = head + row * len(rows)
    axes = figure.add_axes(comparison.fractions(figure, (handout.MARGIN, y - high, width, high)))
    axes.set_axis_off()
    axes.set_xlim(0, 1)
    axes.set_ylim(0, high)
    edges = np.concatenate([[0], np.cumsum(shares) / np.sum(shares)])
    for x in edges:
        axes.plot([x, x], [0, high], color=palette.QUIET, linewidth=0.6, clip_on=False)
    for k in range(len(rows) + 1):
        axes.plot([0, 1], [high - head - k * row] * 2, color=palette.QUIET, linewidth=1.6 if k in thick else 0.6,
                  clip_on=False)
    axes.plot([0, 1], [high, high], color=palette.QUIET, linewidth=0.6, clip_on=False)
    for x0, x1, text in zip(edges, edges[1:], heads):
        axes.text((x0 + x1) / 2, high - head / 2, text, fontsize=size - 0.8, ha="center", va="center", linespacing=1.1)
    for k, cells in enumerate(rows):
        for x0, x1, text in zip(edges, edges[1:], cells):
            axes.text((x0 + x1) / 2, high - head - (k + 0.5) * row, text, fontsize=size, ha="center",
                      va="center_baseline", linespacing=1.05)
    return y - high


def needed(run, effect):
    """The pairs of modes of one effect, as the run file has them."""
    return [pair for pair in run.specimens["pairs"] if pair["effect"] == effect]


def shown_first(pairs, left, right):
    """The pair that the figures show before the others."""
    return sorted(pairs, key=lambda pair: {pair["first"], pair["second"]} != {left.name, right.name})


def specimens_page(plt, run, left, right, paper, size):
    """How many specimens show the computed differences."""
    figure, y, inside = page(plt, run, paper, "Bench kit: how many specimens")
    if not run.specimens["computed"]:
        y = handout.paragraph(figure, f"Not in this file: {run.specimens['reason']}. Repeat the run.", y, inside,
                              size=size)
        return figure, y
    effect = scene.main_effect(run)
    pairs = shown_first(needed(run, effect), left, right)
    for sentence in specimens_sentences(run, effect, pairs):
        y = handout.paragraph(figure, sentence, y - 0.03, inside, size=size)
    if not pairs:
        return figure, y
    percent = [f"{100 * power:.0f} %" for power in run.specimens["powers"]]
    heads = ["two modes", "depths"] + [f"spread\n{100 * spread:g} %\n{' | '.join(percent)}"
                                            for spread in run.specimens["spreads"]]
    rows = [specimens_row(run, pair) for pair in pairs[:PAIRS_PER_PAGE]]
    shares = [2.2, 0.8] + [1.0] * len(run.specimens["spreads"])
    lines = max(row[0].count("\n") + 1 for row in rows)
    y = ruled_table(figure, heads, rows, shares, y - 0.1, inside, head=0.5, row=0.12 + 0.135 * lines)
    y -= 0.06
    notes = alike_sentences([pair for pair in pairs[:PAIRS_PER_PAGE] if not pair["differ"]])
    if len(pairs) > PAIRS_PER_PAGE:
        notes.append(f"{len(pairs) - PAIRS_PER_PAGE} further pairs of modes stand in the run file.")
    for sentence in notes + how_to_use(run):
        y = handout.paragraph(figure, sentence, y - 0.04, inside, size=size)
    return figure, y


def specimens_sentences(run, effect, pairs):
    if not pairs:
        return ["The run has one mode only, so there is no difference to show."]
    return [
        f"The table says how many specimens each of two modes needs, so that a two-sided t-test at a level of "
        f"{100 * run.specimens['alpha']:g} % finds the computed difference in the depth of "
        f"{words.plain_words(effect)} with "
        f"a chance of {' or '.join(f'{100 * power:.0f} %' for power in run.specimens['powers'])}. The spread is "
        "the standard deviation of the depth from specimen to specimen over its mean, taken to be the same for "
        "both modes.",
    ]


def specimens_row(run, pair):
    labels = [textwrap.fill(run.mode(pair[key]).label, 30) for key in ("first", "second")]
    depths = f"{pair['first_shown']}\n{pair['second_shown']}"
    if not pair["differ"]:
        return ["\n".join(labels), depths] + ["none\nshows it"] * len(run.specimens["spreads"])
    most = run.specimens["most"]
    return ["\n".join(labels), depths] + [" | ".join(f">{most}" if n is None else str(n) for n in row)
                                          for row in pair["per_mode"]]


def alike_sentences(pairs):
    """What the words in place of numbers mean."""
    if not pairs:
        return []
    cells = max(pair["resolution_mm"] for pair in pairs)
    return [f"None shows it: the two depths are closer together than the {cells:.2f} mm cells of the grid "
            "there, so that no difference was computed, and no number of specimens shows one."]


def how_to_use(run):
    return [
        "Find your own spread first: five specimens of one mode give it roughly. Where it lies between two "
        "columns, take the greater one; where both depths are small, the reading of the ruler alone may be a "
        "large part of it.",
        "The numbers hold for depths that are spread normally, and for the difference as it was computed. If "
        "the true one is half of that, four times as many are needed. They say nothing of whether the model is "
        "right: that is what the comparison of measured with computed depths is for.",
        "Computed from the noncentral t distribution (Cohen 1988, Statistical Power Analysis for the Behavioral "
        "Sciences, chapter 2).",
    ]


def cautions_page(plt, run, paper, size):
    figure, y, inside = page(plt, run, paper, "Bench kit: cautions")
    peak = max(float(np.nanmax(mode.trace["peak_V"])) for mode in run.modes)
    carrier = sorted({mode.waveform["carrier_Hz"] / 1e3 for mode in run.modes})
    for name, text in CAUTIONS:
        y = handout.heading(figure, name, y - 0.06)
        y = handout.paragraph(figure, f"{text.rstrip('.')} {PRACTICE}.", y, inside, size=size)
        if name == "Measuring":
            y = handout.paragraph(
                figure, f"Greatest peak voltage of this run: {describe.as_shown(run, 'voltage', peak)}; carrier "
                f"{', '.join(f'{f:g}' for f in carrier)} kHz. A source without load may have more.",
                y, inside, size=size)
    y = handout.heading(figure, "What the results are", y - 0.06)
    for sentence in describe.CAUTIONS:
        y = handout.paragraph(figure, sentence, y, inside, size=size, bullet=True)
    return figure, y
