"""Loft plan: which clubs to bend, and by how much, so that the full carries of a bag step as evenly as they can.

Advice for a qualified club fitter, who decides whether and how far a head can be bent.
"""

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

import numpy as np

from analytics.metrics.gapping import check_bag
from analytics.metrics.shot_choice import SURE_Z

LIMIT_DEG = 2.0  # what most heads take, either way; common practice, no source
LATTICE_DEG = (0.5, 1.0)  # finer than half a degree a bend is not worked
LEAST_GAIN_M = 0.9144  # one yard: for less no club is bent
MOST_COMBINATIONS = 600_000
SAME = 6  # decimals of a metre up to which two figures are the same: what rounding in the last bits makes is no gain


@dataclass(frozen=True)
class PlanClub:
    """A club whose full swing may be stepped evenly with its neighbours'.

    Attributes
    ----------
    loft_deg
        As it is now.
    carry_m
        Full carry (m) at a loft (degrees): this very club bent, which keeps what sets it apart from the others
        (`CarrySurface.bent`, or `straight_carry`).
    se_m
        Standard error of its carry; None = not known. A bend is taken to leave this error as it is.
    limit_deg
        How far it may be bent from `made_deg`, either way; 0 = not at all (a hard cast head, an iron).
    made_deg
        Loft from which the limit counts, so that bend on bend never goes further; None = the loft it has now.
    bounce_deg
        None = not known.
    slope_se_m_per_deg
        Standard error of what a degree of bend brings.
    """

    label: str
    loft_deg: float
    carry_m: Callable[[float], float]
    se_m: float | None = None
    limit_deg: float = LIMIT_DEG
    made_deg: float | None = None
    bounce_deg: float | None = None
    slope_se_m_per_deg: float = 0.0


@dataclass(frozen=True)
class PlannedClub:
    """One club in the plan. Bounce changes with loft 1 to 1, as the sole turns with the face; None = not known."""

    label: str
    now_deg: float
    loft_deg: float
    bend_deg: float
    now_m: float
    carry_m: float
    bounce_deg: float | None


@dataclass(frozen=True)
class LoftPlan:
    """What to bend; made by `plan_lofts`.

    Attributes
    ----------
    verdict
        "bend", or why no club is: "best as it is" (no lofts of the lattice do better), "under a yard" (the gain),
        "within error" (it is under 90 % sure that there is a gain).
    clubs
        From the least loft up. All as they are unless the verdict is "bend".
    gaps_now_m, gaps_m
        Between neighbours in carry, longest carry first, now and as planned; the same unless the verdict is "bend".
    gain_m, gain_se_m
        By how much the best lofts make the largest gap smaller, and its standard error; None where a club that
        counts has none. Of the largest gaps now and then only: that another gap is the largest is not weighed.
    range_lost_m
        How much less lies between the longest and the shortest carry: above 0 where a released end is moved in.
    combinations
        Sets of lofts that were compared: all there are.
    """

    verdict: str
    clubs: tuple[PlannedClub, ...]
    gaps_now_m: tuple[float, ...]
    gaps_m: tuple[float, ...]
    gain_m: float
    gain_se_m: float | None
    range_lost_m: float
    combinations: int


def straight_carry(loft_deg: float, carry_m: float, lost_m_per_deg: float) -> Callable[[float], float]:
    """Carry (m) at another loft where a carry and what a degree costs is all that is known."""
    return lambda other_deg: carry_m - lost_m_per_deg * (other_deg - loft_deg)


