"""Titles and descriptions of the figures for who cannot see them: what is drawn and what it comes out at."""

import describe
import palette
import power_load
import scene


def descriptions(run, left, right):
    """(title, description) of every figure of a run."""
    title = run.title or run.path.stem
    pair = f"\u201c{left.label}\u201d on the left, \u201c{right.label}\u201d on the right"
    result = describe.compare_words(run, left, right, scene.main_effect(run))
    moment = describe.line_moment(left, right)
    every = ", ".join(mode.label for mode in run.modes)
    fields = ", ".join(field.name for field in scene.fields_of(run, [left, right]))
    depths = depths_words(run, left, right)
    cut = f"The same section, {pair}, in the colours of a cut specimen. {palette.CUT_MARK} {moment} {depths}"
    texts = {
        "comparison": ("section", f"Cross-section under the electrode, {pair}. {result} {moment} {depths} Below: "
                       "resistance, power and depth of every mode over time."),
        "comparison_cutaway": ("as a cut specimen", cut),
        "fields": ("fields", f"The section four times, {pair}: {fields}. {depths}"),
        "depth": ("depths over time",
                  f"Greatest depth of every effect over time and over the energy delivered, for {every}."),
        "electric": ("what the source sees",
                     f"Resistance, power, peak voltage and share of the current through arcs over time, for {every}."),
        "power_load": ("power against load",
                       f"What each source delivers into a load, {pair}, and where the run went on it. " + " ".join(
                           text for _, text in power_load.sentences(run, left, right, scene.main_effect(run)))),
        "waveforms": ("waveforms", "Voltage over two bursts with its rms and peak value: " + "; ".join(
            f"{mode.label}, crest factor {mode.shown['crest_factor']}" for mode in run.modes) + "."),
        "handout": ("handout", "Question, settings, section, power against load, numbers and cautions; the reasons on "
                    f"a page of their own. {result}"),
        "bench_kit": ("bench kit", "Protocol, record sheet, number of specimens and cautions, to repeat the "
                      "comparison on real specimens."),
        "why": ("why", "The share of everything in which two modes differ in the difference of their depths."),
    }
    return {name: (f"{title}: {kind}", text) for name, (kind, text) in texts.items()}


def depths_words(run, left, right):
    """The depths of both halves in one sentence."""
    halves = []
    for mode in (left, right):
        reached = ", ".join(describe.reached_words(name, mode.effects[name]) for name in run.effects
                            if name in mode.effects)
        halves.append(f"{mode.label}: {reached}")
    return f"Greatest depths: {'; '.join(halves)}."
