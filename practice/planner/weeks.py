"""Weeks by their Mondays, and balls in words."""

from dataclasses import dataclass
from datetime import date, timedelta

from practice.clubs.swings import FEEL, swing_name
from practice.planner.models import Ball
from practice.units import DistanceUnit

WEEK = timedelta(days=7)


def monday_of(day: date) -> date:
    """Return the Monday on or before a day."""
    return day - timedelta(days=day.weekday())


def week_of(text: str) -> date | None:
    """Return the Monday of the week that an ISO date lies in, or None where it is no date of our times."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return monday_of(day) if 2000 <= day.year < 2100 else None


@dataclass(frozen=True)
class BallRow:
    """One ball as a line of a table."""

    n: int
    club: str
    swing: str
    target: str
    distance: str
    neighbours: list[str]


def ball_row(ball: Ball, unit: DistanceUnit) -> BallRow:
    """Return a ball in words, distances in the player's unit."""
    sides = ((ball.below_swing, ball.below_carry_m), (ball.above_swing, ball.above_carry_m))
    neighbours = [f"{swing} goes {unit.show(carry_m)}" for swing, carry_m in dict.fromkeys(sides) if swing]
    return BallRow(
        n=ball.n,
        club=ball.club.label,
        swing="by feel" if ball.swing == FEEL else swing_name(ball.swing),
        target=ball.target_name or "no target",
        distance=unit.show(ball.target_m) if ball.target_m else "",
        neighbours=neighbours,
    )
