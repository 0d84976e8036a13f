#!/usr/bin/env python3
"""kill -9 at random moments, a journal cut at random bytes, a full disk: after --resume the table is the undisturbed
one, bit for bit, and no finished run is repeated."""
import os
import random
import resource
import signal
import subprocess
import time

from _run_program import Checks
from _sweep import POINTS, SweepScratch, mounted_tmpfs

KILLS = 20
CUTS = 10
checks = Checks()
chance = random.Random(20)

with SweepScratch() as s:
    start = time.monotonic()
    result = s.sweep("--quiet", out="undisturbed")
    whole_s = time.monotonic() - start
    checks.that(result.returncode == 0, "the undisturbed sweep", result)
    wanted = s.table("undisturbed")
    checks.that(s.journal_rows("undisturbed") == (POINTS, False), "a record per point")

    def finish(out, what):
        """Takes the sweep up to its end and compares."""
        last = s.sweep("--resume", "--quiet", out=out)
        checks.that(last.returncode == 0, f"{what}: --resume ends well", last)
        checks.that(s.table(out) == wanted, f"{what}: the table is the undisturbed one")
        checks.that(s.journal_rows(out) == (POINTS, False), f"{what}: no run was repeated: {s.journal_rows(out)}")
        rest = [name for name in os.listdir(s.path / out) if name.endswith(".part")]
        checks.that(all("manifest" in name for name in rest), f"{what}: nothing unfinished stays, but {rest}")

    killed = finished = 0
    while killed < KILLS:
        program = s.start("sweep", "plan.toml", "--out", "killed", "--resume", "--quiet", "--threads",
                          str(chance.choice((1, 2, 3))))
        time.sleep(chance.uniform(0, 0.25) * whole_s)
        program.send_signal(signal.SIGKILL)
        program.communicate(timeout=60)
        if program.returncode == -signal.SIGKILL:
            killed += 1
        elif program.returncode == 0:  # too late: once more from the start
            finish("killed", f"after {killed} kills")
            s.remove("killed")
            finished += 1
        else:
            checks.that(False, f"exit code {program.returncode} after a kill")
            break
    finish("killed", f"after {killed} kills")
    print(f"{killed} kills, {finished + 1} sweeps ended, one takes {whole_s:.1f} s undisturbed")

    # A polite stop says how to go on.
    program = s.start("sweep", "plan.toml", "--out", "polite", "--threads", "1")
    journal = s.path / "polite" / "rows-00001-of-00001.journal"
    while program.poll() is None and not (journal.exists() and journal.stat().st_size > 3000):
        time.sleep(0.005)
    program.send_signal(signal.SIGINT)
    stdout, stderr = program.communicate(timeout=60)
    checks.that(program.returncode == 130, f"an interrupt ends with 130, not {program.returncode}: {stderr}")
    checks.that("go on with --resume" in stderr, f"the message: {stderr!r}")
    finish("polite", "after an interrupt")

    journal = s.path / "polite" / "rows-00001-of-00001.journal"
    whole = journal.read_bytes()
    for _ in range(CUTS):
        journal.write_bytes(whole[: chance.randrange(len(whole))])
        finish("polite", "after a cut")
    # A damaged byte inside: that row is computed again, and the journal keeps the damaged record.
    damaged = bytearray(whole)
    damaged[len(damaged) // 2] ^= 0xFF
    journal.write_bytes(damaged)
    last = s.sweep("--resume", "--quiet", out="polite")
    checks.that(last.returncode == 0 and "1 damaged" in last.stderr, "a damaged record is told of", last)
    checks.that(s.table("polite") == wanted, "after damage the table is the undisturbed one")

    # A disk that fills up, then is given room.
    small = s.path / "small"
    needed = sum(file.stat().st_size for file in (s.path / "undisturbed").iterdir())
    if os.geteuid() == 0 and mounted_tmpfs(small, 1 << 20):
        subprocess.run(["umount", small], check=True)
        for share in (0.02, 0.2, 0.5, 0.7, 0.9):
            mounted_tmpfs(small, max(4096, int(needed * share)))
            try:
                full = s.sweep("--quiet", out="small/out")
                checks.that(full.returncode == 4, f"a disk of {share} of what is needed: exit code 4", full)
                checks.that("No space left on device" in full.stderr, "the reason is said", full)
                checks.that(full.stderr.count("\n") == 1, "in one line", full)
                checks.that(not (small / "out" / "table.h5").exists() or
                            (small / "out" / "table.h5").read_bytes() == wanted["table.h5"], "no half table")
                subprocess.run(["mount", "-o", "remount,size=100m", small], check=True)
                finish("small/out", f"after a full disk ({share})")
            finally:
                subprocess.run(["umount", small], check=True)
    else:
        def limited():
            resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))
        full = s.sweep("--quiet", out="limited", preexec_fn=limited)
        checks.that(full.returncode == 4, "a file that may not grow: exit code 4", full)
        finish("limited", "after a limit on the size of files")

checks.finish()
