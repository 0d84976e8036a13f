#!/usr/bin/env python3
"""docs/experiments.md holds the tables that its numbers give, its counts add up, and the rule of its verdicts does what
it says, on rows made up here."""
import json
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

TREE = Path(os.environ["DRYFRONT_SOURCE_DIR"])
sys.dont_write_bytecode = True
sys.path.insert(0, str(TREE / "scripts"))

from _experiments import EXPERIMENTS  # noqa: E402
from _verdict import FACTOR, MISSED, ORDER, SPREAD, Row, verdict  # noqa: E402


def judged(rows, computed):
    return [verdict(row, rows, computed) for row in rows]


def check_rule():
    spread = [Row("a", "", "", value=10, spread=(9, 12))]
    for value, expected in ((9, SPREAD), (12, SPREAD), (12.1, FACTOR), (15, FACTOR), (15.1, MISSED), (6.7, FACTOR),
                            (6.6, MISSED), (-10, MISSED), (None, MISSED)):
        assert judged(spread, {"a": value}) == [expected], (value, expected)
    # Of temperatures the rise counts: 60 against 57 C above 22 C is 1.09, and 80 against 57 C is 1.66.
    warm = [Row("a", "", "", value=57, base=22)]
    assert judged(warm, {"a": 60}) == [FACTOR] and judged(warm, {"a": 80}) == [MISSED]
    # A series: what misses its number but stands in the published order; a tie is no order, "never" comes last.
    series = [Row("a", "", "", spread=(60, math.inf), never=True, series="s"), Row("b", "", "", value=38, series="s"),
              Row("c", "", "", value=20, series="s")]
    assert judged(series, {"a": None, "b": 10, "c": 5}) == [SPREAD, ORDER, ORDER]
    assert judged(series, {"a": None, "b": 5, "c": 5}) == [SPREAD, MISSED, MISSED]
    assert judged(series, {"a": 50, "b": None, "c": 25}) == [MISSED, MISSED, FACTOR]
    # Statements, and a set-up that is another one.
    said = [Row("a", "", "yes")]
    assert judged(said, {"a": True}) == [ORDER] and judged(said, {"a": False}) == [MISSED]
    other = [Row("a", "", "", value=10, spread=(9, 11), other_set_up=True)]
    assert judged(other, {"a": 10}) == [MISSED]


def check_document():
    text = (TREE / "docs/experiments.md").read_text(encoding="utf-8")
    tables = dict(re.findall(r"<!-- experiment: (\w+) -->\n(.*?)<!-- end -->", text, re.DOTALL))
    cells = {name: [line.strip("| ").split(" | ") for line in table.splitlines()[2:]] for name, table in tables.items()}
    verdicts = {state: [row[column] for name in EXPERIMENTS for row in cells[name]]
                for state, column in (("before", 3), ("after", 5))}
    kinds = tables["count"].splitlines()[0].strip("| ").split(" | ")
    for state, *counts in cells["count"]:
        for kind, count in zip(kinds, counts):
            expected = len(verdicts[state]) if kind == "rows" else verdicts[state].count(kind)
            assert int(count) == expected, (state, kind, count, expected)
    assert "not run" not in verdicts["before"]


def check_script():
    """--check agrees with the tree, and not with a number that was changed afterwards."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        shutil.copytree(TREE / "scripts", copy / "scripts")
        (copy / "docs").mkdir()
        for name in ("experiments.md", "experiments.json"):
            shutil.copy(TREE / "docs" / name, copy / "docs" / name)

        def call(option):
            return subprocess.run(["/usr/bin/python3", copy / "scripts/experiments", option], capture_output=True,
                                  text=True, check=False)

        done = call("--check")
        assert done.returncode == 0, done.stderr
        path = copy / "docs/experiments.json"
        numbers = json.loads(path.read_text(encoding="utf-8"))
        numbers["before"]["pad"]["rise"] += 7
        path.write_text(json.dumps(numbers), encoding="utf-8")
        done = call("--check")
        assert done.returncode == 1 and "--tables" in done.stderr, done
        assert call("--tables").returncode == 0 and call("--check").returncode == 0


check_rule()
check_document()
check_script()