def plan_lofts(clubs: Sequence[PlanClub], *, step_deg: float = 0.5, released: Collection[str] = ()) -> LoftPlan:
    """The best of all lofts within the clubs' limits.

    Best is the least of, in this order: the largest gap between neighbours in carry, the standard deviation of the
    gaps (divisor n), all bends together, the largest bend, the lofts from the least up. So of equals the least is bent,
    and the same bag gives the same plan. Clubs keep their order of loft. The plan of a planned bag is no change, where
    `made_deg` is kept.

    Parameters
    ----------
    clubs
        2 to 14, in any order: those with a full carry, the putter left out.
    step_deg
        Bends are multiples of 0.5 or of 1 degree.
    released
        Labels of the least and the most lofted club, of one or of both, if they may be bent too. They stay as they are
        otherwise, or gaps would be closed by giving up range.

    Returns
    -------
    LoftPlan. ValueError says what is wrong with the bag, or how to make a search smaller that has too many lofts.
    """
    clubs = sorted(clubs, key=lambda club: (club.loft_deg, club.label))
    _check(clubs, step_deg, released)
    choices = [_lofts(club, step_deg) for club in clubs]
    for end in (0, -1):
        if clubs[end].label not in released:
            choices[end] = [clubs[end].loft_deg]
    lofts = _all_lofts(choices)
    now = np.array([club.loft_deg for club in clubs])
    best = _best(lofts, _carries(clubs, choices, lofts), now)
    carries_now, carries = _of(clubs, now), _of(clubs, best)
    gain_m = round(float(_gaps(carries_now).max() - _gaps(carries).max()), SAME)
    gain_se_m = _gain_se(clubs, carries_now, carries, best - now)
    verdict = _verdict(bool((best == now).all()), gain_m, gain_se_m)
    if verdict != "bend":
        best, carries = now, carries_now
    planned = tuple(map(_planned, clubs, best.tolist(), carries_now.tolist(), carries.tolist()))
    gaps_now_m, gaps_m = tuple(_gaps(carries_now).tolist()), tuple(_gaps(carries).tolist())
    range_lost_m = float(np.ptp(carries_now) - np.ptp(carries))
    return LoftPlan(verdict, planned, gaps_now_m, gaps_m, gain_m, gain_se_m, range_lost_m, len(lofts))


def _lofts(club: PlanClub, step_deg: float) -> list[float]:
    """Lofts a club may have, lowest first. The one it has is among them, even beyond its limit."""
    made_deg = club.loft_deg if club.made_deg is None else club.made_deg
    reach = math.ceil((club.limit_deg + abs(club.loft_deg - made_deg)) / step_deg)
    lofts = (club.loft_deg + step_deg * steps for steps in range(-reach, reach + 1))
    return [loft for loft in lofts if loft == club.loft_deg or abs(loft - made_deg) <= club.limit_deg + 1e-9]


def _all_lofts(choices: list[list[float]]) -> np.ndarray:
    """All sets of lofts in which no club overtakes another; shape (sets, clubs)."""
    sets = np.empty((1, 0))
    for lofts in choices:
        if len(sets) * len(lofts) > MOST_COMBINATIONS:
            raise ValueError("too many lofts to compare: plan in whole degrees, or set the limit of more clubs to 0")
        sets = np.hstack([np.repeat(sets, len(lofts), axis=0), np.tile(lofts, len(sets))[:, None]])
        if sets.shape[1] > 1:
            sets = sets[sets[:, -2] <= sets[:, -1]]
    return sets


def _carries(clubs: Sequence[PlanClub], choices: list[list[float]], lofts: np.ndarray) -> np.ndarray:
    """Carry of each club of each set, every loft asked for once; shape (sets, clubs)."""
    columns = [
        np.array([_carry(club, loft) for loft in own])[np.searchsorted(own, column)]
        for club, own, column in zip(clubs, choices, lofts.T, strict=True)
    ]
    return np.column_stack(columns)


def _carry(club: PlanClub, loft_deg: float) -> float:
    carry_m = club.carry_m(loft_deg)
    if not 0 < carry_m < math.inf:
        raise ValueError(
            f"{club.label}: a carry of {carry_m:g} m at {loft_deg:g} degrees cannot be; "
            "correct its carry, or set its limit to 0"
        )
    return carry_m


def _of(clubs: Sequence[PlanClub], lofts: np.ndarray) -> np.ndarray:
    return np.array([_carry(club, loft) for club, loft in zip(clubs, lofts.tolist(), strict=True)])


