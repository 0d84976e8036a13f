"""A run file with one changed byte: page and figures draw it, or say that it is damaged, with its name and exit code 4.

    python3 damaged_files.py [FILES [SEED]]

A byte of a temperature does no harm that could be seen; nothing else may happen: no traceback, no signal, no half file.
"""
import os
import random
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

PROGRAM = os.environ["DRYFRONT_BINARY"]
FILES = int(sys.argv[1]) if len(sys.argv) > 1 else 16
SEED = int(sys.argv[2]) if len(sys.argv) > 2 else 1
QUICK = ["--set", "grid.fine_mm=0.3", "--set", "grid.growth=1.4", "--set", "mode.*.activation_s=0.5", "--set",
         "output.frames=3"]


def fault(place, whole, number):
    """What is wrong with how the program takes file `number`; empty when nothing is."""
    draw = random.Random(f"{SEED} {number}")
    at = draw.randrange(len(whole))
    damaged = bytearray(whole)
    damaged[at] ^= draw.randrange(1, 256)
    path = place / f"damaged_{number}.h5"
    path.write_bytes(damaged)
    out = place / f"out_{number}"
    if number % 4 == 0:
        command = [PROGRAM, "figures", path.name, "--out", out.name, "--quiet"]
    else:
        command = [PROGRAM, "page", path.name, "--out", out.name, "--quiet"]
    result = subprocess.run(command, cwd=place, capture_output=True, text=True, errors="replace", check=False,
                            timeout=300)
    fine = result.returncode == 0 or (result.returncode == 4 and path.name in result.stderr
                                      and "Traceback" not in result.stderr)
    if any(name.suffix == ".part" for name in place.glob(f"out_{number}*")):
        fine = False
    if fine and result.returncode == 4 and number % 4 and out.exists():
        fine = False
    path.unlink()
    return "" if fine else f"byte {at}: exit code {result.returncode}: {result.stderr[-400:]}"


with tempfile.TemporaryDirectory() as folder:
    place = Path(folder)
    subprocess.run([PROGRAM, "new"], cwd=place, check=True, capture_output=True)
    subprocess.run([PROGRAM, "run", "comparison.toml", "--out", "run.h5", "--quiet", *QUICK], cwd=place, check=True,
                   capture_output=True)
    whole = (place / "run.h5").read_bytes()
    with ThreadPoolExecutor(2) as pool:
        faults = [text for text in pool.map(lambda number: fault(place, whole, number), range(FILES)) if text]
for text in faults:
    print("WRONG:", text)
print(f"{FILES} files of {len(whole)} bytes, seed {SEED}: {len(faults)} wrong")
sys.exit(1 if faults else 0)
