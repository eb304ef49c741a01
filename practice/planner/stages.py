"""Where a player stands: the earliest of five stages that is not passed yet, and the work that what is wrong asks for.

Pure. The stages build on each other: a carry that is tested with an unchecked loft is worth little, and so is a scatter
at targets while one ball in five is mishit. What decides is the figure against the coach's value; whether its 95 %
interval lies on the same side is said beside it. Too few balls are no verdict: they ask for a test (common practice,
no source, as are the values).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from practice.planner.generator import NEAR_M, NEAR_SHARE

ENOUGH_BALLS = 20
"""Balls from which a share of mishits is judged."""
ENOUGH_MARKS = 5
"""Strike marks from which their scatter is judged; under that it is a rough guess."""
ENOUGH_VISITS = 3
"""Visits, with balls enough for a figure each, from which an average or two scatters are judged."""


class Stage(StrEnum):
    LOFTS = "lofts"
    STRIKE = "strike"
    STOCK = "stock"
    FRESH = "fresh"
    COURSE = "course"
    PASSED = "passed"  # every stage before is


class Verdict(StrEnum):
    PASSED = "passed"
    FAILED = "failed"
    UNKNOWN = "unknown"


class Work(StrEnum):
    LOFT_CHECK = "loft_check"
    STRIKE_CHECK = "strike_check"
    STRIKE_BUCKET = "strike_bucket"
    TURF_BRUSH = "turf_brush"
    CARRY_TEST = "carry_test"
    MIXED = "mixed"
    MIXED_HIDDEN = "mixed_hidden"
    PRESSURE = "pressure"


@dataclass(frozen=True)
class CoachValues:
    """What the coach lets pass: the share of mishits, how far marks lie from their centre, how much wider fresh balls
    may be than repeats, and those of the course than those of the range."""

    mishit_pct: float = 10
    strike_mm: float = 8
    fresh_pct: float = 30
    course_pct: float = 50


@dataclass(frozen=True)
class Figure:
    """A figure with the ends of its 95 % interval."""

    value: float
    low: float
    high: float

    def is_sure_of(self, limit: float) -> bool:
        """Whether the whole interval lies on one side of the limit."""
        return self.low > limit or self.high < limit


@dataclass(frozen=True)
class Strike:
    """Lately: balls, mishits noted and how many of those were fat, balls that fell far short of the rest with nothing
    noted; and marks on the face with their mean distance from the centre."""

    balls: int = 0
    mishits: int = 0
    fat: int = 0
    short: int = 0
    mishit_pct: Figure | None = None
    marks: int = 0
    scatter_mm: Figure | None = None


@dataclass(frozen=True)
class StockShot:
    """A club and swing length. `tested_days` since the last carry test, None for never. `bias_m` is how far its balls
    at targets land from the number on average, + is long: None where visits are too few."""

    club: str
    swing: str
    tested_days: int | None = None
    bias_m: Figure | None = None
    target_m: float = 0.0
    visits: int = 0

    @property
    def is_off(self) -> bool:
        """Steadily long or short: by more than a named swing may miss its target, and more than chance."""
        if self.bias_m is None or self.visits < ENOUGH_VISITS:
            return False
        return abs(self.bias_m.value) > max(NEAR_M, NEAR_SHARE * self.target_m) and self.bias_m.is_sure_of(0)

    def is_tested(self, days: int) -> bool:
        return self.tested_days is not None and self.tested_days <= days


@dataclass(frozen=True)
class Wider:
    """How much wider one kind of ball scatters than another (percent, below 0 is tighter), and over how many visits of
    the first and of the second; None where they are too few."""

    visits: tuple[int, int] = (0, 0)
    pct: Figure | None = None


@dataclass(frozen=True)
class Figures:
    """What is known of a player. `clubs` are those whose stock carries are asked for, `unchecked` those among them of
    which no loft was measured in the last `loft_days`; a carry test counts for `stock_days`."""

    clubs: tuple[str, ...] = ()
    unchecked: tuple[str, ...] = ()
    loft_days: int = 180
    strike: Strike = Strike()
    stock: tuple[StockShot, ...] = ()
    stock_days: int = 120
    fresh: Wider = Wider()
    course: Wider = Wider()

    def untested(self) -> tuple[str, ...]:
        """The clubs of which no swing was tested lately."""
        tested = {shot.club for shot in self.stock if shot.is_tested(self.stock_days)}
        return tuple(club for club in self.clubs if club not in tested)

    def off(self) -> tuple[StockShot, ...]:
        """The shots that are steadily long or short, the farthest off for its distance first."""
        return tuple(
            sorted(
                (shot for shot in self.stock if shot.is_off),
                key=lambda shot: -abs(shot.bias_m.value) / max(shot.target_m, 1.0),
            )
        )


@dataclass(frozen=True)
class Judged:
    """A stage with its verdict; `sure` where the figure's interval lies on the same side of the coach's value."""

    stage: Stage
    verdict: Verdict
    work: Work
    sure: bool = False


def judged(figures: Figures, values: CoachValues) -> tuple[Judged, ...]:
    """Every stage in order, whatever those before it say."""
    return (
        _lofts(figures),
        _strike(figures.strike, values),
        _stock(figures),
        _wider(Stage.FRESH, figures.fresh, values.fresh_pct, failed=Work.MIXED_HIDDEN, unknown=Work.MIXED),
        _wider(Stage.COURSE, figures.course, values.course_pct, failed=Work.PRESSURE, unknown=Work.PRESSURE),
    )


def earliest(stages: Sequence[Judged]) -> Judged:
    """The first stage that is not passed; when all are, what keeps them so."""
    kept = Judged(Stage.PASSED, Verdict.PASSED, Work.MIXED)
    return next((stage for stage in stages if stage.verdict != Verdict.PASSED), kept)


def with_balls(stages: Sequence[Judged]) -> Judged:
    """The stage that the week's balls go to: lofts take a gauge and no balls."""
    return earliest([stage for stage in stages if stage.work != Work.LOFT_CHECK])


