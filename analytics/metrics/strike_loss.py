"""The carry that strikes off the sweet spot cost, by the effective mass of the head. Rough: never better than 1 %.

Offsets count from the sweet spot of this head, where the line through its centre of mass meets the face, not from the
middle of the face: where it is unknown nothing can be said. The model knows only that a head struck off its centre of
mass gives way by turning. Strikes far low or high on the face are thin or fat ones, which it does not describe.
"""

import math
from dataclasses import dataclass, field, fields, replace

import numpy as np

from analytics.metrics.intervals import mean_interval, spread_interval
from analytics.metrics.strike import FEWEST_MARKS, TOO_FEW, Message, Point, known_marks

MODEL_LOW_HIGH_MM = 12.0

SWEET_SPOT_UNKNOWN = Message(
    "sweet_spot_unknown",
    "Where the sweet spot lies on this head is not known, so nobody can say what the strikes cost. Enter it first.",
)
OUTSIDE_MODEL = Message(
    "outside_model",
    "Too many marks lie more than 12 mm low or high of the sweet spot. Those are thin or fat strikes: they cost more "
    "than this can say.",
)

ESTIMATE = "engineering estimate"


def _value(default: float, source: str):
    return field(default=default, metadata={"source": source})


@dataclass(frozen=True)
class Head:
    """What a loss is computed from; every value may be replaced by a better one.

    Attributes
    ----------
    ball_kg, head_kg
        Masses.
    tilt_inertia_kg_m2
        Moment of inertia about the axis from heel to toe: a low or high strike tilts the head about it.
    turn_inertia_kg_m2
        Moment of inertia about the vertical axis: a strike towards heel or toe turns the head about it.
    carry_power
        Carry goes with this power of ball speed: near 2 for a short pitch, which the air hardly slows, and less the
        further it flies.
    """

    ball_kg: float = _value(0.04593, "greatest mass in the Rules of Golf (from memory)")
    head_kg: float = _value(0.300, "common practice, no source")
    tilt_inertia_kg_m2: float = _value(0.9e-4, f"{ESTIMATE}, 0.6e-4 to 1.2e-4")
    turn_inertia_kg_m2: float = _value(2.6e-4, f"{ESTIMATE}, 2.0e-4 to 3.2e-4")
    carry_power: float = _value(1.7, f"{ESTIMATE}, simulated pitches of 30 to 70 yards: 1.4 to 2.0")

    def __post_init__(self):
        if not all(math.isfinite(value) and value > 0 for value in vars(self).values()):
            raise ValueError("every value of a head must be a number above 0")

    @classmethod
    def sources(cls) -> dict[str, str]:
        """Return where each default comes from."""
        return {value.name: value.metadata["source"] for value in fields(cls)}


@dataclass(frozen=True)
class HeadRange:
    """The best guess of a head, and the heads that lose least and most of those it may be."""

    best: Head
    least: Head
    most: Head

    def __post_init__(self):
        for inertia in ("tilt_inertia_kg_m2", "turn_inertia_kg_m2"):
            if not getattr(self.least, inertia) >= getattr(self.best, inertia) >= getattr(self.most, inertia):
                raise ValueError(
                    f"{inertia}: the head that loses least has the greatest, the one that loses most the least"
                )
        if not self.least.carry_power <= self.best.carry_power <= self.most.carry_power:
            raise ValueError(
                "carry_power: the head that loses least has the least, the one that loses most the greatest"
            )

    def with_known(self, **values: float) -> "HeadRange":
        """Return the range once these values of `Head` are known: they no longer differ."""
        return HeadRange(*(replace(head, **values) for head in (self.best, self.least, self.most)))


WEDGE = HeadRange(
    best=Head(),
    least=Head(tilt_inertia_kg_m2=1.2e-4, turn_inertia_kg_m2=3.2e-4, carry_power=1.4),
    most=Head(tilt_inertia_kg_m2=0.6e-4, turn_inertia_kg_m2=2.0e-4, carry_power=2.0),
)


@dataclass(frozen=True)
class StrikeCost:
    """What a pattern costs against strikes on the sweet spot, in whole percent of carry: 0 means under 1 %.

    Attributes
    ----------
    n, outside
        Marks it is computed from, and marks left out because they lie more than 12 mm low or high of the sweet spot:
        thin or fat strikes, whose cost is another and greater one.
    centre_mm
        Mean offset of the n marks from the sweet spot, (low-high, heel-toe).
    lost_pct, lost_range_pct
        Mean carry lost, with a range over what is not known of the head and, by the t interval of the mean, over few
        marks.
    lost_at_centre_pct
        What would be lost if every strike were on the player's own centre: the rest of `lost_pct` is the scatter's.
    scatter_pct, scatter_range_pct
        Standard deviation that the marks add to carry, with a range over the same two.
    """

    n: int
    outside: int
    centre_mm: Point
    lost_pct: int
    lost_range_pct: tuple[int, int]
    lost_at_centre_pct: int
    scatter_pct: int
    scatter_range_pct: tuple[int, int]


