"""A progress line on standard error, only when that is a terminal."""

import sys
import time


class Progress:
    def __init__(self, what, total, quiet=False):
        self.what, self.total, self.count = what, total, 0
        self.started = time.monotonic()
        self.shown = sys.stderr.isatty() and not quiet

    def step(self):
        self.count += 1
        if not self.shown:
            return
        left = (time.monotonic() - self.started) / self.count * (self.total - self.count)
        full = int(30 * self.count / self.total)
        sys.stderr.write(
            f"\r{self.what} [{'#' * full}{'.' * (30 - full)}] {self.count}/{self.total}, {left:.0f} s left \x1b[K")
        sys.stderr.flush()

    def done(self):
        if self.shown:
            sys.stderr.write("\r\x1b[K")