def _lofts(figures: Figures) -> Judged:
    failed = bool(figures.unchecked)
    return Judged(Stage.LOFTS, Verdict.FAILED if failed else Verdict.PASSED, Work.LOFT_CHECK, sure=True)


def _strike(strike: Strike, values: CoachValues) -> Judged:
    """Passed where the marks are tight or the mishits few; failed where neither is and one of them is known."""
    tight = strike.scatter_mm is not None and strike.marks >= ENOUGH_MARKS
    counted = strike.mishit_pct is not None and strike.balls >= ENOUGH_BALLS
    limit = values.mishit_pct
    few = counted and strike.mishit_pct.value <= limit and not _falls_short(strike, limit)
    if tight and strike.scatter_mm.value <= values.strike_mm:
        return Judged(Stage.STRIKE, Verdict.PASSED, Work.STRIKE_BUCKET, strike.scatter_mm.is_sure_of(values.strike_mm))
    if few:
        return Judged(Stage.STRIKE, Verdict.PASSED, Work.STRIKE_BUCKET, strike.mishit_pct.is_sure_of(limit))
    if counted:
        work = Work.TURF_BRUSH if strike.mishits and 2 * strike.fat >= strike.mishits else Work.STRIKE_BUCKET
        sure = strike.mishit_pct.value > limit and strike.mishit_pct.is_sure_of(limit)
        return Judged(Stage.STRIKE, Verdict.FAILED, work, sure)
    if tight:
        sure = strike.scatter_mm.is_sure_of(values.strike_mm)
        return Judged(Stage.STRIKE, Verdict.FAILED, Work.STRIKE_BUCKET, sure)
    return Judged(Stage.STRIKE, Verdict.UNKNOWN, Work.STRIKE_CHECK)


def _falls_short(strike: Strike, limit_pct: float) -> bool:
    """Whether the misses have a tail to the short side that takes them over the coach's value with the noted ones."""
    return strike.short > 0 and 100 * (strike.mishits + strike.short) > limit_pct * strike.balls


def _stock(figures: Figures) -> Judged:
    """Failed where a club was not tested lately or a shot is steadily off."""
    failed = bool(figures.untested() or figures.off()) or not figures.clubs
    return Judged(Stage.STOCK, Verdict.FAILED if failed else Verdict.PASSED, Work.CARRY_TEST, sure=True)


def _wider(stage: Stage, wider: Wider, limit_pct: float, *, failed: Work, unknown: Work) -> Judged:
    if wider.pct is None or min(wider.visits) < ENOUGH_VISITS:
        return Judged(stage, Verdict.UNKNOWN, unknown)
    verdict = Verdict.PASSED if wider.pct.value <= limit_pct else Verdict.FAILED
    return Judged(stage, verdict, failed, wider.pct.is_sure_of(limit_pct))
