"""The contact sheet of a batch: one row for each run file, section pair beside its numbers, many pages in one pdf."""

import appearance
import comparison
import describe
import run_file
import palette
import scene
import section

ROWS_PER_PAGE = 6
PAGE_INCHES = (11.693, 16.535)


def sheet_page(plt, paths, left_name, right_name, number, total, report):
    """One page. A file that cannot be read keeps its row and says why; `report` is called after each row."""
    figure = plt.figure(figsize=PAGE_INCHES)
    row = (PAGE_INCHES[1] - 1.3) / ROWS_PER_PAGE
    comparison.note(figure,
                    0.6,
                    PAGE_INCHES[1] - 0.35,
                    f"Contact sheet, page {number} of {total}",
                    fontsize=14,
                    weight="bold",
                    va="top")
    failures, sentences = [], []
    for position, path in enumerate(paths):
        top = PAGE_INCHES[1] - 0.85 - position * row
        try:
            run = run_file.open_run_file(path)
            try:
                with run_file.drawing(path):
                    pair = run.pair(left_name, right_name)
                    draw_row(figure, run, *pair, top, row)
                    sentences += describe.range_sentences(pair)
            finally:
                run.close()
        except run_file.RunFileError as error:
            failures.append(error)
            comparison.note(figure, 0.6, top - 0.3, f"not shown: {error}", fontsize=9, va="top", wrap=True)
        report()
    caution = palette.CAUTION
    if sentences:
        caution += f" {describe.PAST_RANGE} past the temperatures that the model knows."
    comparison.note(figure, PAGE_INCHES[0] / 2, 0.2, caution, fontsize=8.5, color=palette.QUIET, ha="center",
                    va="bottom")
    return figure, failures


def draw_row(figure, run, left, right, top, row):
    view = scene.view_of(run, [left, right])
    wide = min(6.0, (row - 0.75) * 2 * view.reach / (view.bottom + view.top))
    high = comparison.section_height(view, wide)
    field = scene.temperature_field(run, [left, right])
    axes = figure.add_axes(comparison.fractions(figure, (0.95, top - 0.25 - high, wide, high)), label=str(run.path))
    section.draw_pair(axes, run, left, right, field, view, labels=False, fontsize=8, linewidth=1.3)
    axes.tick_params(labelsize=8)
    axes.set_xlabel("")
    axes.set_ylabel("[mm]", fontsize=8)
    title = comparison.note(figure, 0.95, top - 0.17, f"{run.path.name}: {run.title}", fontsize=11, weight="bold")
    appearance.shrink_to(title, PAGE_INCHES[0] - 1.4)
    x = 7.55
    for k, mode in enumerate((left, right)):
        y = top - 0.42 - k * (row - 0.75) / 2
        name = comparison.note(figure, x, y, describe.headline(mode), fontsize=10.5, weight="bold",
                               color=appearance.mode_line(run.modes.index(mode))["color"])
        appearance.shrink_to(name, PAGE_INCHES[0] - x - 0.4)
        lines = [describe.reached_words(name, mode.effects[name]) for name in run.effects if name in mode.effects]
        comparison.note(figure, x, y - 0.2, ";  ".join(lines), fontsize=9)
        s = mode.shown
        comparison.note(figure, x, y - 0.4, f"{s['delivered_J']}, of it {s['surface_J']} at the surface",
                        fontsize=9)
        comparison.note(figure, x, y - 0.6, f"arcing from: {s['arcing_s']};  dry-out: {s['dry_out_s']}",
                        fontsize=9)
