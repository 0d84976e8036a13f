#!/usr/bin/env python3
"""Every case file of the tree runs, short and on a coarse grid, closes its balances and names its modes."""
import json
import os
import subprocess
import sys
from pathlib import Path

PROGRAM = os.environ["DRYFRONT_BINARY"]
TREE = Path(os.environ["DRYFRONT_SOURCE_DIR"])
SHORT = ["mode.*.activation_s=0.3", "mode.*.after_s=0.1", "grid.fine_mm=0.2", "grid.growth=1.3", "grid.coarse_mm=4"]

wrong = 0
cases = [path for path in sorted((TREE / "cases").rglob("*.toml"))
         if {"[[mode]]", "[specimen]"} <= set(path.read_text(encoding="utf-8").split())]  # plans and the tissue library
# have no modes, what is about the bench beside the tissue no specimen
for path in cases:
    command = [PROGRAM, "run", str(path), "--out", "-", "--json", "--quiet"]
    for setting in SHORT:
        command += ["--set", setting]
    result = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    faults = []
    if result.returncode != 0:
        faults.append(f"exit code {result.returncode}: {result.stderr.strip()[-500:]}")
    else:
        for mode in json.loads(result.stdout)["modes"]:
            ledger = mode["ledger"]
            if not mode["completed"]:
                faults.append(f"{mode['name']}: not completed")
            if not (ledger["electric"] <= 1e-6 and ledger["energy"] <= 1e-4 and ledger["water"] <= 1e-4):
                faults.append(f"{mode['name']}: {ledger}")
            if mode["delivered_J"] <= 0:
                faults.append(f"{mode['name']}: nothing delivered")
    wrong += len(faults)
    print(f"{path.relative_to(TREE)}: {'; '.join(faults) or 'ok'}")
if not cases:
    print("no cases found")
    wrong += 1
print(f"{len(cases)} cases, {wrong} faults")
sys.exit(1 if wrong else 0)
