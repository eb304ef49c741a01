"""Reach of a club: the shortest and the longest target it is asked for."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analytics.metrics.intervals import TAIL, t_quantile

FULL = "full"
ENOUGH_BALLS = 3
SHORTEST_SHARE = 0.5  # of the shortest stock carry; common practice, no source
TARGET_PERCENTILES = (5, 95)  # one odd ball at a target must not stretch the reach
CARRY_LOST_PER_DEG = 0.03  # simulated flight, lofts 46 to 60, every swing length: 2.65 to 3.4 % a degree


@dataclass(frozen=True)
class StockCarry:
    """Measured stock balls of one swing, mishits left out: how many (1 or more), and their mean carry (m).

    `s_m` is their standard deviation (divisor n - 1); it counts from 2 balls.
    """

    swing: str
    n: int
    mean_m: float
    s_m: float = 0.0


@dataclass(frozen=True)
class ClubCarries:
    """What is known of the carry of one club.

    Attributes
    ----------
    label, loft_deg
        The club; None = loft unknown.
    stock
        Stock carries by swing.
    at_targets_m
        Carries (m) of balls hit to targets that are no mishits.
    stated
        (swing, carry_m) as the coach states them ("the 52 full goes 95").
    """

    label: str
    loft_deg: float | None = None
    stock: Sequence[StockCarry] = ()
    at_targets_m: Sequence[float] = ()
    stated: Sequence[tuple[str, float]] = ()


@dataclass(frozen=True)
class ClubReach:
    """Reach of one club (m); shortest, longest and basis are None where nothing is known.

    Attributes
    ----------
    basis
        "stock", "targets", "stated", or "estimated" (scaled from a carry stated for another club).
    estimated
        True if it rests on stated carries: good for choosing targets, for nothing else.
    stock
        (swing, carry_m) of the stock carries of the swings allowed, on the basis "stock" only.
    give_m
        How well the longest is known on the basis "stock": half of its 95 % interval; None where no swing was hit
        twice, and on another basis.
    """

    label: str
    shortest_m: float | None
    longest_m: float | None
    basis: str | None
    estimated: bool
    stock: tuple[tuple[str, float], ...]
    give_m: float | None = None


def club_reaches(clubs: Sequence[ClubCarries], *, full_swings: bool) -> list[ClubReach]:
    """Reach of each of one player's clubs, in the order given.

    From the first of these that is known: 3 or more stock balls; 3 or more balls at targets (5th to 95th
    percentile of their carries); carries the coach states for this club; carries the coach states for other
    clubs, for each swing from the club nearest in loft, scaled by exp(-0.03) a degree.

    Parameters
    ----------
    clubs
        All clubs that may lend a stated carry, those asked about among them.
    full_swings
        False leaves full swings out of the longest carry, unless a club is known by its full swing only: a
        shorter swing flies less, nothing says how much, and the club is not lost for want of a test.
    """
    return [_club_reach(club, clubs, full_swings) for club in clubs]


def _club_reach(club: ClubCarries, clubs: Sequence[ClubCarries], full_swings: bool) -> ClubReach:
    if sum(carry.n for carry in club.stock) >= ENOUGH_BALLS:
        carries = [(carry.swing, carry.mean_m) for carry in club.stock]
        allowed = tuple((swing, carry_m) for swing, carry_m in carries if full_swings or swing != FULL)
        span_m = _span_m(carries, full_swings)
        return ClubReach(club.label, *span_m, "stock", False, allowed, _give_m(club.stock, span_m[1]))
    if len(club.at_targets_m) >= ENOUGH_BALLS:
        shortest_m, longest_m = np.percentile(club.at_targets_m, TARGET_PERCENTILES).tolist()
        return ClubReach(club.label, shortest_m, longest_m, "targets", False, ())
    if club.stated:
        return ClubReach(club.label, *_span_m(club.stated, full_swings), "stated", True, ())
    if scaled := _scaled(club, clubs):
        return ClubReach(club.label, *_span_m(scaled, full_swings), "estimated", True, ())
    return ClubReach(club.label, None, None, None, False, ())


def _span_m(carries: Sequence[tuple[str, float]], full_swings: bool) -> tuple[float, float]:
    """Half the shortest carry to the longest of the swings allowed."""
    every_m = [carry_m for _, carry_m in carries]
    allowed_m = [carry_m for swing, carry_m in carries if full_swings or swing != FULL]
    return SHORTEST_SHARE * min(every_m), max(allowed_m or every_m)


def _give_m(stock: Sequence[StockCarry], longest_m: float) -> float | None:
    """Half of the 95 % interval of the mean carry that is the longest.

    t(.975, df) s / sqrt(n), with a standard deviation pooled over the club's swings, in parts of their carries, df
    being the sum of n - 1: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2 and 7.3.1.
    """
    df = sum(carry.n - 1 for carry in stock)
    if df == 0:
        return None
    pooled = math.sqrt(sum((carry.n - 1) * (carry.s_m / carry.mean_m) ** 2 for carry in stock) / df)
    n = next(carry.n for carry in stock if carry.mean_m == longest_m)
    return t_quantile(1 - TAIL, df) * pooled * longest_m / math.sqrt(n)


def _scaled(club: ClubCarries, clubs: Sequence[ClubCarries]) -> list[tuple[str, float]]:
    """Carries stated for other clubs, each swing's from the nearest loft, as this club would fly them."""
    if club.loft_deg is None:
        return []
    lenders = [other for other in clubs if other.loft_deg is not None]
    lenders.sort(key=lambda other: abs(other.loft_deg - club.loft_deg))
    scaled = {}
    for other in lenders:
        share = math.exp(-CARRY_LOST_PER_DEG * (club.loft_deg - other.loft_deg))
        for swing, carry_m in other.stated:
            scaled.setdefault(swing, share * carry_m)
    return list(scaled.items())
