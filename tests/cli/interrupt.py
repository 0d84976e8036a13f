#!/usr/bin/env python3
"""Ctrl-C and SIGTERM: 128 + the signal's number, no file under the final name, frames kept as .part or nothing."""
import os
import pty
import select
import signal
import subprocess
import time

from _run_program import PROGRAM, Checks, Scratch

checks = Checks()
LONG = ["--set", "mode.0.activation_s=600", "--set", "mode.1.activation_s=600", "--set", "time.longest_s=0.01",
        "--set", "output.frames=2000"]


def interrupt(scratch, number, out, condition, limit_s=60):
    """Starts a long run, sends the signal once `condition` holds; returncode and stderr come back."""
    program = scratch.start("run", "case.toml", "--out", out, *LONG)
    start = time.monotonic()
    while not condition(time.monotonic() - start) and program.poll() is None and time.monotonic() - start < limit_s:
        time.sleep(0.01)
    program.send_signal(number)
    asked = time.monotonic()
    stdout, stderr = program.communicate(timeout=60)
    checks.that(time.monotonic() - asked < 20, "it stops soon after being asked")
    checks.that(stdout == "", f"an interrupted run prints no result, but {stdout!r}")
    return program.returncode, stderr


with Scratch() as s:
    for number, code in ((signal.SIGINT, 130), (signal.SIGTERM, 143)):
        part = s.path / "run.h5.part"
        part.unlink(missing_ok=True)
        # A chunk per field and frame: well past the size of the first frames.
        returned, message = interrupt(s, number, "run.h5", lambda _: part.exists() and part.stat().st_size > 300_000)
        checks.that(returned == code, f"exit code {code} was expected, not {returned}: {message}")
        checks.that("interrupted" in message and "run.h5.part (marked unfinished)" in message, f"message: {message}")
        checks.that(s.names() == ["run.h5.checkpoint", "run.h5.part"], f"only .part and checkpoint stay: {s.names()}")
        import h5py

        with h5py.File(part, "r") as file:
            checks.that(file.attrs["finished"] == 0, "the kept frames are marked unfinished")
            frames = file["mode/continuous/frame/t_s"].shape[0] + file["mode/interrupted/frame/t_s"].shape[0]
            checks.that(frames > 2, "frames are kept")
            checks.that(file["mode/continuous/summary"].attrs["completed"] == 0, "the mode did not complete")

    # The abandoned .part is no obstacle and no result.
    result = s.call("run", "case.toml", "--out", "run.h5", "--quiet")
    checks.that(result.returncode == 0 and "written anew" in result.stderr, "a new run takes the place over", result)
    checks.that(s.names() == ["run.h5", "run.xdmf"], f"and is complete: {s.names()}")

with Scratch() as s:
    # Right at the start: whatever was reached, never a file under the final name.
    for delay in (0.005, 0.02, 0.05):
        returned, message = interrupt(s, signal.SIGINT, "run.h5", lambda passed, d=delay: passed > d)
        # Before the program listens the signal ends it by itself.
        checks.that(returned in (130, -signal.SIGINT), f"interrupted after {delay} s: {returned}, {message}")
        checks.that("run.h5" not in s.names(), f"nothing under the final name: {s.names()}")

with Scratch() as s:
    # On a terminal: a progress line with the time left, and nothing of it left behind.
    leader, follower = pty.openpty()
    program = subprocess.Popen([PROGRAM, "run", "case.toml", "--out", "-", *LONG], cwd=s.path, stderr=follower,
                               stdout=subprocess.PIPE)
    os.close(follower)
    seen = b""
    deadline = time.monotonic() + 60
    while b" left" not in seen and time.monotonic() < deadline:
        if select.select([leader], [], [], 0.5)[0]:
            seen += os.read(leader, 4096)
    program.send_signal(signal.SIGINT)
    program.wait(timeout=60)
    while select.select([leader], [], [], 0.5)[0]:
        try:
            more = os.read(leader, 4096)
        except OSError:  # the other end is closed
            break
        if not more:
            break
        seen += more
    text = seen.decode()
    checks.that("% , about" in text or "%, about" in text, f"percent and time left: {text[:200]!r}")
    last = text.replace("\r\n", "\n").rstrip("\n").rsplit("\r", 1)[-1]
    checks.that(last == "warning: interrupted", f"the line is wiped before a message: {text[-200:]!r}")

checks.finish()
