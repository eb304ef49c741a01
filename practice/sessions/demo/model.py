"""The model from which the demonstration's shots are drawn. It is a scenario, not evidence about golfers.

Stock carry of a club with loft L and a swing of share f:  full_52 * f * exp(-0.03 (L - 52)).
A ball at a target T lands at  T (1 + b + d) + N(0, (s T)^2), where b is the player's steady bias with that club
and swing (N(0, 0.03^2), drawn once), d the day's bias (N(0, 0.02^2)), and s the scatter, which moves from
`scatter` to `scatter_after` as an exponential over the weeks. A stock ball is the same with T its stock carry.
Sideways it misses by N(0, (0.5 s T)^2). A mishit carries 25 to 85 % of that (topped 5 to 40 %).
Marks on the face scatter about the player's own centre (2 mm low, 3 mm towards the heel) by N(0, 4^2) low-high and
N(0, 6^2) heel-toe, in millimetres, times the scatter over 0.1. By eye a player guesses a distance D as
D exp(N(-0.06, 0.09^2)). On the course the scatter is 1.2 times as large. Measured carries are rounded to what the
instrument shows; by eye to the middle of a zone of 5 yards. Of ten swings over turf seven are clean, two thin, one fat;
a ball of a block that is only counted at its end is on within 5 yards of its target, and one in fifteen was not seen.
"""

import math
from dataclasses import dataclass
from random import Random

from practice.sessions.demo.people import Golfer
from practice.sessions.values import ShotValues
from practice.sessions.words import MISHITS
from practice.units import YARD_M

WEEKS = 12
SWING_SHARES = {"7:30": 0.36, "9:00": 0.60, "10:30": 0.82, "full": 1.0}
LOFT_SLOPE = 0.03
COURSE_FACTOR = 1.2
RESOLUTION_M = {"monitor": 0.1, "laser": YARD_M, "eye": 5 * YARD_M}
ON_WITHIN_M = 5 * YARD_M
NOT_SEEN_SHARE = 1 / 15
TURF_SWINGS = [  # contact and ground, of ten swings
    *[("clean", "brush")] * 5,
    *[("clean", "divot")] * 2,
    *[("thin", "none"), ("thin", "brush"), ("fat", "divot")],
]
MISHIT_SHARES = {"fat": (0.25, 0.85), "thin": (0.40, 0.85), "topped": (0.05, 0.40), "shank": (0.30, 0.80)}


def stock_carry_m(golfer: Golfer, loft_deg: float, swing: str) -> float:
    """Return the true stock carry of a loft and a swing, in metres."""
    return golfer.full_52_m * SWING_SHARES[swing] * math.exp(-LOFT_SLOPE * (loft_deg - 52.0))


def scatter_in_week(golfer: Golfer, week: int) -> float:
    """Return the standard deviation of carry as a share of the distance, in week 0 to WEEKS - 1."""
    share = week / (WEEKS - 1)
    return golfer.scatter * (golfer.scatter_after / golfer.scatter) ** share


@dataclass
class Simulator:
    """Draws one player's shots, from a seeded generator: the same every time."""

    golfer: Golfer
    random: Random

    def __post_init__(self):
        self._bias = {}
        self.day_bias = 0.0

    def start_day(self) -> None:
        """Draw the day's own bias."""
        self.day_bias = self.random.gauss(0, 0.02)

    def hit(self, *, club: str, swing: str, aim_m: float, week: int, course: bool = False) -> tuple[str, float, float]:
        """Return (contact, carry in metres, sideways in metres) of one ball meant to carry `aim_m`."""
        bias = self._bias.setdefault((club, swing), self.random.gauss(0, 0.03))
        scatter = scatter_in_week(self.golfer, week) * (COURSE_FACTOR if course else 1.0)
        carry_m = aim_m * (1 + bias + self.day_bias) + self.random.gauss(0, scatter * aim_m)
        lateral_m = self.random.gauss(0, 0.5 * scatter * aim_m)
        contact = "clean"
        if self.random.random() < self.golfer.mishit_rate:
            contact = self.random.choice(["fat", "fat", "thin", "thin", "topped", "shank"])
            carry_m *= self.random.uniform(*MISHIT_SHARES[contact])
        return contact, max(carry_m, 1.0), lateral_m

    def mark(self, week: int) -> tuple[float, float]:
        """Return where a ball marked the face: (low-high, heel-toe) in millimetres."""
        size = scatter_in_week(self.golfer, week) / 0.1
        return -2.0 + self.random.gauss(0, 4.0 * size), -3.0 + self.random.gauss(0, 6.0 * size)

    def turf_swing(self) -> tuple[str, str]:
        """Return how a swing met the turf and what it left on the ground."""
        return self.random.choice(TURF_SWINGS)

    def remembered(self, hit: tuple[str, float, float], target_m: float) -> str:
        """Return under what a player counts a ball at the end of a block; empty where it was not seen."""
        contact, carry_m, _ = hit
        if self.random.random() < NOT_SEEN_SHARE:
            return ""
        if contact in MISHITS:
            return "mishits"
        if abs(carry_m - target_m) <= ON_WITHIN_M:
            return "on"
        return "long" if carry_m > target_m else "short"

    def guess_m(self, distance_m: float) -> float:
        """Return what the player takes a distance for, in metres."""
        return distance_m * math.exp(self.random.gauss(-0.06, 0.09))

    def record(
        self, hit: tuple[str, float, float], *, measured_by: str, target_m: float | None, **values
    ) -> ShotValues:
        """Return the shot as this way of measuring would write it down."""
        contact, carry_m, lateral_m = hit
        step = RESOLUTION_M[measured_by]
        origin = target_m or 0.0
        carry_m = max(origin + step * round((carry_m - origin) / step), 0.0)
        return ShotValues(
            contact=contact,
            carry_m=round(carry_m, 4),
            lateral_m=round(step * round(lateral_m / step), 4),
            target_m=target_m,
            measured_by=measured_by,
            resolution_m=step,
            **values,
        )
