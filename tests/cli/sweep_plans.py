#!/usr/bin/env python3
"""Every plan of cases/sweeps is accepted and computes a few of its points without a failure.

Each plan starts as one shard of many, so that a handful of runs comes out; the shards that are missing are told of.
"""
import os
import re
from pathlib import Path

from _run_program import Checks, Scratch

SHARDS = {
    "rule_of_thumb": 224,
    "same_source": 70,
    "contact": 108,
    "activation": 120,
    "assumed_parameters": 6680,
    "soft_coagulation": 1920
}
checks = Checks()
folder = Path(os.environ["DRYFRONT_SOURCE_DIR"]) / "cases" / "sweeps"
plans = {path.stem: path for path in sorted(folder.glob("*.toml")) if not path.stem.endswith("_case")}
checks.that(set(plans) == set(SHARDS), f"the plans: {sorted(plans)}")

with Scratch() as s:
    for name, path in plans.items():
        shards = SHARDS[name]
        result = s.call("sweep", str(path), "--out", name, "--shard", f"{shards}/{shards}", "--threads", "1")
        checks.that(result.returncode == 0, f"{name} runs", result)
        done = re.search(r"(\d+) of (\d+) runs done, .* 0 failed", result.stderr + result.stdout)
        checks.that(done is not None and 1 <= int(done[2]) <= 3 and done[1] == done[2],
                    f"{name}: {shards} shards, a few runs each", result)

checks.finish()
