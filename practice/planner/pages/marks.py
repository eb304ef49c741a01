"""How a player stands to the pass marks of blocks: scored where the shots are."""

from collections import defaultdict
from collections.abc import Collection
from math import hypot, inf
from uuid import UUID

from django.db.models import Count, Q

from practice.planner.marks import MarkResult
from practice.planner.models import Block
from practice.planner.versions import versions_of
from practice.sessions.models import BlockOutcome, Shot, SmoothSwing, TurfSwing
from practice.sessions.words import MISHITS, Contact

RESULT = ("ball__block", "ball__target_m", "carry_m", "error_m", "lateral_m", "contact", "seen")
MADE = ((TurfSwing, Q(contact=Contact.CLEAN)), (SmoothSwing, Q(smooth=True)))


def mark_results(blocks: Collection[Block]) -> dict[UUID, str]:
    """Return for each block with a pass mark how the player stands to it, in words; "" before the first ball.

    The blocks' plans must be fetched.

    A ball is judged by its landing miss, sideways too where that was noted; a mishit misses by any mark, a ball that
    nobody saw land and one to warm up are not judged. Of other logs those count that were made, clean or smooth.
    """
    marked = [block for block in blocks if block.pass_mark]
    if not marked:
        return {}
    versions = {old.pk: new.pk for old, new in versions_of(marked).items()}
    misses, counts = _misses(versions), _counts(versions)
    results = {}
    for block in marked:
        mark, by_landing = block.pass_mark, block.marked_by == "landing"
        result = mark.result(misses[block.pk]) if by_landing else MarkResult(mark, *counts[block.pk])
        results[block.pk] = str(result) if result.balls else ""
    return results


def _misses(versions: dict[UUID, UUID]) -> dict[UUID, list[float]]:
    """Return the misses of each block's balls, as shares of their distances."""
    shots = Shot.objects.live().filter(ball__block__in=versions, warm_up=False).in_order()
    misses: dict[UUID, list[float]] = defaultdict(list)
    for block, *shot in shots.values_list(*RESULT):
        if (miss := _miss_share(*shot)) is not None:
            misses[versions[block]].append(miss)
    return misses


def _counts(versions: dict[UUID, UUID]) -> dict[UUID, tuple[int, int]]:
    """Return what was made of each block, and of how many, where its log says so itself."""
    counts: dict[UUID, tuple[int, int]] = defaultdict(lambda: (0, 0))

    def add(block: UUID, made: int, balls: int) -> None:
        before = counts[versions[block]]
        counts[versions[block]] = (before[0] + made, before[1] + balls)

    for model, good in MADE:
        rows = model.objects.live().filter(block__in=versions).order_by().values_list("block")
        for row in rows.annotate(made=Count("pk", filter=good), balls=Count("pk")):
            add(*row)
    outcomes = BlockOutcome.objects.live().filter(block__in=versions).exclude(made=None)
    for row in outcomes.values_list("block", "made", "balls"):
        add(*row)
    return counts


def _miss_share(
    target_m: float | None,
    carry_m: float | None,
    error_m: float | None,
    lateral_m: float | None,
    contact: str,
    seen: bool,
) -> float | None:
    """Return a landing miss as a share of the distance asked; infinite for a mishit, None where nothing can be said."""
    if contact in MISHITS:
        return inf
    if not target_m or not seen or (carry_m is None and error_m is None):
        return None
    error_m = carry_m - target_m if error_m is None else error_m
    return hypot(error_m, lateral_m or 0.0) / target_m
