"""How much players hit, day by day: everything that was a ball or a swing, however it was logged."""

from collections import Counter
from collections.abc import Collection
from datetime import date
from uuid import UUID

from django.db.models import Count, Max, Sum

from practice.planner.models import Logging
from practice.players.models import Player
from practice.sessions.models import BlockOutcome, BlockTally, Shot, SmoothSwing, StrikeMark, TurfSwing


def balls_a_day(players: Collection[Player], first: date, last: date) -> dict[UUID, Counter[date]]:
    """Return the balls and swings of each player on each day from first to last, in as many statements for many players
    as for one; days without any are left out.

    A shot, a strike mark, a swing over the turf and a smooth swing are one each; a tally and an outcome say how
    many they stand for, and where a block has an outcome its marks and swings are among these. Of a block of which
    every third ball is logged the others were hit too, on the day of its last shot.
    """
    within = {"player__in": players, "session__local_date__range": (first, last)}
    by = ("player", "session__local_date")
    days: dict[UUID, Counter[date]] = {player.pk: Counter() for player in players}
    told = BlockOutcome.objects.live().filter(player__in=players, block__isnull=False).values("block")
    singles = [model.objects.live().exclude(block__in=told) for model in (StrikeMark, TurfSwing, SmoothSwing)]
    found = [
        rows.filter(**within).order_by().values_list(*by).annotate(Count("pk"))
        for rows in (Shot.objects.live(), *singles)
    ]
    for model in (BlockTally, BlockOutcome):
        found.append(model.objects.live().filter(**within).order_by().values_list(*by).annotate(Sum("balls")))
    for rows in found:
        for player, day, balls in rows:
            days[player][day] += balls
    thirds = Shot.objects.live().filter(**within, ball__block__logging=Logging.THIRD).order_by()
    of_blocks = thirds.values_list("player", "ball__block").annotate(Max("ball__n"), Count("pk"), Max(by[1]))
    for player, _, up_to, logged, on in of_blocks:
        days[player][on] += max(up_to - logged, 0)
    return {player: +counted for player, counted in days.items()}
