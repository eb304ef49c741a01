"""How far each club of a bag reaches, as plain values for the planner."""

import math
from collections import defaultdict
from collections.abc import Collection, Iterable
from uuid import UUID

from django.db.models import Avg, Count, F, Max

from analytics.metrics.reach import ENOUGH_BALLS, ClubCarries, ClubReach, StockCarry, club_reaches
from analytics.stock import AT_NO_TARGET, FLEW, hit_as_lofted_now, with_stock_swing
from practice.clubs.models import Club
from practice.clubs.swings import swing_position
from practice.planner.generator import ClubOption, StockSwing
from practice.planner.recipes import BagClub
from practice.players.models import Player
from practice.sessions.words import MeasuredBy


def reach_of_bag(player: Player, *, full_swings: bool) -> list[BagClub]:
    """Return the carried clubs but the putter, by loft, then label, each with its reach."""
    return reach_of_bags([player], full_swings=full_swings)[player.pk]


def reach_of_bags(players: Collection[Player], *, full_swings: bool) -> dict[UUID, list[BagClub]]:
    """Return each player's bag as `reach_of_bag` does; the number of statements does not grow with the players."""
    clubs = sorted(Club.objects.filter(player__in=players).for_pitching().with_setups(), key=Club.loft_key)
    flown = hit_as_lofted_now(clubs).filter(FLEW)
    stock, at_targets = _stock_carries(flown), _carries_at_targets(flown)
    stated = _stated(players)
    bags: dict[UUID, list[Club]] = {player.pk: [] for player in players}
    for club in clubs:
        bags[club.player_id].append(club)
    return {
        player: _with_reach(
            bag,
            [
                ClubCarries(
                    label=club.label,
                    loft_deg=club.setup_now.loft_deg,
                    stock=stock[club.pk],
                    at_targets_m=at_targets[club.pk],
                    stated=stated[club.pk],
                )
                for club in bag
            ],
            full_swings=full_swings,
        )
        for player, bag in bags.items()
    }


def _with_reach(clubs: list[Club], known: list[ClubCarries], *, full_swings: bool) -> list[BagClub]:
    reaches = club_reaches(known, full_swings=full_swings)
    return [
        BagClub(club, _option(reach), reach.basis, give_m=reach.give_m)
        for club, reach in zip(clubs, reaches, strict=True)
    ]


def _option(reach: ClubReach) -> ClubOption | None:
    if reach.basis is None:
        return None
    stock = tuple(StockSwing(swing=swing, carry_m=carry_m) for swing, carry_m in reach.stock)
    return ClubOption(label=reach.label, shortest_m=reach.shortest_m, longest_m=reach.longest_m, stock=stock)


def _stock_carries(flown) -> defaultdict:
    """Return the measured stock carries of each club, shortest swing first; by eye there are none.

    Of one ball type on one surface, as a range ball off a mat flies otherwise than the player's own off grass: of those
    with enough balls of the club the one hit last.
    """
    stock = with_stock_swing(flown).filter(AT_NO_TARGET)
    grouped = stock.values_list("club", "ball_type", "surface", "swing")
    sets = defaultdict(lambda: defaultdict(list))
    figures = {"n": Count("pk"), "mean_m": Avg("carry_m"), "mean_sq": Avg(F("carry_m") * F("carry_m"))}
    for club, ball_type, surface, *swing in grouped.annotate(**figures, last=Max("hit_at")):
        sets[club][ball_type, surface].append(swing)
    return defaultdict(list, {club: _latest_set(of_club.values()) for club, of_club in sets.items()})


def _latest_set(sets: Iterable[list]) -> list[StockCarry]:
    """Return the carries of the set hit last of those with enough balls; each is rows of swing, n, mean, mean
    square and last."""
    enough = [rows for rows in sets if sum(n for _, n, *_ in rows) >= ENOUGH_BALLS]
    rows = max(enough, key=lambda rows: max(last for *_, last in rows), default=[])
    ordered = sorted(rows, key=lambda row: swing_position(row[0]))
    return [StockCarry(swing, n, mean_m, _s_m(n, mean_m, mean_sq)) for swing, n, mean_m, mean_sq, _ in ordered]


def _s_m(n: int, mean_m: float, mean_sq: float) -> float:
    """Return the standard deviation, which SQLite does not know; 0 for one ball."""
    return math.sqrt(max(0.0, mean_sq - mean_m**2) * n / (n - 1)) if n > 1 else 0.0


def _carries_at_targets(flown) -> defaultdict:
    """Return each club's carries at targets: the measured ones where there are enough, else those by eye."""
    by = {True: defaultdict(list), False: defaultdict(list)}
    for club, measured_by, carry_m in flown.exclude(AT_NO_TARGET).values_list("club", "measured_by", "carry_m"):
        by[measured_by == MeasuredBy.EYE][club].append(carry_m)
    measured, by_eye = by[False], by[True]
    enough = {club: carries for club, carries in measured.items() if len(carries) >= ENOUGH_BALLS}
    return defaultdict(list, {**by_eye, **enough})


def _stated(players: Collection[Player]) -> defaultdict:
    stated = defaultdict(list)
    rows = Club.objects.filter(player__in=players, stated_carries__isnull=False)
    for club, swing, carry_m in rows.values_list("pk", "stated_carries__swing", "stated_carries__carry_m"):
        stated[club].append((swing, carry_m))
    return stated
