"""Two things timed in turns, and how many times as long ours takes."""

from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from time import perf_counter, process_time
from typing import ClassVar

Go = Callable[[], float]
"""Does something once and returns the seconds it took."""


@dataclass(frozen=True)
class Ratio:
    """What both sides took; `goal` is the largest ratio wanted, None where there is none."""

    HEADING: ClassVar[str] = f"{'ours : the bare thing':72}  {'ratio':>6}  {'goal':>5}  {'ours':>9}  {'bare':>9}"

    what: str
    ours: float
    bare: float
    goal: float | None
    unit: str = "ms"

    @property
    def ratio(self) -> float:
        return self.ours / self.bare

    def as_line(self) -> str:
        """Return one line of the table under HEADING."""
        goal = "-" if self.goal is None else f"{self.goal:g}"
        missed = "  missed" if self.goal is not None and self.ratio > self.goal else ""
        figures = f"{self.ratio:6.2f}  {goal:>5}  {self.ours:9.3f}  {self.bare:9.3f} {self.unit}"
        return f"{self.what:72}  {figures}{missed}"


def timed(action: Callable[[], object], clock: Callable[[], float] = perf_counter) -> Go:
    """Return a go that does the action and reads the clock before and after."""

    def go() -> float:
        start = clock()
        action()
        return clock() - start

    return go


def computed(action: Callable[[], object]) -> Go:
    """Return a go that counts processor time: for what only computes, so that waiting for a core does not count."""
    return timed(action, process_time)


def side_by_side(what: str, ours: Go, bare: Go, *, goal: float | None, rounds: int, warm_up: int = 1) -> Ratio:
    """Do both in turns, ours first, so that whatever else the machine does falls on both alike; compare the medians."""
    for _ in range(warm_up):
        ours(), bare()
    pairs = [(ours(), bare()) for _ in range(rounds)]
    ours_ms, bare_ms = (1000 * median(seconds) for seconds in zip(*pairs, strict=True))
    return Ratio(what, ours_ms, bare_ms, goal)
