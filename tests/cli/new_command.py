#!/usr/bin/env python3
"""dryfront new: what it writes passes check, run and page as it stands, with no warning of its own; wrong calls."""
import os
import re
import subprocess
import tempfile
import tomllib
from pathlib import Path

from _run_program import Checks, Scratch

checks = Checks()
TREE = Path(os.environ["DRYFRONT_SOURCE_DIR"])
KINDS = sorted(path.stem for path in (TREE / "cases" / "start").glob("*.toml"))
# Coarse and short, since what is tried is that it goes through.
QUICK = ("--set", "mode.*.activation_s=1", "--set", "mode.*.after_s=0", "--set", "grid.fine_mm=0.25", "--set",
         "grid.growth=1.3", "--set", "output.frames=2")


def said(result):
    """What stands on standard error but the one remark on every case of that tissue."""
    return [line for line in result.stderr.splitlines() if "displacement current" not in line]


with Scratch() as s:
    # Three commands, no option: case, run, page.
    result = s.call("new")
    checks.that(result.returncode == 0 and result.stdout == "" and "dryfront run comparison.toml" in result.stderr,
                "new", result)
    for command in (("run", "comparison.toml"), ("page", "comparison.h5")):
        result = s.call(*command)
        checks.that(result.returncode == 0 and not [line for line in said(result) if "comparison.h5: " not in line],
                    " ".join(command), result)
    checks.that((s.path / "comparison.html").stat().st_size > 1e5, "the page is there")

    reference = s.call("keys").stdout
    for kind in KINDS:
        result = s.call("new", kind, "--out", f"{kind}_case.toml")
        checks.that(result.returncode == 0, f"new {kind}", result)
        text = (s.path / f"{kind}_case.toml").read_text(encoding="utf-8")
        checks.that(s.call("new", kind, "--out", "-").stdout == text, f"{kind}: - prints the same")
        bare = (TREE / "cases" / "start" / f"{kind}.toml").read_text(encoding="utf-8")
        checks.that(tomllib.loads(text) == tomllib.loads(bare), f"{kind}: the comments change no value")
        checks.that(max(map(len, text.splitlines())) <= 120, f"{kind}: no line over 120 characters")
        if kind == "sweep":
            continue
        # Above every key, where it first stands, is what the table of keys says of it.
        words = " ".join(line.removeprefix("#").strip() for line in text.splitlines() if line.startswith("#"))
        for line in bare.splitlines():
            key = re.match(r"([A-Za-z]\w*) = ", line)
            if key:
                rows = [row for row in reference.splitlines() if row.startswith(f"  {key[1]} ")]  # of every section
                checks.that(any(row.rsplit("  ", 1)[1].strip() in words for row in rows), f"{kind}: {key[1]}")
        result = s.call("check", f"{kind}_case.toml")
        checks.that(result.returncode == 0 and said(result) == [], f"check {kind}", result)
        result = s.call("run", f"{kind}_case.toml", "--out", "-", "--quiet", *QUICK)
        checks.that(result.returncode == 0 and said(result) == [], f"run {kind}", result)
    result = s.call("new", "sweep")
    checks.that(result.returncode == 0 and "dryfront sweep sweep.toml" in result.stderr, "new sweep", result)
    plan = (s.path / "sweep.toml").read_text(encoding="utf-8")
    for usual, few in (("points = 3", "points = 2"), ("list = [3, 4, 6]", "list = [4]"), ("points = 8", "points = 1")):
        plan = plan.replace(usual, few)
    (s.path / "sweep.toml").write_text(plan, encoding="utf-8")
    result = s.call("sweep", "sweep.toml", "--quiet")
    checks.that(result.returncode == 0 and (s.path / "sweep_sweep" / "table.csv").exists(), "the plan runs", result)

    # Wrong calls.
    before = (s.path / "comparison.toml").read_text(encoding="utf-8")
    checks.refused(s.call("new", "comparisn"), 1, "unknown kind 'comparisn'", "did you mean 'comparison'?",
                   *KINDS)
    checks.refused(s.call("new", "return"), 1, "unknown kind 'return'")
    checks.refused(s.call("new", "../tissue/fat"), 1, "unknown kind")
    checks.refused(s.call("new", "comparison", "tissue"), 1, "tissue")
    checks.refused(s.call("new"), 4, "comparison.toml", "exists already", "--replace")
    (s.path / "comparison.toml").write_text("mine", encoding="utf-8")
    checks.refused(s.call("new"), 4, "comparison.toml")
    checks.that((s.path / "comparison.toml").read_text(encoding="utf-8") == "mine", "it stays as it was")
    result = s.call("new", "--replace", "--quiet")
    checks.that(result.returncode == 0 and result.stderr == "" and
                (s.path / "comparison.toml").read_text(encoding="utf-8") == before, "--replace", result)
    checks.refused(s.call("new", "--out", "absent/case.toml"), 4, "absent/case.toml")
    checks.refused(s.call("new", "--out", "/proc/case.toml"), 4, "/proc/case.toml")
    checks.refused(s.call("new", "--out", "."), 4, "is a folder")
    with tempfile.TemporaryDirectory() as empty:
        checks.refused(s.call("new", env=os.environ | {"DRYFRONT_SHARE": empty}, input=""), 4, "comparison.toml")
    with open("/dev/full", "w", encoding="utf-8") as full:
        result = subprocess.run([os.environ["DRYFRONT_BINARY"], "new", "--out", "-"], cwd=s.path, stdout=full,
                                stderr=subprocess.PIPE, text=True, check=False)
        checks.that(result.returncode == 4 and "standard output" in result.stderr, f"a full disk: {result}")
    text = s.call("new", "--help").stdout
    checks.that(all(re.search(rf"^  {kind} ", text, re.MULTILINE) for kind in KINDS), f"--help lists the kinds: {text}")

checks.finish()
