#!/usr/bin/env python3
"""A sweep as a job array under a real slurmctld and slurmd of our own, a task and then its node's daemon killed on the
way: the merged table is that of a single process, bit for bit. Needs root and Debian's slurm-wlm and munge."""
import getpass
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

sys.path.insert(0, os.path.join(os.environ["DRYFRONT_SOURCE_DIR"], "tests", "cli"))
from _run_program import PROGRAM, Checks  # noqa: E402
from _sweep import PLAN, SweepScratch, skip  # noqa: E402

SHARDS = 4
SCRIPTS = Path(os.environ["DRYFRONT_SOURCE_DIR"]) / "scripts"
checks = Checks()

CONFIGURATION = """
ClusterName=ours
SlurmctldHost={host}(127.0.0.1)
SlurmctldPort={controller}
SlurmdPort={daemon}
AuthType=auth/munge
AuthInfo=socket={folder}/munge.socket
CryptoType=crypto/munge
SlurmUser=root
SlurmdUser=root
StateSaveLocation={folder}/state
SlurmdSpoolDir={folder}/spool
SlurmctldPidFile={folder}/slurmctld.pid
SlurmdPidFile={folder}/slurmd.pid
SlurmctldLogFile={folder}/slurmctld.log
SlurmdLogFile={folder}/slurmd.log
ProctrackType=proctrack/pgid
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
SchedulerParameters=sched_interval=1,batch_sched_delay=1
MaxArraySize=100001
ReturnToService=2
SlurmdTimeout=10
MpiDefault=none
SwitchType=switch/none
NodeName={host} NodeAddr=127.0.0.1 CPUs=2 State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES MaxTime=INFINITE State=UP
"""


def free_ports(count):
    sockets = [socket.socket() for _ in range(count)]
    for one in sockets:
        one.bind(("127.0.0.1", 0))
    ports = [one.getsockname()[1] for one in sockets]
    for one in sockets:
        one.close()
    return ports


def wait_for(condition, what, limit_s=90):
    start = time.monotonic()
    while time.monotonic() - start < limit_s:
        if condition():
            return True
        time.sleep(0.2)
    checks.that(False, f"waited {limit_s} s for {what}")
    return False


class Cluster:
    """One controller, one node, one key, all of our own; gone when the block ends."""

    def __init__(self, folder):
        self.folder = folder
        self.processes = {}

    def __enter__(self):
        self.folder.mkdir()
        shutil.chown(self.folder, "munge", "munge")
        self.folder.chmod(0o755)
        key = self.folder / "key"
        key.write_bytes(os.urandom(1024))
        shutil.chown(key, "munge", "munge")
        key.chmod(0o400)
        controller, daemon = free_ports(2)
        configuration = self.folder / "slurm.conf"
        configuration.write_text(CONFIGURATION.format(host=socket.gethostname().split(".")[0], controller=controller,
                                                      daemon=daemon, folder=self.folder), encoding="utf-8")
        for name in ("state", "spool"):
            (self.folder / name).mkdir()
        self.environment = {**os.environ, "SLURM_CONF": str(configuration), "DRYFRONT": PROGRAM}
        self.start("munged", ["runuser", "-u", "munge", "--", "/usr/sbin/munged", "--foreground", "--force",
                              f"--key-file={key}", f"--socket={self.folder}/munge.socket",
                              f"--pid-file={self.folder}/munged.pid", f"--log-file={self.folder}/munged.log",
                              f"--seed-file={self.folder}/munged.seed"])
        wait_for((self.folder / "munge.socket").exists, "munged")
        self.start("slurmctld", ["/usr/sbin/slurmctld", "-D", "-i"])
        self.start_node()
        wait_for(lambda: "idle" in self.ask("sinfo", "--noheader", "--format=%t"), "the node to come up")
        return self

    def __exit__(self, *unused):
        for name in ("slurmd", "slurmctld", "munged"):
            process = self.processes.get(name)
            if process is not None and process.poll() is None:
                process.terminate()
                process.wait(timeout=30)

    def start(self, name, command):
        with open(self.folder.parent / f"{name}.out", "ab") as out:
            self.processes[name] = subprocess.Popen(command, env=self.environment, stdout=out, stderr=out)

    def start_node(self):
        self.start("slurmd", ["/usr/sbin/slurmd", "-D", "-N", socket.gethostname().split(".")[0]])

    def kill_node(self):
        process = self.processes["slurmd"]
        process.kill()
        process.wait(timeout=30)

    def ask(self, *command):
        return subprocess.run(command, env=self.environment, capture_output=True, text=True, check=False,
                              cwd=self.folder.parent).stdout

    def jobs(self):
        return self.ask("squeue", "--noheader", "--array", "--format=%i %j %t %r").splitlines()


