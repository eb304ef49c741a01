"""The loft plan on invented players: where it says "bend", does the largest gap truly get smaller?"""

from functools import cache

import numpy as np

from analytics.metrics.carry_surface import SurfaceCell, fit_carry_surface
from analytics.metrics.loft_plan import PlanClub, plan_lofts, straight_carry

from .carry_surface import CELL_SD, CLUB_SD, CV, GRID, OWNED, SWINGS, YD, physics
from .harness import acceptance

BALLS = 5
OFF_DEG = np.arange(-4, 5) / 2  # how far a loft has drifted or was bought beside an even one


def surface_clubs(lofts_deg, raw):
    """Clubs of one player (carries in yards, by swing) as the page of the plan makes them."""
    labels = [f"{n}" for n in range(len(lofts_deg))]
    cells = [
        SurfaceCell(label, loft, swing, BALLS, float(mean * YD), CV)
        for label, loft, row in zip(labels, lofts_deg, raw, strict=True)
        for swing, mean in zip(SWINGS, row, strict=True)
    ]
    surface = fit_carry_surface(cells, SWINGS)
    return [
        PlanClub(
            label,
            loft,
            lambda deg, label=label: surface.bent(label, deg)["full"].carry_m,
            se_m=surface.predict(label, "full").se_m,
            slope_se_m_per_deg=surface.slope_se_m(label, loft, "full"),
        )
        for label, loft in zip(labels, lofts_deg, strict=True)
    ]


def thumb_clubs(lofts_deg, raw):
    """Raw full means and 3.5 yards a degree (common practice, no source), taken as exact."""
    return [
        PlanClub(f"{n}", loft, straight_carry(loft, float(row[-1] * YD), 3.5 * YD))
        for n, (loft, row) in enumerate(zip(lofts_deg, raw, strict=True))
    ]


@cache
def true_gains(seed: int, players: int, make_clubs) -> np.ndarray:
    """By how much (yards) the true largest full gap gets smaller in the bags that are bent; shape (bent bags,)."""
    rng = np.random.default_rng(seed)
    flown = physics(rng, players)(GRID) / YD
    places = np.searchsorted(GRID, OWNED + rng.choice(OFF_DEG, (players, 4)))
    apart = np.exp(rng.normal(0, CLUB_SD, (players, 4, 1)) + rng.normal(0, CELL_SD, (players, 4, 4)))
    luck = 1 + CV / np.sqrt(BALLS) * rng.normal(size=apart.shape)
    gains = []
    for carries, at, own, off in zip(flown, places, apart, luck, strict=True):
        lofts = GRID[at].tolist()
        plan = plan_lofts(make_clubs(lofts, carries[at] * own * off))
        if plan.verdict == "bend":
            then = np.searchsorted(GRID, [club.loft_deg for club in plan.clubs])
            gains.append(largest_gap(carries[at, -1] * own[:, -1]) - largest_gap(carries[then, -1] * own[:, -1]))
    return np.array(gains)


def largest_gap(carries) -> float:
    return np.diff(np.sort(carries)).max()


def worse(make_clubs):
    """Share of the bent bags of which the true largest gap gets no smaller, with its standard error."""

    def run(rng, players):
        hits = true_gains(int(rng.integers(2**62)), players, make_clubs) <= 0
        return float(hits.mean()), float(hits.std(ddof=1) / np.sqrt(len(hits)))

    return run


acceptance(
    subject="loft_plan",
    name=f"loft plan, {BALLS} balls a cell",
    statistic="bags bent for nothing",
    low=0,
    high=0.1,
    ci_repetitions=500,
    full_repetitions=800,
    naive=worse(thumb_clubs),
)(worse(surface_clubs))
