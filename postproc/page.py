"""Writes one self-contained html page of a run file. It opens from disk, asks for nothing from a network.

    python3 page.py FILE.h5 --out FILE.html [--left MODE] [--right MODE] [--quiet]

Exit codes: 0 done, 1 usage, 3 a fault of this program, 4 a file that cannot be read or written, or a Python package
that is missing.
The plots are drawn by plotly.js (MIT licence, vendor/plotly-LICENSE.txt).
"""

import argparse
import html
import json
import os
import sys
import traceback
from pathlib import Path

ROOM = Path(__file__).resolve().parent
LIBRARY = ROOM / "vendor" / "plotly-cartesian.min.js"
NOTICE = ROOM / "vendor" / "plotly-LICENSE.txt"
SCRIPTS = ("unpacking.js", "look.js", "labels.js", "section_notes.js", "section.js", "frame.js", "entered_number.js",
           "predict.js", "measured_csv.js", "outline.js", "measured_row.js", "measured.js", "histories.js",
           "power_load.js", "tables.js", "why.js", "player.js", "sound.js", "spoken.js", "readout.js", "choices.js",
           "layout.js", "stage.js", "controls.js")
STYLES = ("page.css", "panels.css", "layouts.css")
LARGEST_BYTES = 7_900_000


def parse(words):
    parser = argparse.ArgumentParser(prog="dryfront page", description="Writes one html page of a run file.")
    parser.add_argument("file")
    parser.add_argument("--out", required=True)
    parser.add_argument("--left", default="", help="mode of the left half at first; default: the lowest crest factor")
    parser.add_argument("--right",
                        default="",
                        help="mode of the right half at first; default: the highest crest factor")
    parser.add_argument("--quiet", action="store_true")
    try:
        return parser.parse_args(words)
    except SystemExit as stop:
        raise SystemExit(1 if stop.code else 0) from None


def page_text(run, left, right):
    """The whole page. Frames are thinned out evenly until it is small enough to send by mail."""
    import page_data

    for every in (1, 2, 3, 4, 6, 8):
        text = assembled(run, page_data.page_data(run, left, right, every))
        if len(text.encode("utf-8")) <= LARGEST_BYTES:
            break
    return text


def assembled(run, data):
    # "<" is written as an escape so that no text of the case can end the script element.
    payload = json.dumps(data, separators=(",", ":"), allow_nan=False).replace("<", "\\u003c")
    folder = ROOM / "page"
    script, style = ("\n".join((folder / name).read_text(encoding="utf-8") for name in names)
                     for names in (SCRIPTS, STYLES))
    parts = {
        "@TITLE@": html.escape(run.title or run.path.stem),
        "@STYLE@": style,
        "@NOTICE@": NOTICE.read_text(encoding="utf-8").strip(),
        "@LIBRARY@": LIBRARY.read_text(encoding="utf-8"),
        "@SCRIPT@": f'(() => {{\n"use strict";\n{script}\n}})();',
        "@DATA@": payload,
    }
    text = (folder / "page.html").read_text(encoding="utf-8")
    pieces = []
    # Placeholders are cut out one after the other: what is put in is never searched again.
    while True:
        places = [(text.find(mark), mark) for mark in parts if mark in text]
        if not places:
            return "".join([*pieces, text])
        at, mark = min(places)
        pieces += [text[:at], parts[mark]]
        text = text[at + len(mark):]


def write(path, text):
    part = path.with_name(path.name + ".part")
    try:
        part.write_text(text, encoding="utf-8")
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)


def main(words):
    arguments = parse(words)
    try:
        import run_file
    except ImportError as error:
        print(f"dryfront page: the Python package '{error.name}' is missing for {sys.executable}. Install it "
              "(Debian: apt-get install python3-numpy python3-h5py), or name another interpreter in DRYFRONT_PYTHON.",
              file=sys.stderr)
        return 4
    try:
        run = run_file.open_run_file(arguments.file)
        with run_file.drawing(arguments.file):
            text = page_text(run, *run.pair(arguments.left, arguments.right))
        write(Path(arguments.out), text)
    except run_file.RunFileError as error:
        print(f"dryfront page: {error}", file=sys.stderr)
        return error.exit_code
    except OSError as error:
        print(
            f"dryfront page: {error.filename or arguments.out}: {error.strerror or error}. "
            "Give a place that can be written with --out.",
            file=sys.stderr)
        return 4
    if not arguments.quiet:
        print(arguments.out)
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
    except Exception:  # not 1, which the interpreter would give: that is for usage
        traceback.print_exc()
        sys.exit(3)
