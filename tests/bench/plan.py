"""The largest loft plan, against numpy sorting as many bags and finding the smallest of their largest gaps."""

from collections.abc import Iterator
from itertools import product

import numpy as np

from analytics.metrics.loft_plan import LIMIT_DEG, PlanClub, plan_lofts, straight_carry
from tests.bench.ratio import Ratio, computed, side_by_side

LOST_M, STEP_DEG = 2.3, 0.5
BAGS = {"five clubs": (44.0, 49.0, 53.5, 58.0, 62.0), "eight clubs": (40.0, 44.0, 48.0, 52.0, 55.0, 58.0, 61.0, 64.0)}


def bag(lofts_deg: tuple[float, ...]) -> list[PlanClub]:
    """Return an invented bag, in which no step is like another."""
    offs_m = np.random.default_rng(1).normal(0, 1.5, len(lofts_deg)).tolist()
    return [
        PlanClub(f"{loft:g}", loft, straight_carry(loft, 210 - LOST_M * loft + off_m, LOST_M), se_m=1.0)
        for loft, off_m in zip(lofts_deg, offs_m, strict=True)
    ]


def bare_search(carries: np.ndarray) -> int:
    """Return which set has the smallest largest gap, without any of the ties, limits and errors."""
    return int(np.argmin(np.diff(np.sort(carries, axis=1), axis=1).max(axis=1)))


def all_carries(clubs: list[PlanClub]) -> np.ndarray:
    """Return the carries of every set of lofts within the limits, the ends as they are; shape (sets, clubs)."""
    bends = np.arange(-LIMIT_DEG, LIMIT_DEG + STEP_DEG, STEP_DEG).tolist()
    own = [[club.carry_m(club.loft_deg + bend) for bend in bends] for club in clubs[1:-1]]
    ends = [[club.carry_m(club.loft_deg)] for club in (clubs[0], clubs[-1])]
    return np.array(list(product(ends[0], *own, ends[1])))


def measure(*, quick: bool) -> Iterator[Ratio]:
    for name, lofts_deg in BAGS.items():
        clubs = bag(lofts_deg)
        carries = all_carries(clubs)
        yield side_by_side(
            f"loft plan of {name} : sorting {len(carries):,} bags and finding the best",
            computed(lambda clubs=clubs: plan_lofts(clubs, step_deg=STEP_DEG)),
            computed(lambda carries=carries: bare_search(carries)),
            goal=10,
            rounds=3 if quick else 15,
        )
