"""How much each club of a bag needs practice beside the others: by how far off its balls at targets may be."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from uuid import UUID

from analytics.frames import BY_EYE, MEASURED, PlayerShots, shots_of
from analytics.judged import judge
from analytics.metrics.needs import bounded_needs
from practice.planner.recipes import BagClub
from practice.players.models import Player


def with_needs(player: Player, bag: Sequence[BagClub]) -> list[BagClub]:
    """Return the bag with each club's need."""
    return with_known_needs(bag, needs_of({player: bag})[player.pk])


def with_known_needs(bag: Sequence[BagClub], needs: Mapping[str, float]) -> list[BagClub]:
    """Return the bag with needs by club label, as `needs_of` gives them."""
    return [replace(bagged, need=needs[bagged.club.label]) for bagged in bag]


def needs_of(bags: Mapping[Player, Sequence[BagClub]]) -> dict[UUID, dict[str, float]]:
    """Return by player the need of each club of the bag, by its label; how far the clubs reach does not matter. The
    number of statements does not grow with the players.

    It is the upper end of the 95 % interval of the club's RMSE, in percent of the target, over its swings by how many
    balls there are: so a club is needy if it misses by much or if little is known of it. Measured balls count; where
    none of the bag's balls at targets was measured, those by eye do. `bounded_needs` says what becomes of clubs without
    any, and holds the needs together.
    """
    found = shots_of(bags)
    return {player.pk: _needs(found[player.pk], [bagged.club.label for bagged in bag]) for player, bag in bags.items()}


def _needs(found: PlayerShots, labels: list[str]) -> dict[str, float]:
    judged = [(cell, figures) for cell, figures in zip(found.cells, judge(found).cells, strict=True) if figures]
    for by in (MEASURED, BY_EYE):
        cells = [(cell.club, figures) for cell, figures in judged if cell.by == by and cell.club in labels]
        if cells:
            break
    return dict(zip(labels, bounded_needs([_may_miss(label, cells) for label in labels]), strict=True))


def _may_miss(label: str, cells: Sequence[tuple]) -> float | None:
    """Return by how many percent of the target a club's balls may be off; None where nothing is known."""
    own = [(figures.n, figures.rmse_pct.ci95[1]) for club, figures in cells if club == label]
    return sum(n * upper for n, upper in own) / sum(n for n, _ in own) if own else None