def _best(lofts: np.ndarray, carries: np.ndarray, now: np.ndarray) -> np.ndarray:
    gaps, bends = _gaps(carries), np.abs(lofts - now)
    figures = [gaps.max(axis=1), gaps.std(axis=1), bends.sum(axis=1), bends.max(axis=1)]
    left = np.arange(len(lofts))
    for figure in figures:
        rounded = np.round(figure[left], SAME)
        left = left[rounded == rounded.min()]
    return lofts[left[0]]  # the sets come in order of their lofts, so of equals this one has the lowest


def _gaps(carries: np.ndarray) -> np.ndarray:
    """Gaps between neighbours in carry, longest carry first."""
    return -np.diff(-np.sort(-carries, axis=-1), axis=-1)


def _gain_se(clubs: Sequence[PlanClub], before: np.ndarray, after: np.ndarray, bend_deg: np.ndarray) -> float | None:
    """Standard error of the largest gap before less the largest one after.

    By propagation of errors (NIST/SEMATECH e-Handbook of Statistical Methods, 2.5.5), clubs taken as independent. A
    club that stands in both gaps errs in both alike.
    """
    then = _largest(after)
    weight = _largest(before) - then
    if any(club.se_m is None for club, share in zip(clubs, weight, strict=True) if share):
        return None
    own = weight * [club.se_m or 0.0 for club in clubs]
    of_bends = then * bend_deg * [club.slope_se_m_per_deg for club in clubs]
    return float(np.sqrt(np.square(own).sum() + np.square(of_bends).sum()))


def _largest(carries: np.ndarray) -> np.ndarray:
    """The largest gap as weights of the clubs' carries: 1 for the longer, -1 for the shorter, 0 for the others."""
    order, widest = np.argsort(-carries, kind="stable"), int(np.argmax(np.round(_gaps(carries), SAME)))
    weight = np.zeros(len(carries))
    weight[order[widest]], weight[order[widest + 1]] = 1, -1
    return weight


def _verdict(same: bool, gain_m: float, gain_se_m: float | None) -> str:
    if same:
        return "best as it is"
    if gain_m < LEAST_GAIN_M:
        return "under a yard"
    return "within error" if gain_se_m is not None and gain_m < SURE_Z * gain_se_m else "bend"


def _planned(club: PlanClub, loft_deg: float, now_m: float, carry_m: float) -> PlannedClub:
    bend_deg = loft_deg - club.loft_deg
    bounce_deg = None if club.bounce_deg is None else club.bounce_deg + bend_deg
    return PlannedClub(club.label, club.loft_deg, loft_deg, bend_deg, now_m, carry_m, bounce_deg)


def _check(clubs: Sequence[PlanClub], step_deg: float, released: Collection[str]) -> None:
    if len(clubs) < 2:
        raise ValueError("a plan needs two clubs with a loft and a full carry: measure those of another club")
    check_bag([club.label for club in clubs])
    if step_deg not in LATTICE_DEG:
        raise ValueError("bends are planned in steps of 0.5 or 1 degree")
    if stray := sorted(set(released) - {clubs[0].label, clubs[-1].label}):
        raise ValueError(f"{stray[0]}: only the least and the most lofted club can be released; the others are free")
    for club in clubs:
        _check_club(club)


def _check_club(club: PlanClub) -> None:
    if not all(0 < loft < 90 for loft in (club.loft_deg, club.made_deg) if loft is not None):
        raise ValueError(f"{club.label}: give its loft in degrees, above 0 and under 90")
    if not 0 <= club.limit_deg < math.inf:
        raise ValueError(f"{club.label}: give the limit of a bend as 0 degrees or more; 0 for a head that is not bent")
    if club.bounce_deg is not None and not 0 <= club.bounce_deg < 90:
        raise ValueError(f"{club.label}: give its bounce as 0 degrees or more, or leave it open")
    if not all(0 <= se < math.inf for se in (club.se_m or 0.0, club.slope_se_m_per_deg)):
        raise ValueError(f"{club.label}: give standard errors as 0 or more, or leave them open")
