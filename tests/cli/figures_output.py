#!/usr/bin/env python3
"""What figures and page write, and where; a batch in which some files are bad."""
import xml.etree.ElementTree

from _run_program import Checks, Scratch

checks = Checks()
FIGURES = ["comparison", "comparison_cutaway", "depth", "electric", "fields", "power_load", "waveforms"]
HANDOUTS = ["handout_a4.pdf", "handout_letter.pdf"]
BEGINNING = {"svg": b"<?xml", "png": b"\x89PNG\r\n\x1a\n", "pdf": b"%PDF-"}

with Scratch() as s:
    made = s.call("run", "case.toml", "--out", "run.h5", "--quiet")
    checks.that(made.returncode == 0, "the run itself works", made)

    for ending, beginning in BEGINNING.items():
        folder = f"deep/{ending}"
        result = s.call("figures", "run.h5", "--out", folder, "--format", ending)
        wanted = sorted([f"{name}.{ending}" for name in FIGURES] + HANDOUTS)
        checks.that(result.returncode == 0 and result.stderr == "", "figures", result)
        checks.that(
            sorted(result.stdout.split()) == [f"{folder}/{name}" for name in wanted], "prints what it wrote", result)
        found = {path.name: path for path in (s.path / folder).iterdir()}
        checks.that(sorted(found) == wanted, f"writes {wanted}, not {sorted(found)}", result)
        for name in wanted:
            begins = BEGINNING[name.rsplit(".", 1)[1]]
            checks.that(found[name].read_bytes().startswith(begins), f"{name} is what its name says")
    xml.etree.ElementTree.parse(s.path / "deep/svg/comparison.svg")

    # Without --out: beside the file, under its name, in place of what an earlier call left there.
    (s.path / "run_figures").mkdir()
    (s.path / "run_figures" / "comparison.png").write_text("of an earlier run", encoding="utf-8")
    result = s.call("figures", "run.h5", "--quiet", "--format", "png", "--left", "interrupted", "--right", "continuous")
    checks.that(result.returncode == 0 and result.stdout == "" == result.stderr, "--quiet says nothing", result)
    checks.that((s.path / "run_figures" / "comparison.png").read_bytes().startswith(BEGINNING["png"]),
                "it is drawn anew")
    result = s.call("page", "run.h5")
    checks.that(result.returncode == 0 and result.stdout == "run.html\n" and result.stderr == "", "page", result)
    page = (s.path / "run.html").read_text(encoding="utf-8")
    checks.that(page.startswith("<!DOCTYPE html>") and page.rstrip().endswith("</html>"), "the page is whole")
    checks.that("Not for choosing settings on a patient" in page and "Two currents" in page, "it says what it is")
    (s.path / "run.h5").rename(s.path / "-run.h5")
    result = s.call("page", "--out", "odd name.html", "--", "-run.h5")
    checks.that(result.returncode == 0 and (s.path / "odd name.html").exists(), "odd names", result)
    (s.path / "-run.h5").rename(s.path / "run.h5")

    # A batch: one sheet; what cannot be read is named on it and in the exit code, the others are drawn.
    result = s.call("figures", "run.h5", "run.h5", "--out", "sheet", "--format", "pdf")
    checks.that(result.returncode == 0 and result.stdout == "sheet/contact_sheet_001.pdf\n", "a contact sheet", result)
    result = s.call("figures", "run.h5", "case.toml", "absent.h5", "--out", "sheet")
    checks.that(result.returncode == 4 and result.stdout == "sheet/contact_sheet_001.svg\n", "a batch with bad files",
                result)
    for name in ("case.toml", "absent.h5"):
        checks.that(name in result.stderr, f"{name} is named", result)
    result = s.call("figures", "run.h5", "run.h5", "--out", "sheet", "--left", "nobody")
    checks.that(result.returncode == 1 and "nobody" in result.stderr, "a mode that none of them has", result)

checks.finish()
