"""What a block of an edited week shares with the versions before it: what was done there counts for it."""

from collections.abc import Iterable

from django.db.models import prefetch_related_objects

from practice.planner.models import Ball, Block


def versions_of(blocks: Iterable[Block]) -> dict[Block, Block]:
    """Return the blocks of which what was done counts for these blocks, each with the one it counts for.

    Beside the blocks themselves those of the versions of the week before: a coach who edits a week makes a copy of
    it, and what was done until then was not done in vain, also where the copy is logged otherwise. A block that was
    drawn anew starts from its first ball. The blocks' plans must be fetched.
    """
    versions = {block: block for block in blocks}
    edited = [block for block in versions if block.replaces_id]
    if not edited:
        return versions
    prefetch_related_objects(edited, "balls")
    weeks = {"plan__player__in": {block.plan.player_id for block in edited}}
    weeks |= {"plan__monday__in": {block.plan.monday for block in edited}}
    by_id = {block.pk: block for block in Block.objects.filter(**weeks).prefetch_related("balls")}
    for block in edited:
        asked = [_asked(ball) for ball in block.balls.all()]
        before = by_id.get(block.replaces_id)
        while before:
            if [_asked(ball) for ball in before.balls.all()] == asked:
                versions[before] = block
            before = by_id.get(before.replaces_id)
    return versions


def _asked(ball: Ball) -> tuple:
    return ball.n, ball.club_id, ball.swing, ball.target_id, ball.target_m
