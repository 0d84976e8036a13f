#!/usr/bin/env python3
"""A disk that fills up at any moment of a run: exit code 4, the reason, and no file under the final name.

As root on a small file system in memory, of many sizes up to the one that is enough; else with a limit on the size of
files, which fails at the same places.
"""
import contextlib
import os
import resource
import subprocess
import sys
import tempfile

from _run_program import Checks, Scratch

checks = Checks()


@contextlib.contextmanager
def small_disk(size):
    """A folder that holds `size` bytes, or None where this process may not mount."""
    with tempfile.TemporaryDirectory(prefix="dryfront_disk_") as folder:
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", folder], capture_output=True,
                                 check=False)
        if mounted.returncode != 0:
            yield None
            return
        try:
            yield folder
        finally:
            subprocess.run(["umount", folder], check=True)


def outcome(result, folder, reason):
    """True when the run was complete; else it must have failed cleanly."""
    names = sorted(os.listdir(folder))
    if result.returncode == 0:
        checks.that(names == ["run.h5", "run.xdmf"], f"a complete run: {names}", result)
        return True
    checks.refused(result, 4, reason)
    checks.that("HDF5-DIAG" not in result.stderr, "HDF5 does not print by itself", result)
    checks.that(result.stderr.count("\n") == 1, "one line says it", result)
    checks.that(names == [], f"nothing stays behind, but {names} does", result)
    return False


with Scratch() as s:
    can_mount = os.geteuid() == 0
    if can_mount:
        with small_disk(1 << 20) as folder:
            can_mount = folder is not None
    whole = s.call("run", "case.toml", "--out", "size.h5", "--quiet")
    checks.that(whole.returncode == 0, "the run itself works", whole)
    needed = sum((s.path / name).stat().st_size for name in ("size.h5", "size.xdmf"))

    complete = []
    for share in (0.02, 0.1, 0.25, 0.5, 0.75, 0.85, 0.9, 0.95, 0.98, 1.0, 1.1, 2):
        size = max(4096, int(needed * share))
        if can_mount:
            with small_disk(size) as folder:
                result = s.call("run", "case.toml", "--out", f"{folder}/run.h5", "--quiet")
                complete.append(outcome(result, folder, "No space left on device"))
        else:
            with tempfile.TemporaryDirectory(prefix="dryfront_limit_") as folder:
                result = s.call("run", "case.toml", "--out", f"{folder}/run.h5", "--quiet",
                                preexec_fn=lambda n=size: resource.setrlimit(resource.RLIMIT_FSIZE, (n, n)))
                complete.append(outcome(result, folder, "File too large"))
    checks.that(not complete[0], "the smallest disk is too small")
    checks.that(complete[-1], "the largest disk is large enough")

    # An older result survives a failed attempt to replace it.
    if can_mount:
        with small_disk(int(needed * 1.5)) as folder:
            checks.that(s.call("run", "case.toml", "--out", f"{folder}/run.h5", "--quiet").returncode == 0, "first run")
            with open(f"{folder}/run.h5", "rb") as file:
                before = file.read()
            result = s.call("run", "case.toml", "--out", f"{folder}/run.h5", "--quiet", "--replace")
            checks.refused(result, 4, "No space left on device")
            with open(f"{folder}/run.h5", "rb") as file:
                checks.that(file.read() == before, "the older result is left as it was")
            checks.that(sorted(os.listdir(folder)) == ["run.h5", "run.xdmf"], "and nothing beside it")

print("on small file systems" if can_mount else "with a limit on the size of files", file=sys.stderr)
checks.finish()
