"""Which clubs of a bag may be bent and how far, and what the bag is with other lofts."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from statistics import mean, stdev

import numpy as np

from analytics.bag_carries import BagCarries, CarriedClub
from analytics.metrics.carry_surface import LOFTS_DEG, CarrySurface, SurfaceCarry
from analytics.metrics.gapping import BagClub, ClubCarry, GapCheck, check_gaps
from analytics.metrics.next_ball import StockShot
from analytics.metrics.relative_scatter import pooled_cv
from analytics.stock import StockCell, is_pitching_loft
from practice.clubs.models import ClubKind
from practice.players.models import Player

NEW = "the new club"
"""The label of a club that is not owned yet."""

Lofts = Mapping[str, float]
"""Lofts (degrees) that clubs get, by label; the others keep theirs."""


@dataclass(frozen=True)
class BendRange:
    """The lofts (degrees) that a head may get, the one it has among them; both the same where it is not bent."""

    low_deg: float
    high_deg: float

    @property
    def is_open(self) -> bool:
        return self.high_deg > self.low_deg


def bend_range(player: Player, carried: CarriedClub) -> BendRange:
    """Return how far a club with a pitching loft may be bent: its limit either way, counted from how it was made.

    So bend on bend never goes further. Nor does it go where the carry surface says nothing.
    """
    carried.club.player = player  # with the academy, whose limit may count
    limit_deg, now_deg = carried.club.limit_deg, carried.loft_deg
    made_deg = now_deg if carried.made_loft_deg is None else carried.made_loft_deg
    low_deg, high_deg = max(made_deg - limit_deg, LOFTS_DEG[0]), min(made_deg + limit_deg, LOFTS_DEG[1])
    return BendRange(min(low_deg, now_deg), max(high_deg, now_deg)) if limit_deg else BendRange(now_deg, now_deg)


def why_not_bent(carried: CarriedClub) -> str:
    """Say why nothing can be worked out for a club with another loft; "" where it can."""
    if carried.club.kind == ClubKind.PUTTER:
        return "a putter is not bent for carry"
    if carried.loft_deg is None:
        return "its loft is not entered"
    if not is_pitching_loft(carried.loft_deg):
        return f"only lofts of {LOFTS_DEG[0]:g}° to {LOFTS_DEG[1]:g}° can be worked out"
    return ""


def carry_at(surface: CarrySurface, label: str, loft_deg: float, swing: str) -> SurfaceCarry:
    """Return the carry of a club at a loft: its own balls count, bent too; without any the other clubs', and wider."""
    if label in surface.lofts_deg:
        return surface.bent(label, loft_deg)[swing]
    return surface.new_club(loft_deg, swing)


def gaps_with(bag: BagCarries, lofts: Lofts, *, added_deg: float | None = None, left_out: str = "") -> GapCheck:
    """Check the gaps of the bag with other lofts, with one more club of a loft, or without one.

    Carries of pitching clubs with stock balls, and of the club that is added, are those of the surface; those of other
    clubs are the means of their own balls. Bends must have a surface. ValueError for more clubs than the rules allow.
    """
    clubs = [_gap_club(bag, carried, lofts) for carried in bag.clubs if carried.label != left_out]
    if added_deg is not None:
        own = [_club_carry(swing, bag.surface.new_club(added_deg, swing)) for swing in bag.surface.swings]
        clubs.append(BagClub(NEW, added_deg, own))
    return check_gaps(clubs, bag.found.swings)


def _gap_club(bag: BagCarries, carried: CarriedClub, lofts: Lofts) -> BagClub:
    loft_deg = lofts.get(carried.label, carried.loft_deg)
    if carried.label in bag.surface.lofts_deg:
        bent = bag.surface.bent(carried.label, loft_deg)
        carries = [_club_carry(swing, carry) for swing, carry in bent.items()]
    else:
        cells = [cell for cell in bag.found.cells if cell.club == carried.label and cell.carries_m]
        carries = [_own_carry(cell) for cell in cells]
    return BagClub(carried.label, loft_deg, carries, putter=carried.club.kind == ClubKind.PUTTER)


def _club_carry(swing: str, carry: SurfaceCarry) -> ClubCarry:
    return ClubCarry(swing, carry.carry_m, carry.se_m)


def _own_carry(cell: StockCell) -> ClubCarry:
    n = len(cell.carries_m)
    return ClubCarry(cell.swing, mean(cell.carries_m), stdev(cell.carries_m) / n**0.5 if n > 1 else None)


def shots_with(
    bag: BagCarries, shots: list[StockShot], lofts: Lofts, *, added_deg: float | None = None, left_out: str = ""
) -> list[StockShot]:
    """Return the stock shots of the bag with other lofts, with one more club of a loft, or without one.

    A bend moves the mean carry as the surface says and keeps the scatter in percent; what is not known of the bend
    itself is small beside the scatter of a ball and is left out. A shot of the club that is added counts as well known
    as after so many balls as leave its carry as wide (1 or more), with the scatter that the player's others have.
    """
    kept = [_bent_shot(bag.surface, shot, lofts) for shot in shots if shot.club != left_out]
    return kept if added_deg is None else kept + _added_shots(bag.surface, shots, added_deg)


def _bent_shot(surface: CarrySurface, shot: StockShot, lofts: Lofts) -> StockShot:
    known = shot.club in surface.lofts_deg and shot.swing in surface.swings
    if shot.club not in lofts or not known:
        return shot
    now_m = surface.predict(shot.club, shot.swing).carry_m
    ratio = surface.bent(shot.club, lofts[shot.club])[shot.swing].carry_m / now_m
    return replace(
        shot,
        mean_m=shot.mean_m * ratio,
        s_m=None if shot.s_m is None else shot.s_m * ratio,
        lateral_s_m=None if shot.lateral_s_m is None else shot.lateral_s_m * ratio,
    )


def _added_shots(surface: CarrySurface, shots: list[StockShot], loft_deg: float) -> list[StockShot]:
    """Return the shots of a club that no ball was hit with."""
    known = [math.nan if shot.s_m is None else shot.s_m / shot.mean_m for shot in shots]
    cv = pooled_cv(np.array([shot.n for shot in shots]), np.array(known))
    mishit = mean(shot.mishit for shot in shots)
    added = []
    for swing in surface.swings:
        carry = surface.new_club(loft_deg, swing)
        balls = max(1, round((cv * carry.carry_m / carry.se_m) ** 2))
        added.append(StockShot(NEW, swing, balls, carry.carry_m, cv * carry.carry_m, mishit=mishit))
    return added
