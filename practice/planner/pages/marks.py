"""How a player stands to the pass marks of blocks: scored where the shots are."""

from collections import defaultdict
from collections.abc import Collection
from math import hypot, inf
from uuid import UUID

from practice.planner.models import Block
from practice.planner.versions import versions_of
from practice.sessions.models import Shot
from practice.sessions.words import MISHITS

RESULT = ("ball__block", "ball__target_m", "carry_m", "error_m", "lateral_m", "contact", "seen")


def mark_results(blocks: Collection[Block]) -> dict[UUID, str]:
    """Return for each block with a pass mark how the player stands to it, in words. Their plans must be fetched.

    A ball is judged by its landing miss, sideways too where that was noted; a mishit misses by any mark, a ball that
    nobody saw land and one to warm up are not judged.
    """
    marked = [block for block in blocks if block.pass_mark]
    if not marked:
        return {}
    versions = {old.pk: new.pk for old, new in versions_of(marked).items()}
    shots = Shot.objects.live().filter(ball__block__in=versions, warm_up=False).in_order()
    misses: dict[UUID, list[float]] = defaultdict(list)
    for block, *shot in shots.values_list(*RESULT):
        if (miss := _miss_share(*shot)) is not None:
            misses[versions[block]].append(miss)
    return {block.pk: str(block.pass_mark.result(misses[block.pk])) for block in marked}


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
