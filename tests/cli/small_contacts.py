#!/usr/bin/env python3
"""scripts/small_contacts: one contact on a coarse grid. Its tables hold what the program itself says, a mechanism
switched off is switched off, and nothing depends on how many runs go at a time."""
import json
import os
import subprocess
import sys
from pathlib import Path

from _run_program import Checks

PROGRAM = os.environ["DRYFRONT_BINARY"]
TREE = Path(os.environ["DRYFRONT_SOURCE_DIR"])
CONTACT = "1mm-10W"
COARSE = ["grid.fine_mm=0.3", "grid.growth=1.5", "grid.coarse_mm=5", "specimen.radius_mm=15", "specimen.depth_mm=15"]
TABLES = ("columns", "moved", "dry_out", "coagulation", "desiccation")


def each(option, values):
    return [word for value in values for word in (option, value)]


def script(*words):
    return subprocess.run([sys.executable, TREE / "scripts" / "small_contacts", *words], capture_output=True, text=True,
                          timeout=600, check=False)


def rows(printed, name):
    """The cells of a printed table, its head first."""
    lines = printed.split(f"\n{name}\n")[1].split("\n\n")[0].splitlines()
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if not line.startswith("|---")]


def directly(settings):
    done = subprocess.run([PROGRAM, "run", "cases/small_contacts.toml", "--out", "-", "--json", "--quiet",
                           *each("--set", settings)], cwd=TREE, capture_output=True, text=True, check=True, timeout=300)
    return json.loads(done.stdout)["modes"][0]


checks = Checks()
document = TREE / "docs" / "small_contacts.md"
before = document.read_bytes()
first = script("--only", CONTACT, "--jobs", "2", *each("--set", COARSE))
again = script("--only", CONTACT, "--jobs", "1", *each("--set", COARSE))
checks.that(first.returncode == 0, "the script ends well", first)
checks.that(first.stdout == again.stdout, "the same tables however many runs go at a time", again)
checks.that(document.read_bytes() == before, "the document is left alone")
if first.returncode == 0:
    for name in TABLES:
        checks.that(len(rows(first.stdout, name)) > 1, f"table {name} has rows")
    described = rows(first.stdout, "columns")[1:]
    settings = {column: [word.strip(" `") for word in words.split("`, `")] for column, words in described}
    head, cells = rows(first.stdout, "dry_out")
    for column, own in (("all on", []), ("without bound water", settings["without bound water"])):
        changed = dict(word.split("=", 1) for word in settings["all on"] + own)
        mode = directly(COARSE + [f"{key}={value}" for key, value in changed.items()])
        checks.that(cells[head.index(column)] == f"{mode['dry_out_s']:.2f}", f"dry-out, {column}")
        if column == "all on":
            checks.that(cells[-1] == f"{mode['past_range']['t_s']:.2f}", "when it passed 300 C")
        for effect in ("coagulation", "desiccation"):
            last = rows(first.stdout, effect)[-1]  # at the end of the activation
            checks.that(last[head.index(column)] == f"{mode['depth_mm'][effect]:.2f}", f"{effect}, {column}")
    checks.that(cells[head.index("all on")] != cells[head.index("all off")], "the mechanisms move the time of dry-out")

unknown = script("--only", "9mm-1W")
checks.that(unknown.returncode == 2 and "9mm-1W" in unknown.stderr, "an unknown contact is refused by name", unknown)
checks.finish()
