"""Every case of cases/verification runs, shortened, and closes its balances. Those of tests/peer, whose problem the
peers solve, state every switch of the physics, so that no new default changes them."""
import json
import os
import re
import subprocess
import tomllib
from pathlib import Path

cases = sorted((Path(os.environ["DRYFRONT_SOURCE_DIR"]) / "cases/verification").glob("*.toml"))
assert len(cases) >= 10, cases
for case in cases:
    done = subprocess.run([
        os.environ["DRYFRONT_BINARY"], "run", case, "--out", "-", "--json", "--quiet", "--set",
        "mode.*.activation_s=0.5", "--set", "grid.fine_mm=0.3", "--set", "grid.growth=1.3", "--set", "output.frames=1"
    ],
                          stdout=subprocess.PIPE,
                          stderr=subprocess.PIPE,
                          text=True)
    assert done.returncode == 0, f"{case}: {done.stderr}"
    for mode in json.loads(done.stdout)["modes"]:
        assert mode["completed"], case
        # Relative to the greatest term: where heat comes from hot water, that is not what the current put in.
        terms = mode["ledger"]["terms"]
        brought = terms["electric_in_J"] + terms["metabolic_in_J"]
        kept = sum(terms[name] for name in ("stored_J", "latent_J", "steam_out_J", "perfusion_out_J", "surface_out_J",
                                            "electrode_out_J", "far_out_J", "spark_out_J", "pressed_heat_out_J"))
        greatest = max(abs(value) for name, value in terms.items() if name.endswith("_J"))
        assert abs(brought - kept) < 1e-6 * greatest, (case, terms)
        assert mode["ledger"]["water"] < 1e-6, (case, mode["ledger"])

binary = os.environ["DRYFRONT_BINARY"]
keys = subprocess.run([binary, "keys", "--markdown"], stdout=subprocess.PIPE, text=True, check=True)
physics = keys.stdout.split("## `[physics]`")[1].split("\n## ")[0]
switches = set(re.findall(r"^\| `(\w+)` .* \| true, false \|", physics, re.MULTILINE))
assert len(switches) >= 11, switches
peers = sorted((Path(os.environ["DRYFRONT_SOURCE_DIR"]) / "tests/peer").glob("*.toml"))
assert len(peers) >= 3, peers
for case in peers:
    left_open = switches - set(tomllib.loads(case.read_text(encoding="utf-8"))["physics"])
    assert not left_open, (case, left_open)
