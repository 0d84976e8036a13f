"""Draws the figures of a run file, or the contact sheet of several.

    python3 figures.py FILE.h5 [FILE.h5 ...] --out DIR [--format svg|png|pdf] [--left MODE] [--right MODE]
                       [--kit [--seed N] [--specimens N]]

Exit codes: 0 done, 1 usage, 3 a fault of this program, 4 a file that cannot be read or written, or a Python package
that is missing.
"""

import argparse
import html
import os
import sys
import traceback
from pathlib import Path

FORMATS = ("svg", "png", "pdf")


def parse(words):
    parser = argparse.ArgumentParser(prog="dryfront figures", description="Draws the figures of a run file.")
    parser.add_argument("files", nargs="+")
    parser.add_argument("--out", required=True, help="folder, made when missing")
    parser.add_argument("--format", choices=FORMATS, default="svg")
    parser.add_argument("--left", default="", help="mode of the left half; default: the lowest crest factor")
    parser.add_argument("--right", default="", help="mode of the right half; default: the highest crest factor")
    parser.add_argument("--kit", action="store_true", help="the bench kit too")
    parser.add_argument("--seed", type=int, default=1, help="of the order on the kit's record sheet")
    parser.add_argument("--specimens", type=int, default=6, help="per mode on the kit's record sheet")
    parser.add_argument("--quiet", action="store_true")
    try:
        return parser.parse_args(words)
    except SystemExit as stop:
        raise SystemExit(1 if stop.code else 0) from None


def save(plt, figure, path, title, description):
    """Writes beside the final name first, so that a half figure never stands under it; with title and description."""
    import appearance

    metadata = {"svg": {"Date": None, "Title": title}, "pdf": {"CreationDate": None, "Title": title,
                                                                "Subject": description},
                "png": {"Title": title, "Description": description}}[path.suffix[1:]]
    part = path.with_name(path.name + ".part")
    try:
        figure.savefig(part, format=path.suffix[1:], dpi=appearance.DOTS_PER_INCH, metadata=metadata)
        if path.suffix == ".svg":
            part.write_text(described(part.read_text(encoding="utf-8"), description), encoding="utf-8")
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)
        plt.close(figure)


def save_pages(plt, pages, path, title, description):
    """The same for a document of several pages."""
    from matplotlib.backends.backend_pdf import PdfPages

    part = path.with_name(path.name + ".part")
    try:
        with PdfPages(part, metadata={"CreationDate": None, "Title": title, "Subject": description}) as document:
            for figure in pages:
                document.savefig(figure)
                plt.close(figure)
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)


def described(svg, description):
    """The svg with a description after its title, both announced as the picture's."""
    head, mark, rest = svg.partition("</title>")
    named = head.replace("<title>", '<title id="title">', 1).replace(
        "<svg ", '<svg role="img" aria-labelledby="title description" ', 1)
    return f'{named}{mark}\n <desc id="description">{html.escape(description, quote=False)}</desc>{rest}'


def draw_run(plt, arguments, out):
    import alternative
    import bench_kit
    import comparison
    import cutaway
    import handout
    import mechanisms
    import power_load_figure
    import run_file
    import traces
    import waveforms

    run = run_file.open_run_file(arguments.files[0])
    left, right = run.pair(arguments.left, arguments.right)
    made = []
    chart = [("why", lambda: mechanisms.why_figure(plt, run))] if run.why["computed"] else []
    said = alternative.descriptions(run, left, right)
    for name, draw in (("comparison", lambda: comparison.comparison_figure(plt, run, left, right)),
                       ("power_load", lambda: power_load_figure.power_load_figure(plt, run, left, right)),
                       ("comparison_cutaway", lambda: cutaway.cutaway_figure(plt, run, left, right)),
                       ("fields", lambda: comparison.fields_figure(plt, run, left, right)),
                       ("depth", lambda: traces.depth_figure(plt, run)),
                       ("electric", lambda: traces.electric_figure(plt, run)),
                       ("waveforms", lambda: waveforms.waveform_figure(plt, run)), *chart):
        path = out / f"{name}.{arguments.format}"
        save(plt, draw(), path, *said[name])
        made.append(path)
    for paper in handout.PAPERS:
        path = out / f"handout_{paper}.pdf"
        save_pages(plt, handout.pages(plt, run, left, right, paper), path, *said["handout"])
        made.append(path)
    for paper in handout.PAPERS if arguments.kit else ():
        path = out / f"bench_kit_{paper}.pdf"
        save_pages(plt, bench_kit.pages(plt, run, left, right, paper, arguments.specimens, arguments.seed), path,
                   *said["bench_kit"])
        made.append(path)
    return made


def draw_sheet(plt, arguments, out):
    import contact_sheet
    from progress import Progress

    pages = [arguments.files[k:k + contact_sheet.ROWS_PER_PAGE]
             for k in range(0, len(arguments.files), contact_sheet.ROWS_PER_PAGE)]
    made, failures = [], []
    progress = Progress("contact sheet", len(arguments.files), arguments.quiet)
    for number, paths in enumerate(pages, 1):
        figure, missing = contact_sheet.sheet_page(plt, paths, arguments.left, arguments.right, number, len(pages),
                                                   progress.step)
        path = out / f"contact_sheet_{number:03d}.{arguments.format}"
        save(plt, figure, path, f"Contact sheet, page {number} of {len(pages)}",
             "A row for each run file: the section of two modes beside its numbers.")
        made.append(path)
        failures += missing
    progress.done()
    return made, failures


def main(words):
    arguments = parse(words)
    try:
        import appearance
        appearance.use()
        import matplotlib.pyplot as plt
        import run_file
    except ImportError as error:
        print(f"dryfront figures: the Python package '{error.name}' is missing for {sys.executable}. Install it "
              "(Debian: apt-get install python3-numpy python3-h5py python3-matplotlib), or name another interpreter in "
              "DRYFRONT_PYTHON.", file=sys.stderr)
        return 4
    try:
        out = Path(arguments.out)
        out.mkdir(parents=True, exist_ok=True)
        failures = []
        if len(arguments.files) == 1:
            with run_file.drawing(arguments.files[0]):
                made = draw_run(plt, arguments, out)
        else:
            made, failures = draw_sheet(plt, arguments, out)
    except run_file.RunFileError as error:
        print(f"dryfront figures: {error}", file=sys.stderr)
        return error.exit_code
    except OSError as error:
        print(
            f"dryfront figures: {error.filename or arguments.out}: {error.strerror or error}. "
            "Give a folder that can be written with --out.",
            file=sys.stderr)
        return 4
    if not arguments.quiet:
        for path in made:
            print(path)
    for failure in failures:
        print(f"dryfront figures: {failure}", file=sys.stderr)
    return max((failure.exit_code for failure in failures), default=0)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
    except Exception:  # not 1, which the interpreter would give: that is for usage
        traceback.print_exc()
        sys.exit(3)
