"""One rule for what a comparison with a published number shows; stated in docs/experiments.md, applied here alone."""
import math
from dataclasses import dataclass

SPREAD = "within the stated spread"
FACTOR = "within a factor of 1.5"
ORDER = "ordering only"
MISSED = "missed"
VERDICTS = (SPREAD, FACTOR, ORDER, MISSED)
NOT_RUN = "not run"


@dataclass
class Row:
    """One published number or statement and where its computed counterpart is found."""

    key: str  # of the computed number; None there: it did not happen within the time watched
    words: str
    published: str
    value: float = None  # the published number; None for a statement and for a bare spread
    spread: tuple = None  # least and greatest that the source states
    base: float = 0.0  # from which the factor counts: of temperatures, the rise above the start
    series: str = ""  # rows of one series: their published order is the order looked for
    never: bool = False  # "did not happen within the time watched" lies in the spread
    other_set_up: bool = False  # the model's set-up is another one: no more than the order is compared
    form: str = "{:.2f}"
    absent: str = "-"

    def shown(self, computed):
        """The computed number as the table has it."""
        if isinstance(computed, bool):
            return "yes" if computed else "no"
        if computed is None:
            return self.absent
        return computed if isinstance(computed, str) else self.form.format(computed)


def published_of(row):
    """The published number that orders a series: the middle of a spread where there is no other."""
    if row.value is not None:
        return row.value
    return row.spread[0] if math.isinf(row.spread[1]) else sum(row.spread) / 2


def in_order(rows, computed):
    """Whether the computed numbers of a series stand in the published order, ties being none. What did not happen
    within the time watched comes after everything."""
    pairs = sorted((published_of(row), math.inf if computed[row.key] is None else computed[row.key]) for row in rows)
    return len(rows) > 1 and all(a[1] < b[1] for a, b in zip(pairs, pairs[1:]) if a[0] < b[0])


def verdict(row, rows, computed):
    """Of one row among all rows of its experiment; `computed`: number, statement (bool) or None by the row's key."""
    value = computed[row.key]
    if isinstance(value, bool):
        return ORDER if value else MISSED
    if not row.other_set_up:
        if row.spread and (row.never if value is None else row.spread[0] <= value <= row.spread[1]):
            return SPREAD
        if row.value is not None and value is not None:
            ratio = (value - row.base) / (row.value - row.base)
            if 1 / 1.5 <= ratio <= 1.5:
                return FACTOR
    series = [other for other in rows if row.series and other.series == row.series]
    return ORDER if in_order(series, computed) else MISSED
