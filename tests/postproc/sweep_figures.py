#!/usr/bin/env python3
"""The figures of a sweep hold what the analysis says: axes, line of equal depth, bars, caution; clear messages else."""
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

PROGRAM = Path(os.environ["DRYFRONT_SOURCE_DIR"]) / "postproc" / "sweep_figures.py"
wrong = 0


def check(holds, what):
    global wrong
    if not holds:
        wrong += 1
        print(f"WRONG: {what}")


def call(*arguments):
    return subprocess.run([sys.executable, PROGRAM, *map(str, arguments)], capture_output=True, text=True, check=False)


def estimate(value):
    return {"value": value, "low": value - 0.05, "high": value + 0.05}


RATIO = "depth_ratio.steady_over_bursts.coagulation"
LABELS = {"steady": "steady", "bursts": "short bursts"}
ANALYSIS = {
    "title": "made up",
    "labels": LABELS,
    "analysis": [{
        "design": "map",
        "output": RATIO,
        "units": "1",
        "x": {
            "axis": "setting",
            "key": "mode.*.source.setting_W",
            "values": [10, 20, 40]
        },
        "y": {
            "axis": "contact",
            "key": "electrode.contact_fraction",
            "values": [0.1, 0.5]
        },
        "maps": [{
            "values": [[0.8, 1.2], [0.9, "inf"], [None, 2.0]],
            "level": 1,
            "level_line": [[10, 0.3, 20, 0.2]],
            "at": {}
        }]
    }, {
        "design": "map",
        "output": "steady.depth_mm.desiccation",
        "units": "mm",
        "x": {
            "axis": "setting",
            "key": "k",
            "values": [10, 20]
        },
        "y": {
            "axis": "contact",
            "key": "l",
            "values": [1, 2]
        },
        "maps": [{
            "values": [[1, 2], [3, 4]],
            "at": {
                "activation": "5"
            }
        }, {
            "values": [[1, 2], [3, None]],
            "at": {
                "activation": "6"
            }
        }]
    }, {
        "design": "spread",
        "output": RATIO,
        "units": "1",
        "share_above_1": 0.7,
        "without_value": 0,
        "quantiles": [{
            "share": s,
            "value": 0.8 + s
        } for s in (0.05, 0.25, 0.5, 0.75, 0.95)],
        "indices": [{
            "axis": "setting",
            "first": estimate(0.4),
            "total": estimate(0.6)
        }, {
            "axis": "spark_feet",
            "first": estimate(0.1),
            "total": estimate(0.2)
        }]
    }, {
        "design": "single",
        "output": RATIO,
        "units": "1",
        "base": 1.3,
        "tornado": [{
            "axis": "setting",
            "least": 0.9,
            "at": 40,
            "greatest": 1.6,
            "at_greatest": 10
        }, {
            "axis": "leak",
            "least": 1.3,
            "at": 0.001,
            "greatest": 1.3,
            "at_greatest": 0.001
        }]
    }]
}

with tempfile.TemporaryDirectory() as name:
    folder = Path(name)
    (folder / "analysis.json").write_text(json.dumps(ANALYSIS), encoding="utf-8")
    done = call(folder, "--format", "svg,png")
    check(done.returncode == 0, f"drawing: {done.stderr}")
    made = sorted(path.name for path in (folder / "figures").glob("*.svg"))
    check(
        made == [
            "indices-spread-depth_ratio-steady_over_bursts-coagulation.svg",
            "map-map-depth_ratio-steady_over_bursts-coagulation.svg", "map-map-steady-depth_mm-desiccation-5.svg",
            "map-map-steady-depth_mm-desiccation-6.svg", "quantiles-spread.svg",
            "tornado-single-depth_ratio-steady_over_bursts-coagulation.svg"
        ], f"the figures: {made}")
    check(len(list((folder / "figures").glob("*.png"))) == len(made), "as many of the second format")
    again = call(folder, "--out", folder / "again")
    check(again.returncode == 0, "drawing again")
    check(all((folder / "figures" / one).read_bytes() == (folder / "again" / one).read_bytes() for one in made),
          "the same analysis gives the same bytes")

    # What the figures hold, from the drawing functions themselves.
    sys.path.insert(0, str(PROGRAM.parent))
    import sweep_figures

    parts = [part | {"labels": LABELS} for part in ANALYSIS["analysis"]]
    part = parts[0]
    figure = sweep_figures.draw_map(part, part["maps"][0])
    axes = figure.axes[0]
    line = [one for one in axes.lines if list(one.get_xdata()) == [10, 20]]
    check(
        len(line) == 1 and list(line[0].get_ydata()) == [0.3, 0.2], "the line of equal depth is where the file has it")
    check(axes.get_xscale() == "log" and axes.get_yscale() == "linear",
          "an axis in equal ratios is drawn in the logarithm")
    labels = [text.get_text() for text in axes.get_legend().get_texts()]
    check(labels == ["alike", "steady deeper", "short bursts deeper", "steady only", "neither, or no result"],
          f"the legend: {labels}")
    check((axes.get_xlabel(), axes.get_ylabel()) == ("setting [W]", "contact"), "the axes: words and a unit, no key")
    check(figure.axes[1].get_ylabel() == "ratio of the depths", "what the colours mean")
    check(axes.get_title() == "depth of coagulation: steady over short bursts", "of what the ratio is")
    figure = sweep_figures.draw_tornado(parts[3])
    bars = sorted((bar.get_x(), round(bar.get_width(), 9)) for bar in figure.axes[0].patches)
    check(bars == [(0.9, 0.7), (1.3, 0)], f"the bars of the tornado: {bars}")
    figure = sweep_figures.draw_indices(parts[2])
    names = [label.get_text() for label in figure.axes[0].get_yticklabels()]
    check(names == ["spark feet", "setting"], f"the greatest index stands on top: {names}")

    missing = call(folder / "nowhere")
    check(missing.returncode == 4 and "dryfront merge" in missing.stderr, f"a missing file: {missing.stderr}")
    (folder / "analysis.json").write_text("{", encoding="utf-8")
    damaged = call(folder)
    check(damaged.returncode == 4 and "damaged" in damaged.stderr, f"a damaged file: {damaged.stderr}")
    check(call(folder, "--format", "gif").returncode == 1, "an unknown format is a usage error")
    check(call().returncode == 1, "no folder is a usage error")

print(f"{wrong} wrong")
sys.exit(1 if wrong else 0)
