#!/usr/bin/env python3
"""What the dearest of many random legal cases costs, against the median: the step control has to stay bounded.

    DRYFRONT=build/release/dryfront /usr/bin/python3 tests/benchmark/random_cases.py [--cases 1000] [--seed 1]

Every case is drawn over the legal values of shape, face, contact, electrode heat, waveform, source, tissue and
switches, and run at sweep resolution, one thread each, two at a time. Cost: CPU seconds per simulated second and cell.
Prints the quantiles of the cost over its median, the cases past 20 times the median and those that failed, and exits
with 1 when there is one of either. A case that takes more than ten minutes is stopped and counts as failed.
"""

import argparse
import concurrent.futures
import json
import math
import os
import pathlib
import random
import resource
import subprocess
import sys
import tempfile

PROGRAM = os.environ.get("DRYFRONT", "dryfront")
ALLOWED = 20  # times the median
LONGEST = 600  # [s] of CPU time
TISSUES = sorted(path.stem for path in
                 (pathlib.Path(__file__).resolve().parent.parent.parent / "cases" / "tissue").glob("*.toml"))


def between(chance, low, high):
    """Even in the logarithm, four digits."""
    return float(f"{math.exp(chance.uniform(math.log(low), math.log(high))):.4g}")


def switches():
    """The switches of [physics] that are on unless switched off, from the program's own table of keys."""
    keys = subprocess.run([PROGRAM, "keys"], stdout=subprocess.PIPE, text=True, check=True).stdout
    rows = [line.split() for line in keys.split("[physics]")[1].split("\n[")[0].splitlines()]
    return [row[0] for row in rows if row[2:5] == ["true", "true,", "false"]]


def random_case(chance, switched):
    """A legal case as TOML."""
    shape = chance.choice(("disc", "disc", "disc", "ring", "dome", "rod"))
    radius = between(chance, 1, 8)
    size = {"disc": "", "ring": f"inner_radius_mm = {0.5 * radius:.4g}", "dome": f"press_mm = {0.3 * radius:.4g}",
            "rod": f"length_mm = {between(chance, 1, 6)}"}[shape]
    contact = chance.choice(("spots", "spots", "spots", "conductance", "perfect", "gap"))
    touch = {"spots": f"contact_fraction = {between(chance, 0.1, 1)}\nspot_pitch_mm = {between(chance, 0.05, 1)}",
             "conductance": f"contact_S_m2 = {between(chance, 30, 3e4)}", "perfect": "",
             "gap": f"gap_mm = {between(chance, 0.01, 0.3)}"}[contact]
    wave = chance.choice(('kind = "continuous"', f'kind = "gated", duty = {between(chance, 0.02, 0.9)}',
                          f'kind = "damped", decay_us = {between(chance, 1, 20)}'))
    setting = f"setting_W = {between(chance, 3, 150)}"
    limit = chance.choice(("", f", peak_limit_V = {between(chance, 120, 8000)}"))
    source = chance.choice((f'kind = "constant_power", {setting}{limit}',
                            f'kind = "unregulated", {setting}, rated_load_ohm = {between(chance, 50, 1000)}{limit}',
                            f'kind = "voltage", rms_V = {between(chance, 10, 150)}'))
    off = "\n".join(f"{switch} = false" for switch in switched if chance.random() < 0.15)
    return f"""
[specimen]
tissue = "{chance.choice(TISSUES)}"
start_C = {chance.choice((10, 22, 37))}
[electrode]
shape = "{shape}"
radius_mm = {radius}
{size}
contact = "{contact}"
{touch}
heat = "{chance.choice(("lumped", "lumped", "insulated", "held", "film"))}"
[[mode]]
name = "one"
activation_s = {between(chance, 1, 30)}
after_s = {chance.choice((0, 0, 5))}
waveform = {{ {wave} }}
source = {{ {source} }}
[physics]
{off}
[grid]
fine_mm = 0.05
growth = 1.12
[time]
tolerance = 4
[output]
frames = 1
"""


def limit_time():
    resource.setrlimit(resource.RLIMIT_CPU, (LONGEST, LONGEST))


def cost_of(number, seed, folder, switched):
    """CPU seconds per simulated second and cell of one case, or why there are none; and the case."""
    text = random_case(random.Random(1_000_003 * seed + number), switched)
    case, result = folder / f"{number}.toml", folder / f"{number}.json"
    case.write_text(text, encoding="utf-8")
    with open(result, "w", encoding="utf-8") as out, open(folder / f"{number}.log", "w+", encoding="utf-8") as log:
        process = subprocess.Popen(
            [PROGRAM, "run", str(case), "--out", "-", "--json", "--quiet", "--threads", "1"], stdout=out, stderr=log,
            preexec_fn=limit_time)
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        log.seek(0)
        said = [line for line in log.read().splitlines() if not line.startswith("warning")]
    if process.returncode != 0:
        return math.nan, f"exit code {process.returncode}: {' '.join(said)[:200]}", text
    summary = json.loads(result.read_text(encoding="utf-8"))
    result.unlink()
    times = [line.split("=")[1] for line in text.splitlines() if line.startswith(("activation_s", "after_s"))]
    cpu = used.ru_utime + used.ru_stime
    what = f"{cpu:.2f} CPU s, {summary['modes'][0]['steps']} steps"
    return cpu / sum(map(float, times)) / summary["cells"], what, text


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch, concurrent.futures.ThreadPoolExecutor(2) as pool:
        switched = switches()
        found = list(pool.map(lambda k: cost_of(k, given.seed, pathlib.Path(scratch), switched), range(given.cases)))
    costs = sorted(cost for cost, _, _ in found if not math.isnan(cost))
    if not costs:
        sys.exit("no case ran: " + found[0][1])
    median = costs[len(costs) // 2]
    dear = [one for one in found if one[0] > ALLOWED * median]
    failed = [one for one in found if math.isnan(one[0])]
    print(f"{given.cases} random cases, seed {given.seed}: median {1e6 * median:.2f} CPU us per simulated second and "
          "cell")
    print("\n| share of the cases | cost over the median at most |\n|---|---|")
    for share in (0.05, 0.25, 0.75, 0.95, 0.99, 1):
        print(f"| {100 * share:g} % | {costs[min(len(costs) - 1, int(share * len(costs)))] / median:.2f} |")
    print(f"\n{len(dear)} past {ALLOWED} times the median, {len(failed)} failed")
    for cost, what, text in dear + failed:
        print(f"\n{cost / median:.1f} times the median: {what}\n{text}")
    return 1 if dear or failed else 0


if __name__ == "__main__":
    sys.exit(main())
