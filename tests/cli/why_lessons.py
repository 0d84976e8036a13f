#!/usr/bin/env python3
"""The tables of depths in docs/tutorial.md are what the lessons compute.

A table follows a line "<!-- depths: LESSON -->"; its rows hold settings in backquotes (or "as it stands") and the depth
of coagulation of the continuous and of the interrupted mode in mm. --write puts the computed ones in.
"""
import json
import os
import re
import subprocess
import sys
from pathlib import Path

TREE = Path(os.environ["DRYFRONT_SOURCE_DIR"])
DOCUMENT = TREE / "docs" / "tutorial.md"
ALLOWED = 0.02  # mm, or a hundredth of the depth: other compilers and processors differ by less
ROW = re.compile(r"^\| ((?:`[^`]+` ?)+|as it stands) \| ([\d.]+|none) \| ([\d.]+|none) \|$")


def depths(lesson, settings):
    command = [
        os.environ["DRYFRONT_BINARY"], "run", TREE / "cases" / "lessons" / f"{lesson}.toml", "--out", "-", "--json",
        "--quiet", "--set", "output.frames=1"
    ]
    for setting in settings:
        command += ["--set", setting]
    result = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    if result.returncode != 0:
        sys.exit(f"{lesson} with {settings}: exit code {result.returncode}: {result.stderr}")
    return [mode["depth_mm"]["coagulation"] for mode in json.loads(result.stdout)["modes"]]


lesson, rows, faults, lines = None, 0, 0, []
lessons = set()
for line in DOCUMENT.read_text(encoding="utf-8").splitlines():
    if begin := re.match(r"<!-- depths: (\w+) -->", line):
        lesson = begin[1]
        lessons.add(lesson)
    if row := ROW.match(line):
        computed = depths(lesson, re.findall(r"`([^`]+)`", row[1]))
        for written, depth in zip(row.groups()[1:], computed):
            written = 0.0 if written == "none" else float(written)
            if abs(written - depth) > max(ALLOWED, 0.01 * depth):
                faults += 1
                print(f"{lesson}, {row[1]}: {written} mm stands there, {depth:.3f} mm is computed")
        shown = " | ".join(f"{depth:.2f}" if depth > 0 else "none" for depth in computed)
        line = f"| {row[1]} | {shown} |"
        rows += 1
    lines.append(line)
wanted = {path.stem for path in (TREE / "cases" / "lessons").glob("*.toml")}
if lessons != wanted:
    faults += 1
    print(f"lessons with a table: {sorted(lessons)}, lessons: {sorted(wanted)}")
if sys.argv[1:] == ["--write"]:
    DOCUMENT.write_text("\n".join(lines) + "\n", encoding="utf-8")
print(f"{rows} rows, {faults} faults")
sys.exit(1 if faults or rows == 0 else 0)