def children_of(folder):
    """The sweep's processes of this cluster: this program with its folder among the arguments."""
    found = []
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        try:
            arguments = (entry / "cmdline").read_bytes().split(b"\0")
        except OSError:
            continue
        if arguments[0] == PROGRAM.encode() and str(folder).encode() in arguments:
            found.append(int(entry.name))
    return found


def parent_of(process):
    return int(Path(f"/proc/{process}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()[1])


def is_keeper(process):
    return Path(f"/proc/{process}/cmdline").read_bytes().startswith(b"slurmstepd")


if os.geteuid() != 0 or not all(shutil.which(name, path="/usr/sbin:/usr/bin")
                                for name in ("slurmctld", "slurmd", "munged", "sbatch")):
    skip(f"needs root (here: {getpass.getuser()}) and slurmctld, slurmd, munged, sbatch")

# Longer runs than the other tests of sweeps have, so that there is something to kill.
SLOWER = PLAN.replace("grid.fine_mm = 0.3", "grid.fine_mm = 0.15").replace("grid.growth = 1.4", "grid.growth = 1.15")
with SweepScratch(SLOWER) as s:
    alone = s.sweep("--quiet", out="alone")
    checks.that(alone.returncode == 0, "the sweep of one process", alone)
    s.path.chmod(0o755)
    out = s.path / "spread"
    start = time.monotonic()
    with Cluster(s.path / "cluster") as cluster:
        submitted = subprocess.run([SCRIPTS / "slurm-submit", s.path / "plan.toml", out, str(SHARDS)], check=False,
                                   env=cluster.environment, cwd=s.path, capture_output=True, text=True)
        checks.that(submitted.returncode == 0, "submitting", submitted)
        print(submitted.stdout.strip())

        def rows():
            return sum(file.stat().st_size // 1000 for file in out.glob("*.journal"))

        # The node's daemon and the task under it die, as when a machine loses power.
        if wait_for(lambda: rows() > 20 and children_of(out), "the first rows"):
            cluster.kill_node()
            victims = children_of(out)
            # Their keepers first, which would report them as failed; each keeps one task of this cluster.
            keepers = [parent_of(victim) for victim in victims]
            for process in [keeper for keeper in keepers if is_keeper(keeper)] + victims:
                os.kill(process, signal.SIGKILL)
            print(f"killed slurmd and {len(victims)} tasks at about {rows()} rows")
            cluster.start_node()
        # Slurm holds a requeued task back for a while; it is told to begin at once, as an operator would.
        def settled():
            jobs = cluster.jobs()
            for job in jobs:
                if "BeginTime" in job:
                    cluster.ask("scontrol", "update", f"JobId={job.split()[0]}", "StartTime=now")
            return not any("dryfront-sweep" in job for job in jobs)
        wait_for(settled, "the array to end", 300)
        wait_for(lambda: not cluster.jobs() or (out / "analysis.json").exists(), "the merge", 60)
        if not (out / "analysis.json").exists():
            # A task that died without being requeued fails the merge's dependency: the whole array again.
            print("submitted once more: ", cluster.jobs())
            cluster.ask("scancel", "--name=dryfront-merge")
            subprocess.run([SCRIPTS / "slurm-submit", s.path / "plan.toml", out, str(SHARDS)], check=True,
                           env=cluster.environment, cwd=s.path, capture_output=True)
            wait_for((out / "analysis.json").exists, "the merge", 120)
        time.sleep(0.5)
        seconds = time.monotonic() - start
        if (out / "analysis.json").exists():
            checks.that(s.table("spread") == s.table("alone"), "the cluster's table is that of one process")
            total, torn = s.journal_rows("spread")
            alone_rows, _ = s.journal_rows("alone")
            checks.that((total, torn) == (alone_rows, False), f"no run was repeated: {total} of {alone_rows}")
        else:
            for log in ("slurmctld.log", "slurmd.log"):
                print((s.path / "cluster" / log).read_text(encoding="utf-8")[-3000:])
            for log in s.path.glob("slurm-*.out"):
                print(log.name, log.read_text(encoding="utf-8")[-500:])
        checks.that(len(list(out.glob("*.journal"))) == SHARDS, "a journal per shard")
        print(f"{SHARDS} shards on a cluster of one node with a kill: {seconds:.0f} s")

checks.finish()
