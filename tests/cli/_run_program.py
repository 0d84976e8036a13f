"""What the tests of the command run share: a case of a second's computing, and the program in a folder of its own."""
import os
import subprocess
import sys
import tempfile
from pathlib import Path

PROGRAM = os.environ["DRYFRONT_BINARY"]

# A coarse grid and a short activation; every number is our own.
CASE = """
title = "Two currents"
question = "Which reaches deeper?"
[specimen]
tissue = "gel"
radius_mm = 20
depth_mm = 20
[electrode]
shape = "disc"
radius_mm = 3
[[mode]]
name = "continuous"
activation_s = 2
waveform = { kind = "continuous", carrier_kHz = 400 }
source = { kind = "constant_power", setting_W = 20, peak_limit_V = 2000 }
[[mode]]
name = "interrupted"
activation_s = 2
waveform = { kind = "gated", carrier_kHz = 400, duty = 0.06, repeat_kHz = 24 }
source = { kind = "constant_power", setting_W = 20, peak_limit_V = 2000 }
[tissue.gel]
source = "made up for this test"
conductivity_S_m = 0.5
relative_permittivity = 80
density_kg_m3 = 1000
heat_J_kgK = 3600
conduction_W_mK = 0.5
water_fraction = 0.9
[[damage]]
name = "gel"
frequency_1_s = 7.39e39  # Mertyna et al. 2009
energy_J_mol = 2.577e5   # the same
floor_C = 43
source = "Mertyna et al. 2009"
[[probe]]
name = "below"
r_mm = 0
z_mm = 1
[grid]
fine_mm = 0.2
growth = 1.3
coarse_mm = 2
[output]
frames = 8
"""


class Scratch:
    """A folder with case.toml in it; gone when the block ends."""

    def __enter__(self):
        self._folder = tempfile.TemporaryDirectory(prefix="dryfront_cli_")
        self.path = Path(self._folder.name)
        (self.path / "case.toml").write_text(CASE, encoding="utf-8")
        return self

    def __exit__(self, *unused):
        self._folder.cleanup()

    def call(self, *arguments, **options):
        """The finished program: returncode, stdout, stderr."""
        return subprocess.run([PROGRAM, *map(str, arguments)], cwd=self.path, capture_output=True, text=True,
                              timeout=300, check=False, **options)

    def start(self, *arguments):
        """The running program."""
        return subprocess.Popen([PROGRAM, *map(str, arguments)], cwd=self.path, stdout=subprocess.PIPE,
                                stderr=subprocess.PIPE, text=True)

    def names(self):
        """What lies in the folder beside the case."""
        return sorted(entry.name for entry in self.path.iterdir() if entry.name != "case.toml")


class Checks:
    """Counts what is wrong and goes on."""

    def __init__(self):
        self.wrong = 0

    def that(self, holds, what, result=None):
        if holds:
            return
        self.wrong += 1
        print(f"WRONG: {what}")
        if result is not None:
            print(
                f"  exit code {result.returncode}\n  stdout: {result.stdout[:400]!r}\n  stderr: {result.stderr[:800]!r}"
            )

    def refused(self, result, code, *texts):
        """The exit code, a message that holds every text, nothing on standard output."""
        self.that(result.returncode == code, f"exit code {code} was expected", result)
        for text in texts:
            self.that(text in result.stderr, f"the message should hold {text!r}", result)
        self.that(result.stdout == "", "standard output should be empty", result)

    def finish(self):
        print(f"{self.wrong} wrong")
        sys.exit(1 if self.wrong else 0)
