"""Gap check: how evenly the clubs of a bag step, in loft and in carry, and which distances it has no shot for."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from scipy import special

from analytics.metrics.intervals import TAIL

MOST_CLUBS = 14  # Rules of Golf, Rule 4.1b
LOFT_SE_DEG = 0.5  # of one reading: a good gauge on a held head, read to a degree either way; engineering estimate
MATTERS_DEG = 1.0  # lofts are stamped in whole degrees; steps that differ by less are even
MATTERS_M = 2 * 0.9144  # a bend that evens out two steps changes each by half: a yard, for less no club is bent
OVERLAP_DEG, HOLE_DEG = 3.0, 7.0  # steps of 4, 5 or 6 degrees all work: common practice, no source; a degree beyond
COVERS_M = 5 * 0.9144  # to either side of a carry: half of ten yards between full shots; common practice, no source
SAME = 1e-9  # what rounding in the last bits makes is no difference


@dataclass(frozen=True)
class ClubCarry:
    """Mean carry (m, above 0) of one swing and its standard error (m); None = not known, as after one ball."""

    swing: str
    carry_m: float
    se_m: float | None = None


@dataclass(frozen=True)
class BagClub:
    """A club in the bag; `loft_deg` None = not known. A putter counts among the 14, and for nothing else here."""

    label: str
    loft_deg: float | None = None
    carries: Sequence[ClubCarry] = ()
    putter: bool = False


@dataclass(frozen=True)
class CarryStep:
    """How much shorter the more lofted of two clubs flies with one swing.

    Attributes
    ----------
    step_m, se_m
        Below 0 where it flies further; standard error None where one of the carries has none.
    worth_deg
        The same step in degrees: over what a degree costs with this swing, by a straight line through all clubs. So
        it stands beside the step in loft; of two clubs alone it is that step. None where carry does not fall with loft.
    verdict
        "out of order" (it flies further), "overlap" (a step worth less than 3 degrees), "hole" (more than 7), "fits";
        "same loft" where neither is the more lofted one; None where carry does not fall with loft, so that nothing
        else can be said of a step.
    sure
        Would the verdict be the same all over the 95 % interval of the step? None without a standard error, and where
        the verdict is not drawn from the step. What a degree costs is taken as known.
    """

    swing: str
    step_m: float
    se_m: float | None
    worth_deg: float | None
    verdict: str | None
    sure: bool | None


@dataclass(frozen=True)
class Step:
    """From one club to the next more lofted one, in loft (0 where both have the same) and with each swing of both."""

    lower: str
    higher: str
    loft_deg: float
    loft_se_deg: float
    carries: tuple[CarryStep, ...]


@dataclass(frozen=True)
class Evenness:
    """The largest step beside the smallest, in degrees or in metres.

    Attributes
    ----------
    difference_se
        Standard error of largest less smallest; None where one of the clubs has none.
    verdict
        "even" (they differ by less than matters: 1 degree, 2 yards), "uneven" (by more, and by more than errors of
        measurement make of equal steps in 95 bags of 100), "within error" (by no more than that), or "not known"
        without a standard error.
    """

    smallest: float
    largest: float
    mean: float
    difference_se: float | None
    verdict: str


@dataclass(frozen=True)
class Stretch:
    """Distances (m) without a shot, and the shots (club, swing) to either side.

    `sure`: would it be there all over the 95 % interval of what lies between the two carries? None where one of them
    has no standard error.
    """

    from_m: float
    to_m: float
    shorter: tuple[str, str]
    longer: tuple[str, str]
    sure: bool | None


@dataclass(frozen=True)
class GapCheck:
    """What `check_gaps` finds in a bag.

    Attributes
    ----------
    steps
        From the least loft up; empty unless two clubs have a loft.
    loft
        None under two steps: one step is not even with anything.
    carry
        By swing, those with two steps, shortest first. Neighbours in loft only: where a club between them has no
        carry, there is no step.
    bare
        From near to far, between the shortest and the longest carry of all clubs and swings, loft known or not.
    without_loft, without_carry
        Labels of the clubs, putters left out, that have none: to be measured, as no step can be told from them.
    """

    steps: tuple[Step, ...]
    loft: Evenness | None
    carry: dict[str, Evenness]
    bare: tuple[Stretch, ...]
    without_loft: tuple[str, ...]
    without_carry: tuple[str, ...]


def check_gaps(
    clubs: Sequence[BagClub],
    swings: Sequence[str],
    *,
    loft_se_deg: float = LOFT_SE_DEG,
    covers_m: float = COVERS_M,
) -> GapCheck:
    """Check the steps of one player's bag.

    Errors of clubs are taken as independent. Those of neighbours on one fitted surface go alike for the most part, and
    those of their steps then come out too wide rather than too narrow. The limits of overlap and hole are those of
    wedges: what they say of steps between irons is no more than a hint.

    Parameters
    ----------
    clubs
        All that are carried, 14 at most, in any order: they are put into that of their lofts.
    swings
        Swing lengths in order, shortest first.
    loft_se_deg
        Standard error of one loft reading, 0 or more: half of what 95 readings of 100 of the same head lie within.
    covers_m
        How far from its carry, to either side, a shot still serves a distance; above 0.

    Returns
    -------
    GapCheck, also of a bag without any loft or carry. ValueError says what is wrong with the bag.
    """
    _check(clubs, swings, loft_se_deg, covers_m)
    playing = [club for club in clubs if not club.putter]
    known = sorted((c for c in playing if c.loft_deg is not None), key=lambda club: (club.loft_deg, club.label))
    by_swing = {swing: [_carry(club, swing) for club in known] for swing in swings}
    # Minus the loft, so that a step is how much less the next one is, as with carry.
    loft = _evenness([(-club.loft_deg, loft_se_deg) for club in known], MATTERS_DEG)
    carry = {swing: _evenness([c and (c.carry_m, c.se_m) for c in own], MATTERS_M) for swing, own in by_swing.items()}
    return GapCheck(
        _steps(known, by_swing, math.sqrt(2) * loft_se_deg),
        loft,
        {swing: evenness for swing, evenness in carry.items() if evenness},
        _bare(playing, covers_m),
        tuple(club.label for club in playing if club.loft_deg is None),
        tuple(club.label for club in playing if not club.carries),
    )


def _carry(club: BagClub, swing: str) -> ClubCarry | None:
    return next((carry for carry in club.carries if carry.swing == swing), None)


def _steps(
    clubs: Sequence[BagClub], by_swing: dict[str, list[ClubCarry | None]], loft_se_deg: float
) -> tuple[Step, ...]:
    lost_m = {swing: _lost_m_per_deg(clubs, carries) for swing, carries in by_swing.items()}
    steps = []
    for k, (lower, higher) in enumerate(pairwise(clubs)):
        both = {swing: carries[k : k + 2] for swing, carries in by_swing.items() if all(carries[k : k + 2])}
        carries = tuple(_carry_step(swing, *pair, lost_m[swing]) for swing, pair in both.items())
        if higher.loft_deg == lower.loft_deg:
            carries = tuple(replace(carry, verdict="same loft", sure=None) for carry in carries)
        steps.append(Step(lower.label, higher.label, higher.loft_deg - lower.loft_deg, loft_se_deg, carries))
    return tuple(steps)


def _lost_m_per_deg(clubs: Sequence[BagClub], carries: Sequence[ClubCarry | None]) -> float | None:
    """What a degree costs: least squares over the clubs with a carry; None where it costs nothing."""
    points = [(club.loft_deg, c.carry_m) for club, c in zip(clubs, carries, strict=True) if c]
    loft, carry = np.array(points).reshape(-1, 2).T
    if len(points) < 2 or np.ptp(loft) == 0:
        return None
    off = loft - loft.mean()
    lost = -float(off @ carry / (off @ off))
    return lost if lost > SAME else None


def _carry_step(swing: str, lower: ClubCarry, higher: ClubCarry, lost_m_per_deg: float | None) -> CarryStep:
    step_m, se_m = lower.carry_m - higher.carry_m, _together([lower.se_m, higher.se_m])
    verdict = _step_verdict(step_m, lost_m_per_deg)
    sure = None
    if se_m is not None and verdict is not None:
        half = _z(1) * se_m
        sure = _step_verdict(step_m - half, lost_m_per_deg) == _step_verdict(step_m + half, lost_m_per_deg)
    return CarryStep(swing, step_m, se_m, None if lost_m_per_deg is None else step_m / lost_m_per_deg, verdict, sure)


def _step_verdict(step_m: float, lost_m_per_deg: float | None) -> str | None:
    if step_m < 0:
        return "out of order"
    if lost_m_per_deg is None:
        return None
    worth_deg = step_m / lost_m_per_deg
    return "overlap" if worth_deg < OVERLAP_DEG - SAME else "hole" if worth_deg > HOLE_DEG + SAME else "fits"


def _evenness(clubs: Sequence[tuple[float, float | None] | None], matters: float) -> Evenness | None:
    """Evenness of the steps between clubs, each a value that falls from club to club and its standard error.

    Which of k steps are the largest and the smallest is chosen after the fact, so their difference is held against
    the limit that all k (k - 1) / 2 differences of two steps keep together: Bonferroni, NIST/SEMATECH e-Handbook of
    Statistical Methods, 7.4.7.3 (section from memory).
    """
    at = [k for k, pair in enumerate(pairwise(clubs)) if all(pair)]
    if len(at) < 2:
        return None
    steps = {k: clubs[k][0] - clubs[k + 1][0] for k in at}
    most, least = max(at, key=steps.__getitem__), min(reversed(at), key=steps.__getitem__)
    weight = np.zeros(len(clubs))
    # A club between the two counts twice: neighbouring steps err against each other.
    for k, share in ((most, 1), (least, -1)):
        weight[k] += share
        weight[k + 1] -= share
    counted = [k for k, share in enumerate(weight) if share]
    se = _together([clubs[k][1] for k in counted], weight[counted])
    verdict = _evenness_verdict(steps[most] - steps[least], se, matters, len(at) * (len(at) - 1) // 2)
    return Evenness(steps[least], steps[most], sum(steps.values()) / len(at), se, verdict)


def _evenness_verdict(difference: float, se: float | None, matters: float, differences: int) -> str:
    if difference < matters - SAME:
        return "even"
    if se is None:
        return "not known"
    return "uneven" if difference > _z(differences) * se else "within error"


def _bare(clubs: Sequence[BagClub], covers_m: float) -> tuple[Stretch, ...]:
    shots = sorted((c.carry_m, club.label, c.swing, c.se_m) for club in clubs for c in club.carries)
    stretches = []
    for (short_m, *shorter, short_se), (long_m, *longer, long_se) in pairwise(shots):
        bare_m, se_m = long_m - short_m - 2 * covers_m, _together([short_se, long_se])
        if bare_m > SAME:
            sure = None if se_m is None else bare_m > _z(1) * se_m
            stretches.append(Stretch(short_m + covers_m, long_m - covers_m, tuple(shorter), tuple(longer), sure))
    return tuple(stretches)


def _z(differences: int) -> float:
    """Normal quantile that all of so many differences keep within, either way, in 95 cases of 100 or more."""
    return float(special.ndtri(1 - TAIL / differences))


def _together(errors: Sequence[float | None], weight: np.ndarray = 1.0) -> float | None:
    """Standard error of a weighted sum of independent parts; None where one of them has none."""
    return None if None in errors else float(np.linalg.norm(np.multiply(errors, weight)))


def check_bag(labels: Sequence[str]) -> None:
    """Raise a ValueError for more clubs than the rules allow, and for two of one name."""
    if len(labels) > MOST_CLUBS:
        raise ValueError(
            f"{len(labels)} clubs: leave {len(labels) - MOST_CLUBS} at home; Rule 4.1b allows {MOST_CLUBS}"
        )
    if len(set(labels)) < len(labels):
        raise ValueError("two clubs have the same name: give each its own")


def _check(clubs: Sequence[BagClub], swings: Sequence[str], loft_se_deg: float, covers_m: float) -> None:
    check_bag([club.label for club in clubs])
    if not 0 <= loft_se_deg < math.inf:
        raise ValueError("give the error of a loft reading as 0 degrees or more")
    if not 0 < covers_m < math.inf:
        raise ValueError("give how far a shot serves to either side of its carry, above 0")
    for club in clubs:
        _check_club(club, swings)


def _check_club(club: BagClub, swings: Sequence[str]) -> None:
    if club.loft_deg is not None and not 0 < club.loft_deg < 90:
        raise ValueError(f"{club.label}: give its loft in degrees, above 0 and under 90, or leave it open")
    hit = [carry.swing for carry in club.carries]
    if stray := sorted(set(hit) - set(swings)):
        raise ValueError(f"{club.label} {stray[0]}: not among the swing lengths {', '.join(swings)}")
    if len(set(hit)) < len(hit):
        raise ValueError(f"{club.label}: each swing may come once; give one mean carry of all its balls")
    for carry in club.carries:
        if not 0 < carry.carry_m < math.inf:
            raise ValueError(f"{club.label} {carry.swing}: give a carry above 0 that is no mishit's, or leave it out")
        if carry.se_m is not None and not 0 <= carry.se_m < math.inf:
            raise ValueError(f"{club.label} {carry.swing}: give a standard error of 0 or more, or leave it open")
