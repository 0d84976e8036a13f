"""Draws what `dryfront pad` or `dryfront circuit` found.

    python3 bench_figure.py pad|circuit ANSWER.json --out FILE.svg|png|pdf

Exit codes: 0 done, 1 usage, 3 a fault of this program, 4 a file that cannot be read or written, or a Python package
that is missing.
"""

import argparse
import json
import os
import sys
import textwrap
import traceback
from pathlib import Path

WORDS = {"along": "along the gap, both halves from one end", "across": "across it, one half from its outer edge",
         "corner": "from an outer corner of one half", "touching": "not at all: the halves touch",
         "one_off": "one half", "open": "held open"}
HARMFUL_A = 0.15  # leakage limit of IEC 60601-2-2, from memory [A]


def parse(words):
    parser = argparse.ArgumentParser(prog="bench_figure.py")
    parser.add_argument("kind", choices=("pad", "circuit"))
    parser.add_argument("file")
    parser.add_argument("--out", required=True)
    try:
        return parser.parse_args(words)
    except SystemExit as stop:
        raise SystemExit(1 if stop.code else 0) from None


def base(plt, answer, columns, widths):
    """A slide with the title, room for axes, and the cautions at its foot."""
    import appearance
    import palette

    figure, axes = plt.subplots(1, columns, figsize=appearance.SLIDE_INCHES, width_ratios=widths)
    figure.subplots_adjust(left=0.07, right=0.97, top=0.8, bottom=0.22, wspace=0.24)
    figure.text(0.07, 0.95, answer["title"], fontsize=20, weight="bold", va="top")
    figure.text(0.5, 0.02, "\n".join(textwrap.wrap(answer["caution"], 165)), fontsize=10, color=palette.QUIET,
                ha="center", va="bottom", linespacing=1.25)
    return figure, axes


def pad_figure(plt, answer):
    """|Z| over the share that is off, in both directions, with the band; the pad seen from above with its current."""
    import appearance
    import palette

    figure, (curves, above) = base(plt, answer, 2, (1.35, 1))
    for position, curve in enumerate(answer["curves"]):
        points = [(100 * s, r) for s, r in zip(curve["peeled"], curve["reading_ohm"]) if r is not None]
        style = appearance.mode_line(3 * position)
        curves.plot(*zip(*points), marker="o", label=WORDS[curve["peel"]], **style) if points else None
        if curve["alarm_at"] is not None:
            curves.axvline(100 * curve["alarm_at"], color=style["color"], linewidth=1.2, linestyle=style["linestyle"])
    low, high = answer["band_ohm"]
    curves.axhspan(low, high, color="#e8efe9", zorder=0)
    curves.text(1, high, " upper end of the monitor's band", va="bottom", fontsize=11, color=palette.QUIET)
    curves.text(1, low, " lower end", va="bottom", fontsize=11, color=palette.QUIET)
    curves.set_xlabel("share of the pad that is off [%]")
    curves.set_ylabel("reading of the monitor [ohm]")
    curves.set_ylim(0, 1.25 * high)
    curves.set_xlim(left=0)
    curves.legend(loc="upper left", bbox_to_anchor=(0, 1.14), ncol=2, fontsize=11,
                  title="how it comes off; thin line: alarm", title_fontsize=11)

    pieces = answer["pieces"]
    greatest = max(p["A_m2"] for p in pieces)
    for p in pieces:
        shade = min(1.0, p["A_m2"] / (0.35 * greatest))
        above.add_patch(plt.Rectangle((1e3 * p["x0"], 1e3 * p["y0"]), 1e3 * (p["x1"] - p["x0"]),
                                      1e3 * (p["y1"] - p["y0"]), linewidth=0,
                                      facecolor=appearance.MAPS["temperature"](shade)))
    above.autoscale_view()
    above.set_aspect("equal")
    above.grid(False)
    above.set_xlabel("across the gap [mm]")
    above.set_ylabel("along the gap [mm]")
    above.set_title(f"seen from above, {100 * answer['seen_at']:.0f} % off {WORDS[answer['peel']].split(',')[0]}:\n"
                    "the darker, the more current per area", fontsize=12, loc="left")
    return figure


def circuit_figure(plt, answer):
    """Stray current and its share over turns of the lead, every mode touching and held open."""
    import appearance
    import palette

    figure, (stray, share) = base(plt, answer, 2, (1, 1))
    labels = {mode["name"]: mode["label"] for mode in answer["modes"]}
    names = list(labels)
    for curve in answer["over_turns"]:
        open_tip = curve["tip"] == "open"
        colour = appearance.mode_line(3 * names.index(curve["name"]))["color"]
        style = {"color": colour, "linestyle": (0, (5, 2)) if open_tip else "solid"}
        label = f"{labels[curve['name']]}, {'held open' if open_tip else 'touching'}"
        stray.plot(curve["turns"], [1e3 * x for x in curve["stray_A"]], label=label, **style)
        share.plot(curve["turns"], [100 * x for x in curve["stray_share"]], label=label, **style)
    if stray.get_ylim()[1] > 0.6e3 * HARMFUL_A:
        stray.axhline(1e3 * HARMFUL_A, color=palette.QUIET, linewidth=1)
    stray.set_ylabel("stray current, rms [mA]")
    share.set_ylabel("share of the return's current that strays [%]")
    for axes in (stray, share):
        axes.set_xlabel("turns of the lead about the conductor")
        axes.set_xlim(left=0)
        axes.set_ylim(bottom=0)
    stray.legend(loc="upper left", fontsize=11)
    return figure


def main(words):
    arguments = parse(words)
    out = Path(arguments.out)
    try:
        import appearance
        appearance.use()
        import matplotlib.pyplot as plt
    except ImportError as error:
        print(f"dryfront {arguments.kind}: the Python package '{error.name}' is missing for {sys.executable}. Install "
              "it (Debian: apt-get install python3-numpy python3-matplotlib), or name another interpreter in "
              "DRYFRONT_PYTHON.", file=sys.stderr)
        return 4
    part = out.with_name(out.name + ".part")
    try:
        answer = json.loads(Path(arguments.file).read_text(encoding="utf-8"))
        figure = {"pad": pad_figure, "circuit": circuit_figure}[arguments.kind](plt, answer)
        figure.savefig(part, format=out.suffix[1:], dpi=appearance.DOTS_PER_INCH)
        os.replace(part, out)
    except OSError as error:
        print(f"dryfront {arguments.kind}: {error.filename or out}: {error.strerror or error}. Give a place that can "
              "be written with --figure.", file=sys.stderr)
        return 4
    finally:
        part.unlink(missing_ok=True)
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
    except Exception:  # not 1, which the interpreter would give: that is for usage
        traceback.print_exc()
        sys.exit(3)
