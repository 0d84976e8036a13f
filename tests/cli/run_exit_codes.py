#!/usr/bin/env python3
"""Every way to call the program wrongly: the exit code, the message, and no file under the final name.

Exit codes: 0 done, 1 usage, 2 bad case, 3 numerical failure, 4 file or disk.
"""
from _run_program import Checks, Scratch

checks = Checks()

with Scratch() as s:
    for arguments, text in [
        ([], "subcommand is required"),
        (["rnu"], "did you mean 'run'?"),
        (["run"], "CASE.toml"),
        (["run", "case.toml", "--thraeds", "2"], "--thraeds"),
        (["run", "case.toml", "--threads", "0"], "--threads"),
        (["run", "case.toml", "--threads", "two"], "--threads"),
        (["run", "case.toml", "--out"], "--out"),
        (["run", "case.toml", "more.toml"], "more.toml"),
    ]:
        checks.refused(s.call(*arguments), 1, text)

    for arguments in (["--help"], ["run", "--help"], ["check", "--help"], ["keys", "--help"]):
        result = s.call(*arguments)
        checks.that(result.returncode == 0 and "not for choosing settings on a patient" in result.stdout,
                    "help exits with 0 and carries the caution", result)
    result = s.call("--version")
    checks.that(result.returncode == 0 and result.stdout.startswith("dryfront "), "--version", result)
    result = s.call("keys", "--markdown")
    checks.that(result.returncode == 0 and "radius_mm" in result.stdout and "|" in result.stdout, "keys", result)

    # The user's errors.
    checks.refused(s.call("run", "absent.toml"), 4, "absent.toml", "No such file")
    checks.refused(s.call("run", "case.toml", "--set", "electrode.radius_mm=-1"), 2, "radius_mm", "-1")
    checks.refused(s.call("run", "case.toml", "--set", "electrode.raduis_mm=1"), 2, "did you mean")
    checks.refused(s.call("run", "case.toml", "--set", "electrode.radius_mm"), 2)
    # omega eps / sigma = 2 pi 400e3 x 8.854e-12 x 80 / 1e-3 = 1.78: no conductor.
    insulator = ["--set", "tissue.gel.conductivity_S_m=0.001"]
    checks.refused(s.call("run", "case.toml", *insulator), 2, "cannot be taken as a conductor", "1.78")
    checks.refused(s.call("check", "case.toml", *insulator), 2, "cannot be taken as a conductor")
    (s.path / "broken.toml").write_text("[specimen\n", encoding="utf-8")
    checks.refused(s.call("run", "broken.toml"), 2, "broken.toml:1:")
    (s.path / "broken.toml").unlink()

    # Files.
    checks.refused(s.call("run", "case.toml", "--out", "absent/run.h5"), 4, "absent/run.h5.part", "No such file")
    checks.refused(s.call("run", "case.toml", "--out", "."), 4, "is a folder")
    checks.refused(s.call("run", "case.toml", "--out", "case.toml/run.h5"), 4, "Not a directory")
    checks.refused(s.call("run", "case.toml", "--out", "run.xdmf"), 4, "may not end in .xdmf")
    checks.that(s.names() == [], f"no failure leaves a file, but there are {s.names()}")

    # omega eps / sigma = 0.18 is worth a warning, also a quiet one.
    result = s.call("run", "case.toml", "--out", "-", "--quiet", "--set", "tissue.gel.conductivity_S_m=0.01", "--set",
                    "mode.*.source.peak_limit_V=3000")
    checks.that(result.returncode == 0 and result.stderr.startswith("warning: gel at 400 kHz") and result.stdout == "",
                "--quiet keeps warnings and prints nothing else", result)
    checks.that(result.stderr.count("\n") == 1, "--quiet prints nothing but the warning", result)

    result = s.call("check", "case.toml")
    checks.that(result.returncode == 0 and "cells" in result.stdout and "run time" in result.stdout, "check", result)
    checks.that(s.names() == [], f"check writes no file, but there are {s.names()}")

checks.finish()
