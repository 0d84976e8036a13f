#!/usr/bin/env python3
"""How merging scales: synthetic journals of a plan with as many points as asked for, merged by the program.

    DRYFRONT=build/release/dryfront /usr/bin/python3 tests/benchmark/sweep_merge.py [--rows 10000,1000000] [--shards 50]

Rows lie in the journals in a disturbed order, as several threads leave them. Prints rows, seconds, rows per second,
greatest memory of the process and the sizes of journals and table. The program's share of the time is its CPU seconds.
"""

import argparse
import os
import pathlib
import struct
import subprocess
import sys
import tempfile
import time
import zlib

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "cli"))
os.environ.setdefault("DRYFRONT_BINARY", os.environ.get("DRYFRONT", "dryfront"))
from _run_program import CASE  # noqa: E402

PLAN = """
title = "Synthetic"
case = "case.toml"
[axis.setting]
key = "mode.*.source.setting_W"
distribution = "uniform"
low = 5
high = 40
[axis.contact]
key = "electrode.contact_fraction"
distribution = "uniform"
low = 0.1
high = 1
[[design]]
name = "spread"
kind = "latin_hypercube"
points = {points}
"""


def make_folder(folder, points, shards):
    """A started sweep whose journals then hold a made-up row for every point."""
    (folder / "case.toml").write_text(CASE, encoding="utf-8")
    (folder / "plan.toml").write_text(PLAN.format(points=points), encoding="utf-8")
    first = folder / "out" / f"rows-00001-of-{shards:05}.journal"
    with subprocess.Popen(
        [os.environ["DRYFRONT_BINARY"], "sweep", "plan.toml", "--out", "out", "--shard", f"1/{shards}", "--quiet"],
            cwd=folder) as program:
        while not (first.exists() and first.stat().st_size >= 40):
            time.sleep(0.01)
        program.kill()
    head = bytearray(first.read_bytes()[:40])
    columns = struct.unpack_from("<I", head, 12)[0]
    record = np.dtype([("crc", "<u4"), ("status", "<u4"), ("point", "<u8"), ("wall", "<f8"), ("reason", "S200"),
                       ("values", "<f8", (columns,))])
    chance = np.random.default_rng(1)
    for number in range(1, shards + 1):
        struct.pack_into("<I", head, 24, number)
        struct.pack_into("<I", head, 32, zlib.crc32(bytes(head[:32])))
        with open(folder / "out" / f"rows-{number:05}-of-{shards:05}.journal", "wb") as journal:
            journal.write(head)
            # The points of a shard are dealt out by a mixing of their groups; what matters here is that each has one
            # row, so each shard gets every shards-th point.
            own = np.arange(number - 1, points, shards, dtype=np.uint64)
            for start in range(0, len(own), 4096):
                block = np.zeros(len(own[start:start + 4096]), dtype=record)
                block["point"] = chance.permutation(own[start:start + 4096])
                block["wall"] = 0.5
                block["values"] = chance.random((len(block), columns))
                for k in range(len(block)):
                    block["crc"][k] = zlib.crc32(block[k].tobytes()[4:])
                journal.write(block.tobytes())
    return columns


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--rows", default="10000,100000")
    parser.add_argument("--shards", type=int, default=50)
    arguments = parser.parse_args()
    print("| rows | columns | journals MB | table MB | csv MB | CPU s | wall s | rows per CPU s | memory MB |")
    print("|---|---|---|---|---|---|---|---|---|")
    for points in (int(text) for text in arguments.rows.split(",")):
        with tempfile.TemporaryDirectory(prefix="dryfront_merge_") as name:
            folder = pathlib.Path(name)
            columns = make_folder(folder, points, arguments.shards)
            journals = sum(file.stat().st_size for file in (folder / "out").glob("*.journal")) / 1e6
            start = time.monotonic()
            with subprocess.Popen([os.environ["DRYFRONT_BINARY"], "merge", "out", "--quiet"], cwd=folder) as merge:
                _, status, used = os.wait4(merge.pid, 0)
                merge.returncode = os.waitstatus_to_exitcode(status)
            wall = time.monotonic() - start
            if merge.returncode != 0:
                sys.exit(f"merge ended with {merge.returncode}")
            cpu = used.ru_utime + used.ru_stime
            sizes = [(folder / "out" / file).stat().st_size / 1e6 for file in ("table.h5", "table.csv")]
            print(
                f"| {points} | {columns} | {journals:.0f} | {sizes[0]:.0f} | {sizes[1]:.0f} | {cpu:.1f} | {wall:.1f} | "
                f"{points / cpu:.0f} | {used.ru_maxrss / 1e3:.0f} |",
                flush=True)


main()
