#!/usr/bin/env python3
"""What goes wrong around the program: closed descriptors, damaged and removed files of a sweep, failures that pass."""
import json
import os
import resource
import signal
import subprocess
import time

from _run_program import PROGRAM, Checks
from _sweep import JOURNAL_HEAD, SweepScratch

PLAN = """
title = "Six runs"
case = "case.toml"
[set]
grid.fine_mm = 0.3
grid.growth = 1.4
output.frames = 2
time.tolerance = 8
[axis.setting]
key = "mode.*.source.setting_W"
range = { from = 5, to = 30, points = 6 }
[[design]]
name = "line"
kind = "grid"
"""
checks = Checks()


def table(s, out):
    """The bytes of the table in both forms."""
    return {name: (s.path / out / name).read_bytes() for name in ("table.h5", "table.csv", "analysis.json")}


def closed(descriptors, *arguments, cwd):
    """The program with some of its standard descriptors closed."""
    return subprocess.run([PROGRAM, *arguments], cwd=cwd, capture_output=True, text=True, check=False, timeout=300,
                          preexec_fn=lambda: [os.close(number) for number in descriptors])


with SweepScratch(PLAN) as s:
    # A file the program opens must not get the number of a closed descriptor.
    quick = ["--set", "grid.fine_mm=0.3", "--set", "mode.*.activation_s=0.2"]
    result = s.call("run", "case.toml", "--out", "whole.h5", "--quiet", *quick)
    whole = (s.path / "whole.h5").stat().st_size
    for descriptors in ([1], [2], [0], [1, 2], [0, 1, 2]):
        result = closed(descriptors, "run", "case.toml", "--out", "z.h5", "--replace", *quick, cwd=s.path)
        wanted = 4 if 1 in descriptors else 0  # a comparison that cannot be printed is an error
        checks.that(result.returncode == wanted, f"closed {descriptors}", result)
        content = (s.path / "z.h5").read_bytes()
        checks.that(content[1:4] == b"HDF" and abs(len(content) - whole) < 4096, f"closed {descriptors}: the run file")
    s.sweep("--quiet", out="wanted")
    wanted = table(s, "wanted")
    result = closed([1, 2], "sweep", "plan.toml", "--out", "closed", cwd=s.path)
    checks.that(table(s, "closed")["table.csv"] == wanted["table.csv"], "a sweep with closed output", result)

    # One bad byte in the head of the journal costs nothing: it is written anew.
    journal = s.path / "wanted" / "rows-00001-of-00001.journal"
    sound = journal.read_bytes()
    for at in (0, 9, 13, 20, 25, 29, 34):
        journal.write_bytes(sound[:at] + bytes([sound[at] ^ 0x41]) + sound[at + 1:])
        result = s.call("merge", "wanted", "--quiet")
        checks.that(result.returncode == 0 and table(s, "wanted") == wanted, f"merge with byte {at} of the head",
                    result)
        result = s.sweep("--resume", "--quiet", out="wanted")
        checks.that(result.returncode == 0 and journal.read_bytes() == sound, f"resume with byte {at} of the "
                                                                              "head", result)
    record = (len(sound) - JOURNAL_HEAD) // 6
    journal.write_bytes(bytes(JOURNAL_HEAD) + b"".join(b"x" + sound[JOURNAL_HEAD + k * record + 1:][:record - 1]
                                                       for k in range(6)))
    checks.refused(s.sweep("--resume", "--quiet", out="wanted"), 4, "rows-00001-of-00001.journal", "damaged")
    journal.write_bytes(sound)

    # The hash in the manifest is what the rest of it comes to.
    manifest = s.path / "wanted" / "manifest.json"
    text = manifest.read_text(encoding="utf-8")
    for damage in ("xyz", "", "0123"):
        content = json.loads(text) | {"plan_hash": damage}
        manifest.write_text(json.dumps(content), encoding="utf-8")
        result = s.call("merge", "wanted", "--quiet")
        checks.that(result.returncode == 0 and table(s, "wanted") == wanted, f"plan_hash {damage!r}", result)
    manifest.write_text(text[:len(text) // 2], encoding="utf-8")
    checks.refused(s.call("merge", "wanted"), 4, "manifest.json", "is damaged")
    manifest.write_text(text, encoding="utf-8")

    # Too little memory is a failure that passes: tried again, unlike one that would come again.
    fine = PLAN.replace("grid.growth = 1.4", "grid.growth = 1.02")
    fine = fine.replace("grid.fine_mm = 0.3", "grid.fine_mm = 0.02\ngrid.coarse_mm = 0.1\nspecimen.radius_mm = 8\n"
                        "specimen.depth_mm = 8\nmode.\"*\".activation_s = 0.001")
    s.plan(fine)
    for little in range(120, 40, -10):  # where it does not suffice depends on the machine's libraries [MB]
        result = subprocess.run([PROGRAM, "sweep", "plan.toml", "--out", "little", "--threads", "1", "--quiet"],
                                cwd=s.path, capture_output=True, text=True, check=False, timeout=300,
                                preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (little * 10**6,) * 2))
        if "not enough memory" in (s.path / "little" / "table.csv").read_text(encoding="utf-8"):
            break
        s.remove("little")
    checks.that("runs failed" in result.stderr.splitlines()[-1], "the last line says what failed", result)
    result = s.sweep("--resume", "--quiet", out="little")
    checks.that(result.returncode == 0 and "failed" not in result.stderr, "the rows are tried again", result)
    checks.that("not enough memory" not in (s.path / "little" / "table.csv").read_text(encoding="utf-8"), "and done")

    # A failure that would come again waits for --retry-failed.
    s.plan(PLAN.replace('range = { from = 5, to = 30, points = 6 }', 'list = [5, 30]') +
           '\n[axis.width]\nkey = "electrode.radius_mm"\nlist = [0.5, 3]\n')
    s.sweep("--quiet", out="failing")
    rows = s.journal_rows("failing")[0]
    s.sweep("--resume", "--quiet", out="failing")
    checks.that(s.journal_rows("failing")[0] == rows, "failures that come again are not repeated")
    checks.that(s.call("sweep", "plan.toml", "--retry-failed").returncode == 1, "--retry-failed goes with --resume")

    # What `keep` asks for afterwards is computed.
    s.plan("keep = [1, 4]\n" + PLAN)
    result = s.sweep("--resume", "--quiet", out="wanted")
    kept = sorted(path.name for path in (s.path / "wanted" / "runs").glob("*"))
    checks.that(kept == ["point-0000001.h5", "point-0000001.xdmf", "point-0000004.h5", "point-0000004.xdmf"],
                f"kept after the fact: {kept}", result)
    checks.that(table(s, "wanted")["table.csv"] == wanted["table.csv"], "and the table is the same")

    # Shards start together, and one of them warns.
    s.plan(PLAN.replace("[set]", "[set]\ntissue.gel.conductivity_S_m = 0.01"))
    for shard, warns in (("1/2", True), ("2/2", False)):
        result = s.sweep("--shard", shard, "--quiet", out="shards")
        checks.that(("displacement" in result.stderr) == warns, f"shard {shard} warns: {warns}", result)

    # Too many points are refused with their place, before anything is made.
    s.plan(PLAN.replace("points = 6", "points = 100000") +
           '\n[axis.again]\nkey = "electrode.contact_fraction"\nrange = { from = 0.1, to = 1, points = 100000 }\n')
    checks.refused(s.sweep(out="never"), 2, "plan.toml:", "has more than 4000000000 points")
    checks.that(not (s.path / "never").exists(), "no folder was made")

    # A dry run writes nothing and says what would be refused.
    s.plan(PLAN.replace("to = 30", "to = 30"))
    result = s.sweep("--dry-run", out="never")
    checks.that(result.returncode == 0 and "points     6" in result.stdout and "refused    0 of 6" in result.stdout,
                "a dry run", result)
    checks.that(not (s.path / "never").exists(), "a dry run writes nothing")

    # A folder that is removed meanwhile ends the sweep.
    s.plan(PLAN.replace("points = 6", "points = 3000"))
    program = s.start("sweep", "plan.toml", "--out", "removed", "--threads", "1", "--quiet")
    while program.poll() is None and not (s.path / "removed" / "rows-00001-of-00001.journal").exists():
        time.sleep(0.01)
    s.remove("removed")
    try:
        out, err = program.communicate(timeout=30)
        checks.that(program.returncode == 4 and "was removed meanwhile" in err, f"a removed folder: {err}")
    except subprocess.TimeoutExpired:
        program.send_signal(signal.SIGKILL)
        checks.that(False, "a removed folder ends the sweep within 30 s")

checks.finish()
