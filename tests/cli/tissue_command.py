#!/usr/bin/env python3
"""dryfront tissue: the published values at 500 kHz (Gabriel, Lau and Gabriel 1996, second-hand), refusals in words."""
import json

from _run_program import Checks, Scratch

checks = Checks()
with Scratch() as s:
    result = s.call("tissue", "--at", "500", "--json")
    rows = {row["name"]: row for row in json.loads(result.stdout)["tissues"]}
    checks.that(len(rows) == 8, "eight tissues", result)
    checks.that(abs(rows["liver"]["conductivity_S_m"] - 0.1481) < 5e-5, "the conductivity of liver", result)
    checks.that(round(rows["skin_wet"]["relative_permittivity"]) == 3610, "the permittivity of wet skin", result)
    result = s.call("tissue", "muscle", "--at", "500")
    checks.that(result.returncode == 0 and "0.4459" in result.stdout and "3647" in result.stdout, "the table", result)
    checks.that("not for choosing settings on a patient" in result.stdout and "Gabriel" in result.stdout,
                "source and caution", result)
    checks.refused(s.call("tissue", "livr"), 2, "given: livr", "did you mean 'liver'?")
    for wrong in ("0", "-5", "nan", "1e9", "0.001"):
        checks.refused(s.call("tissue", "liver", "--at", wrong), 2, "--at", "0.01 to 2e+07 [kHz]")
    checks.that(s.call("tissue", "liver", "--at", "high").returncode == 1, "no number")
checks.finish()
