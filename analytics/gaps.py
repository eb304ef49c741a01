"""The gaps of a player's bag: rows -> steps, evenness and the distances without a shot."""

import math
from collections import defaultdict
from dataclasses import dataclass
from statistics import mean

import numpy as np

from analytics.bag_carries import BagCarries, CarriedClub, bag_carries
from analytics.metrics.carry_chart import StockBalls
from analytics.metrics.gapping import MOST_CLUBS, BagClub, ClubCarry, GapCheck, check_gaps
from analytics.metrics.relative_scatter import pooled_cv
from analytics.stock import StockCell
from practice.clubs.models import ClubKind, LoftReading, StatedCarry
from practice.players.models import Player


@dataclass(frozen=True)
class Shot:
    """A club and swing: mean carry (m), its standard error (m) and the scatter of one ball (m); None = not known."""

    club: str
    swing: str
    balls: int
    carry_m: float
    se_m: float | None
    scatter_m: float | None


@dataclass(frozen=True)
class PlayerGaps:
    """What the page of the gaps is made of.

    Attributes
    ----------
    playing, putters
        The clubs carried by loft, and the labels of the putters, which are left out.
    shots
        Of the chosen set, in order of loft, then swing.
    check
        None where more clubs are carried than the rules allow; `too_many` then says how many stay at home.
    readings
        The last reading of each club's loft as it is set up now, by label.
    stated
        Carries that the coach states, by label: never measured, and in no figure.
    """

    bag: BagCarries
    playing: tuple[CarriedClub, ...]
    putters: tuple[str, ...]
    shots: tuple[Shot, ...]
    check: GapCheck | None
    too_many: int
    readings: dict[str, LoftReading]
    stated: dict[str, list[StatedCarry]]


def player_gaps(player: Player, chosen: str = "") -> PlayerGaps:
    """Check the steps of the clubs carried, by the stock balls of the chosen set (a key of `StockSet`)."""
    bag = bag_carries(player, chosen)
    playing = tuple(each for each in bag.clubs if each.club.kind != ClubKind.PUTTER)
    shots = shots_of(bag.found.cells) if bag.found else ()
    too_many = max(0, len(bag.clubs) - MOST_CLUBS)
    return PlayerGaps(
        bag=bag,
        playing=playing,
        putters=tuple(each.label for each in bag.clubs if each not in playing),
        shots=shots,
        check=None if too_many else _check(bag, shots),
        too_many=too_many,
        readings=_readings(playing),
        stated=_stated(playing),
    )


def shots_of(cells: tuple[StockCell, ...]) -> tuple[Shot, ...]:
    """Return the mean carry of each club and swing with any stock ball.

    Its standard error is that of the scatter in percent of all the cells together, which they are taken to share: one
    cell's few balls do not know it. None where every cell has one ball, so that there is no scatter at all.
    """
    flown = [StockBalls(c.club, c.loft_deg or 0.0, c.swing, c.carries_m) for c in cells if c.carries_m]
    n, own = np.array([len(each.carries_m) for each in flown]), np.array([each.cv for each in flown])
    cv = pooled_cv(n, own) if (n > 1).any() else None
    return tuple(_shot(each, cv) for each in flown)


def _shot(balls: StockBalls, cv: float | None) -> Shot:
    carry_m, n = mean(balls.carries_m), len(balls.carries_m)
    scatter_m = None if cv is None else cv * carry_m
    se_m = None if scatter_m is None else scatter_m / math.sqrt(n)
    return Shot(balls.club, balls.swing, n, carry_m, se_m, scatter_m)


def _check(bag: BagCarries, shots: tuple[Shot, ...]) -> GapCheck:
    of_club = defaultdict(list)
    for shot in shots:
        of_club[shot.club].append(ClubCarry(shot.swing, shot.carry_m, shot.se_m))
    clubs = [
        BagClub(each.label, each.loft_deg, of_club[each.label], putter=each.club.kind == ClubKind.PUTTER)
        for each in bag.clubs
    ]
    return check_gaps(clubs, bag.found.swings if bag.found else ())


def _readings(clubs: tuple[CarriedClub, ...]) -> dict[str, LoftReading]:
    label = {each.setup.pk: each.label for each in clubs}
    rows = LoftReading.objects.filter(setup__in=label).order_by("measured_on", "pk")
    return {label[reading.setup_id]: reading for reading in rows}


def _stated(clubs: tuple[CarriedClub, ...]) -> dict[str, list[StatedCarry]]:
    label = {each.club.pk: each.label for each in clubs}
    by_label = defaultdict(list)
    for stated in StatedCarry.objects.filter(club__in=label).order_by("-carry_m", "pk"):
        by_label[label[stated.club_id]].append(stated)
    return dict(by_label)
