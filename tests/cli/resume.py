#!/usr/bin/env python3
"""A run that is killed half way and resumed holds in every dataset and summary the bits of an undisturbed one."""
import signal
import time

import h5py
import numpy

from _run_program import Checks, Scratch

checks = Checks()
CASE = ["case.toml", "--set", "mode.0.activation_s=4", "--set", "mode.1.activation_s=3", "--set", "mode.1.after_s=1",
        "--set", "time.longest_s=0.002", "--set", "output.frames=40", "--threads", "1"]
TIMES = {"started", "wall_s"}


def everything(path):
    """All datasets and attributes as bytes, by name."""
    content = {}

    def add(name, thing):
        for key, value in thing.attrs.items():
            if key not in TIMES and key not in ("DIMENSION_LIST", "REFERENCE_LIST"):
                content[f"{name}@{key}"] = repr(numpy.asarray(value).tolist())
        if isinstance(thing, h5py.Dataset):
            content[name] = (str(thing.dtype), thing.shape, thing[()].tobytes())

    with h5py.File(path, "r") as file:
        add("/", file)
        file.visititems(add)
    return content


def kill(scratch, arguments, size):
    """Ends a run by SIGTERM once its .part has reached the size; its exit code and messages."""
    part = scratch.path / "run.h5.part"
    before = part.stat().st_mtime_ns if part.exists() else 0  # of an earlier run: the program has to write to it first
    program = scratch.start("run", *arguments)
    limit = time.monotonic() + 120
    while program.poll() is None and time.monotonic() < limit:
        if part.exists() and part.stat().st_mtime_ns != before and part.stat().st_size > size:
            program.send_signal(signal.SIGTERM)
            break
        time.sleep(0.005)
    _, message = program.communicate(timeout=60)
    return program.returncode, message


with Scratch() as s:
    whole = s.call("run", *CASE, "--out", "whole.h5", "--quiet")
    checks.that(whole.returncode == 0, "the undisturbed run", whole)
    size = (s.path / "whole.h5").stat().st_size
    out = ["--out", "run.h5", "--quiet"]

    code, message = kill(s, [*CASE, *out], 0.3 * size)
    checks.that(code == 128 + signal.SIGTERM, f"exit code of the first kill: {code}, {message}")
    checks.that("--resume" in message, f"the message names --resume: {message!r}")
    names = [name for name in s.names() if name.startswith("run.")]
    checks.that(names == ["run.h5.checkpoint", "run.h5.part"], f"part and checkpoint: {names}")

    # Not with another case; nothing is lost by asking.
    checks.refused(s.call("run", *CASE, *out, "--resume", "--set", "mode.0.source.setting_W=21"), 2, "another case",
                   "run.h5.checkpoint")
    revised = s.path / "run.h5.checkpoint"
    kept = revised.read_bytes()
    with h5py.File(revised, "r+") as file:
        file["run"].attrs["source_revision"] = "another"
    checks.refused(s.call("run", *CASE, *out, "--resume"), 2, "another revision")
    revised.write_bytes(kept)
    checks.refused(s.call("run", *CASE, "--out", "-", "--resume"), 1, "--resume")
    checks.refused(s.call("run", *CASE, "--out", "other.h5", "--resume"), 4, "other.h5.checkpoint")

    code, message = kill(s, [*CASE, *out, "--resume"], 0.5 * size)
    checks.that(code == 128 + signal.SIGTERM, f"exit code of the second kill: {code}, {message}")
    # One that dies without a chance to say where it stood leaves frames after the checkpoint; they come again.
    program = s.start("run", *CASE, *out, "--resume")
    time.sleep(0.3)
    program.kill()
    program.communicate(timeout=60)
    if "run.h5" not in s.names():
        # In whatever state it left the frames: they are restored to those of the checkpoint.
        part = s.path / "run.h5.part"
        part.write_bytes(part.read_bytes()[: part.stat().st_size // 2])
        resumed = s.call("run", *CASE, *out, "--resume")
        checks.that(resumed.returncode == 0, "the resumed run", resumed)
    names = [name for name in s.names() if name.startswith("run.")]
    checks.that(names == ["run.h5", "run.xdmf"], f"the checkpoint is gone: {names}")

    wanted, found = everything(s.path / "whole.h5"), everything(s.path / "run.h5")
    checks.that(len(wanted) > 100, f"there is something to compare: {len(wanted)}")
    checks.that(wanted.keys() == found.keys(), f"the same names: {sorted(wanted.keys() ^ found.keys())}")
    different = [name for name in wanted if name in found and wanted[name] != found[name]]
    checks.that(not different, f"the same bits, but not in {different[:10]}")

    # A run from the start does not leave the checkpoint of another one behind.
    code, message = kill(s, [*CASE, "--out", "run.h5", "--quiet", "--replace"], 0.3 * size)
    anew = s.call("run", *CASE, *out, "--replace")
    checks.that(anew.returncode == 0 and "run.h5.checkpoint" not in s.names(), "no stale checkpoint", anew)

checks.finish()