def effective_mass_kg(offsets_mm: np.ndarray, head: Head) -> np.ndarray:
    """Mass that a strike off the sweet spot has behind it, shape (...), of offsets (..., 2) in mm, low-high first.

    1 / Me = 1 / M + d_low-high^2 / I_tilt + d_heel-toe^2 / I_turn: collision with a free rigid body, standard mechanics
    (from memory).
    """
    return 1 / (1 / head.head_kg + _turning(offsets_mm, head))


def ball_speed_ratio(offsets_mm: np.ndarray, head: Head) -> np.ndarray:
    """Ball speed over that of a strike on the sweet spot, shape (...), of offsets (..., 2) in mm, low-high first.

    1 / (1 + mu (1 / Me - 1 / M)), mu = m M / (m + M): from v = V (1 + e) / (1 + m / Me) at one clubhead speed V and one
    restitution e. Standard mechanics (from memory).
    """
    mu = head.ball_kg * head.head_kg / (head.ball_kg + head.head_kg)
    return 1 / (1 + mu * _turning(offsets_mm, head))


def _turning(offsets_mm: np.ndarray, head: Head) -> np.ndarray:
    """1 / Me - 1 / M in 1 / kg: how far the head gives way by turning."""
    low_high_m, heel_toe_m = offsets_mm[..., 0] / 1000, offsets_mm[..., 1] / 1000
    return low_high_m**2 / head.tilt_inertia_kg_m2 + heel_toe_m**2 / head.turn_inertia_kg_m2


def carry_lost_pct(offsets_mm: np.ndarray, head: Head) -> np.ndarray:
    """Percent of carry lost, shape (...), of offsets (..., 2) in mm, low-high first; NaN outside the model.

    100 (1 - ball speed ratio^carry_power). Outside is more than 12 mm low or high of the sweet spot.
    """
    lost_pct = 100 * (1 - ball_speed_ratio(offsets_mm, head) ** head.carry_power)
    return np.where(np.abs(offsets_mm[..., 0]) > MODEL_LOW_HIGH_MM, np.nan, lost_pct)


def strike_cost(
    low_high_mm: np.ndarray,
    heel_toe_mm: np.ndarray,
    sweet_spot_mm: Point | None,
    heads: HeadRange = WEDGE,
) -> StrikeCost | Message:
    """What the marks of one club cost in carry.

    Parameters
    ----------
    low_high_mm, heel_toe_mm
        Arrays of shape (shots,), finite or NaN; a shot counts where both are known. Leave flagged mishits out.
    sweet_spot_mm
        (low-high, heel-toe) of this head, from the same point of the face as the marks; None = unknown.
    heads
        What the head may be.

    Returns
    -------
    StrikeCost, or a message: `SWEET_SPOT_UNKNOWN`; `TOO_FEW` under 3 marks; `OUTSIDE_MODEL` where half of the marks or
    more, or all but 2, lie outside. Marks in one line are no hindrance.
    """
    if sweet_spot_mm is None:
        return SWEET_SPOT_UNKNOWN
    offsets_mm = known_marks(low_high_mm, heel_toe_mm) - np.array(sweet_spot_mm, dtype=float)
    if len(offsets_mm) < FEWEST_MARKS:
        return TOO_FEW
    inside = offsets_mm[np.abs(offsets_mm[:, 0]) <= MODEL_LOW_HIGH_MM]
    if len(inside) < FEWEST_MARKS or 2 * len(inside) <= len(offsets_mm):
        return OUTSIDE_MODEL
    return _cost(inside, len(offsets_mm) - len(inside), heads)


def _cost(offsets_mm: np.ndarray, outside: int, heads: HeadRange) -> StrikeCost:
    n = len(offsets_mm)
    centre_mm = offsets_mm.mean(axis=0)
    mean_pct, sd_pct = _moments(offsets_mm, heads.best)
    least_mean_pct, least_sd_pct = _moments(offsets_mm, heads.least)
    most_mean_pct, most_sd_pct = _moments(offsets_mm, heads.most)
    return StrikeCost(
        n=n,
        outside=outside,
        centre_mm=tuple(centre_mm.tolist()),
        lost_pct=round(mean_pct),
        lost_range_pct=_outward(
            mean_interval(n, least_mean_pct, least_sd_pct)[0], mean_interval(n, most_mean_pct, most_sd_pct)[1]
        ),
        lost_at_centre_pct=round(float(carry_lost_pct(centre_mm, heads.best))),
        scatter_pct=round(sd_pct),
        scatter_range_pct=_outward(spread_interval(n, least_sd_pct)[0], spread_interval(n, most_sd_pct)[1]),
    )


def _moments(offsets_mm: np.ndarray, head: Head) -> tuple[float, float]:
    lost_pct = carry_lost_pct(offsets_mm, head)
    return float(lost_pct.mean()), float(lost_pct.std(ddof=1))


def _outward(low_pct: float, high_pct: float) -> tuple[int, int]:
    """The range in whole percent that holds the given one, between nothing and everything."""
    dust = 9  # decimals: equal marks differ in the last digits of their loss, which is no percent
    return max(math.floor(round(low_pct, dust)), 0), min(math.ceil(round(high_pct, dust)), 100)
