"""Putts to expect from a leave: a published table, linear between its rows."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

M_PER_FT = 0.3048


@dataclass(frozen=True)
class PuttingTable:
    """Expected putts by distance, with the source that stands beside every figure made of it.

    Attributes
    ----------
    feet, putts
        2 rows or more, feet rising, putts at least 1 and never falling.
    """

    source: str
    feet: tuple[float, ...]
    putts: tuple[float, ...]

    def __post_init__(self):
        if len(self.feet) != len(self.putts) or len(self.feet) < 2:
            raise ValueError("a putting table needs 2 rows or more, a distance and a number of putts in each")
        if not np.isfinite([*self.feet, *self.putts]).all() or self.feet[0] < 0 or not all(np.diff(self.feet) > 0):
            raise ValueError("the distances of a putting table must rise from row to row")
        if self.putts[0] < 1 or not all(np.diff(self.putts) >= 0):
            raise ValueError("putts must be 1 or more, and never fewer from farther away")

    def expected_putts(self, feet: float) -> float:
        """Putts to expect from so many feet; ValueError outside the table, which is not stretched."""
        if not self.feet[0] <= feet <= self.feet[-1]:
            raise ValueError(f"{feet:g} ft is outside the putting table, {self.feet[0]:g} to {self.feet[-1]:g} ft")
        return float(np.interp(feet, self.feet, self.putts))

    def putts_after(self, leave_m: np.ndarray) -> np.ndarray:
        """Putts to expect from each leave (m), any shape.

        A leave nearer than the first row counts as that row, one beyond the last row as the last: for sums over a
        scatter, where such leaves are rare.
        """
        return np.interp(leave_m / M_PER_FT, self.feet, self.putts)


def putting_table(source: str, rows: Sequence[tuple[float, float]]) -> PuttingTable:
    """A table from its (feet, putts) rows, in any order; ValueError says what is wrong with it."""
    feet, putts = zip(*sorted(rows), strict=True) if rows else ((), ())
    return PuttingTable(source, feet, putts)


# fmt: off
TOUR_PUTTS = putting_table(
    "M. Broadie, Every Shot Counts (2014): tour professionals",  # as three independent copies have it; book not seen
    [(2, 1.01), (3, 1.04), (4, 1.13), (5, 1.23), (6, 1.34), (7, 1.42), (8, 1.50), (9, 1.56), (10, 1.61), (15, 1.78),
     (20, 1.87), (30, 1.98), (40, 2.06), (50, 2.14), (60, 2.21), (90, 2.40)],
)
# fmt: on
