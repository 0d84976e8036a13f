#!/usr/bin/env python3
"""Every way to call figures and page wrongly: the exit code, what the message says to do, and nothing written.

Exit codes: 1 usage, 4 file or disk.
"""
import os
import shutil
import subprocess
import tempfile

import h5py

from _run_program import Checks, Scratch

checks = Checks()
COMMANDS = ("figures", "page")


def with_attribute(path, source, name, value):
    shutil.copy(source, path)
    with h5py.File(path, "a") as file:
        file.attrs[name] = value
    return path


def damage(path, source):
    """The compressed temperatures of every frame overwritten in their middle."""
    shutil.copy(source, path)
    with h5py.File(path, "r") as file:
        data = file["mode/continuous/frame/temperature_C"].id
        places = [data.get_chunk_info(k).byte_offset for k in range(data.get_num_chunks())]
    with open(path, "r+b") as file:
        for place in places:
            file.seek(place + 20)
            file.write(b"\x55" * 200)


def both(s, code, file, *texts, **options):
    for command in COMMANDS:
        checks.refused(s.call(command, file, **options), code, *texts)


with Scratch() as s:
    made = s.call("run", "case.toml", "--out", "run.h5", "--quiet")
    checks.that(made.returncode == 0, "the run itself works", made)
    run = s.path / "run.h5"

    # Usage.
    checks.refused(s.call("figures"), 1, "FILE.h5")
    checks.refused(s.call("page"), 1, "FILE.h5")
    checks.refused(s.call("page", "run.h5", "run.h5"), 1, "run.h5")
    checks.refused(s.call("figures", "run.h5", "--format", "gif"), 1, "gif", "svg", "png", "pdf")
    checks.refused(s.call("figgures", "run.h5"), 1, "did you mean 'figures'?")
    for command in COMMANDS:
        checks.refused(s.call(command, "run.h5", "--left", "nobody"), 1, "nobody", "continuous, interrupted")
        checks.refused(s.call(command, "run.h5", "--lefft", "continuous"), 1, "--lefft")

    # Not a run file.
    both(s, 4, "absent.h5", "absent.h5", "No such file", "dryfront run CASE.toml")
    both(s, 4, "case.toml", "case.toml", "not an HDF5 file", "dryfront run CASE.toml")
    both(s, 4, ".", "Is a directory")
    (s.path / "empty.h5").touch()
    both(s, 4, "empty.h5", "not an HDF5 file")
    (s.path / "empty.h5").unlink()
    with h5py.File(s.path / "other.h5", "w") as file:
        file["x"] = 1.0
    both(s, 4, "other.h5", "not a run file of dryfront", "dryfront run CASE.toml")
    (s.path / "other.h5").unlink()

    # Of a run, but not whole.
    with_attribute(s.path / "unfinished.h5", run, "finished", 0)
    both(s, 4, "unfinished.h5", "did not finish", "repeat it")
    os.rename(s.path / "unfinished.h5", s.path / "unfinished.h5.part")
    both(s, 4, "unfinished.h5.part", "not over", "repeat it")
    (s.path / "unfinished.h5.part").unlink()
    with open(s.path / "cut.h5", "wb") as file:
        file.write(run.read_bytes()[:run.stat().st_size // 2])
    both(s, 4, "cut.h5", "cut.h5", "truncated file")
    (s.path / "cut.h5").unlink()
    damage(s.path / "damaged.h5", run)
    both(s, 4, "damaged.h5", "damaged.h5", "damaged", "repeat the run")
    (s.path / "damaged.h5").unlink()
    shutil.rmtree(s.path / "damaged_figures", ignore_errors=True)

    # Written by a newer program.
    with_attribute(s.path / "newer.h5", run, "format_version", 1000)
    both(s, 4, "newer.h5", "version 1000", "up to version 1", "newer dryfront")
    (s.path / "newer.h5").unlink()

    # No plotting program, or one without its packages, or without the scripts.
    both(s, 4, "run.h5", "no/such/python", "No such file", "python3-matplotlib", "DRYFRONT_PYTHON",
         env=os.environ | {"DRYFRONT_PYTHON": "no/such/python"})
    bare = s.path / "bare_python"
    bare.write_text('#!/bin/sh\nexec /usr/bin/env -u PYTHONPATH /usr/bin/python3 -S "$@"\n', encoding="utf-8")
    bare.chmod(0o755)
    both(s, 4, "run.h5", "package", "is missing for", "apt-get install", "DRYFRONT_PYTHON",
         env=os.environ | {"DRYFRONT_PYTHON": str(bare)})
    bare.unlink()
    both(s,
         4,
         "run.h5",
         "drawing script is missing",
         "DRYFRONT_SHARE",
         env=os.environ | {"DRYFRONT_SHARE": str(s.path)})

    # Nowhere to write.
    checks.refused(s.call("figures", "run.h5", "--out", "case.toml"), 4, "case.toml", "--out")
    checks.refused(s.call("figures", "run.h5", "--out", "/proc/figures"), 4, "/proc/figures", "--out")
    checks.refused(s.call("page", "run.h5", "--out", "absent/page.html"), 4, "absent/page.html", "No such file",
                   "--out")
    checks.refused(s.call("page", "run.h5", "--out", "."), 4, "is a folder", "--out")
    before = run.read_bytes()
    checks.refused(s.call("page", "run.h5", "--out", "run.h5"), 4, "is the run file itself", "--out")
    shutil.copy(run, s.path / "run.html")  # whose page would have its own name
    checks.refused(s.call("page", "run.html"), 4, "is the run file itself")
    checks.that((s.path / "run.html").read_bytes() == before == run.read_bytes(), "run files stay as they were")
    (s.path / "run.html").unlink()
    if os.geteuid() == 0:
        with tempfile.TemporaryDirectory(prefix="dryfront_disk_") as disk:
            if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", disk], capture_output=True,
                              check=False).returncode == 0:
                try:
                    checks.refused(s.call("page", "run.h5", "--out", f"{disk}/page.html"), 4, "No space left", "--out")
                    checks.that(os.listdir(disk) == [], f"a full disk keeps nothing, but {os.listdir(disk)}")
                finally:
                    subprocess.run(["umount", disk], check=True)

    # A folder that had to be made before the file was found wanting is all that may stay.
    for name in s.names():
        checks.that(name in ("run.h5", "run.xdmf") or os.listdir(s.path / name) == [],
                    f"nothing was written, but {name}")

checks.finish()
