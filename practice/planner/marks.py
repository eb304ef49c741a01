"""Pass marks: how many balls of a block should land near enough."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

MARK = ("pass_made", "pass_of", "pass_within_pct")
"""The fields of a block that hold its mark, in the order of PassMark."""


@dataclass(frozen=True)
class PassMark:
    """`made` balls out of `of` that miss by at most `within_pct` % of the distance to their target.

    Without `within_pct` whatever the block's own score counts: balls made, clean strikes, smooth swings.
    """

    made: int
    of: int
    within_pct: int | None = None

    @property
    def within(self) -> str:
        return f" within {self.within_pct} %" if self.within_pct else ""

    def __str__(self):
        return f"{self.made} of {self.of}{self.within}"

    def scaled(self, factor: float) -> "PassMark":
        """Return the mark for so many times the balls: nearly the same share of them, and one at least."""
        of = max(1, round(self.of * factor))
        return replace(self, made=max(1, round(self.made * of / self.of)), of=of)

    def within_reach(self, balls: int) -> "PassMark | None":
        """Return the mark where no more than so many balls are judged: smaller if it asks more; none of no ball."""
        if not balls:
            return None
        return self if self.of <= balls else self.scaled(balls / self.of)

    def result(self, misses: Sequence[float]) -> "MarkResult":
        """Judge balls by their misses, each as a share of the distance to its target; infinite for a mishit."""
        # a billionth keeps "within" inclusive: 4.4 of 44 is ten percent
        made = sum(miss <= self.within_pct / 100 + 1e-9 for miss in misses)
        return MarkResult(self, made, len(misses))


@dataclass(frozen=True)
class MarkResult:
    """How many of the balls judged so far were near enough."""

    mark: PassMark
    made: int
    balls: int

    @property
    def passed(self) -> bool | None:
        """Whether the share made is that of the mark or better; None with fewer balls than the mark asks."""
        if self.balls < self.mark.of:
            return None
        return self.made * self.mark.of >= self.mark.made * self.balls

    def __str__(self):
        told = {None: "not enough balls yet", True: "passed", False: "missed"}[self.passed]
        return f"{self.made} of {self.balls}{self.mark.within}: {told}"
