"""Figures said in a coach's words: rounded here, and nowhere before."""

from analytics.frames import BY_EYE, Cell
from analytics.metrics.cells import CellScore
from analytics.metrics.level_landing import LevelLanding
from analytics.metrics.mishits import GOOD_SHOTS_FOR_SPREAD
from analytics.metrics.trend import SESSIONS_FOR_VERDICT
from analytics.reports import CellReport
from practice.clubs.swings import FEEL, swing_name
from practice.units import DistanceUnit

SHOWN_FROM = GOOD_SHOTS_FOR_SPREAD
"""Balls under which a scatter says nothing and is not shown."""

FINER = "finer than measured"
"""Said of balls that all read alike: by eye most do."""

LOG_LONG = 0.05
"""A bias that rounds to 0.0 is neither long nor short."""


def cell_name(cell: Cell) -> str:
    """Return the name of a club and swing, e.g. "56, half (9:00)"."""
    swing = "feel" if cell.swing == FEEL else swing_name(cell.swing)
    return f"{cell.club}, {swing}" + (", by eye" if cell.by == BY_EYE else "")


def short_name(cell: Cell) -> str:
    """Return the name of a club and swing for the edge of a figure, e.g. "56 9:00"."""
    return f"{cell.club} {cell.swing}" + (" eye" if cell.by == BY_EYE else "")


def figure(value_m: float | None, unit: DistanceUnit) -> str:
    """Return a distance with one decimal and its unit, or a dash."""
    return unit.show(value_m, digits=1)


def bias(score: CellScore, unit: DistanceUnit) -> str:
    """Return where the balls land on average, e.g. "long by 2.1 yd"."""
    if score.bias_m is None:
        return "–"
    size = unit.from_m(score.bias_m)
    if abs(size) < LOG_LONG:
        return "on the number"
    return f"{'long' if size > 0 else 'short'} by {abs(size):.1f} {unit.value}"


def on_the_level(level: LevelLanding | None, unit: DistanceUnit) -> str:
    """Return where balls at targets above or below would have landed on the level, on average; "" without any."""
    if level is None:
        return ""
    size = unit.from_m(level.bias_m)
    lands = (
        "on the number" if abs(size) < LOG_LONG else f"{abs(size):.1f} {unit.value} {'long' if size > 0 else 'short'}"
    )
    ends = level.n >= SHOWN_FROM and interval(level.bias_ci95_m, unit, signed=True)
    return f"on the level {lands}" + (f" ({ends})" if ends else "")


def interval(ends_m: tuple[float, float] | None, unit: DistanceUnit, *, signed: bool = False) -> str:
    """Return a 95 % interval, e.g. "0.8 to 3.4"; signed ones say short and long."""
    if ends_m is None:
        return ""
    low, high = (unit.from_m(end) for end in ends_m)
    if not signed:
        return f"{low:.1f} to {high:.1f}"
    return f"{_side(low)} to {_side(high)}"


def _side(value: float) -> str:
    if abs(value) < LOG_LONG:
        return "0.0"
    return f"{abs(value):.1f} {'long' if value > 0 else 'short'}"


def spread(found: CellReport, unit: DistanceUnit) -> str:
    """Return the scatter, or why it is not shown: balls that all read alike lie nearer than they were measured."""
    score, withheld = found.score, found.mishits.good.withheld
    if score.n < SHOWN_FROM:
        return f"too few balls ({score.n} of {SHOWN_FROM})"
    if withheld:
        return withheld
    if score.spread_m == 0:
        return FINER
    return figure(score.spread_m, unit)


def suspects(n: int) -> str:
    """Return how many balls look like mishits beside those flagged; "" where none does."""
    if n < 2:
        return "1 more looks like a mishit" if n else ""
    return f"{n} more look like mishits"


def median_miss(score: CellScore, unit: DistanceUnit) -> str:
    """Return the median landing miss, or that it is nearer than it was measured."""
    return FINER if score.proximity_median_m == 0 else figure(score.proximity_median_m, unit)


def trend_in_short(score: CellScore) -> str:
    """Return the verdict for a table."""
    if score.trend_verdict == "too few":
        return f"too few visits ({score.trend_sessions} of {SESSIONS_FOR_VERDICT})"
    return score.trend_verdict


def trend_sentence(found: CellReport) -> str:
    """Return what the distance-error trend of one club and swing says."""
    score, name = found.score, cell_name(found.cell)
    if score.trend_verdict == "too few":
        return (
            f"{name}: too few visits to say. It takes {SESSIONS_FOR_VERDICT} on different days with at least two "
            f"balls at known targets; there are {score.trend_sessions}."
        )
    low, high = score.trend_ci95_pct_per_30_days
    if score.trend_verdict == "no clear change":
        return (
            f"{name}: no clear change. {score.trend_sessions} visits leave room for anything between "
            f"{_change(low)} and {_change(high)} a month."
        )
    ends = sorted((abs(low), abs(high)))
    return (
        f"{name}: distance errors are getting {'smaller' if high < 0 else 'larger'}, by about "
        f"{abs(score.trend_pct_per_30_days):.0f} % a month (between {ends[0]:.0f} and {ends[1]:.0f} %), "
        f"over {score.trend_sessions} visits."
    )


def _change(pct: float) -> str:
    return f"{abs(pct):.0f} % {'tighter' if pct < 0 else 'wider'}"


def landing_sentence(cells: tuple[CellReport, ...], unit: DistanceUnit) -> str:
    """Return which club and swing is surest to land long or short, or that none is."""
    judged = [found for found in cells if found.score.n >= SHOWN_FROM and found.score.bias_ci95_m]
    if not judged:
        return f"No club and swing has {SHOWN_FROM} balls at a target yet: there is nothing to say so far."
    clear = [found for found in judged if found.score.bias_ci95_m[0] > 0 or found.score.bias_ci95_m[1] < 0]
    if not clear:
        return "No club and swing is clearly long or short on average so far."
    worst = max(clear, key=lambda found: min(abs(end) for end in found.score.bias_ci95_m))
    score = worst.score
    return (
        f"Surest to miss its number: {cell_name(worst.cell)}, on average {bias(score, unit)} "
        f"({interval(score.bias_ci95_m, unit, signed=True)}), over {score.n} balls."
    )
