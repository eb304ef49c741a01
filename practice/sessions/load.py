"""How much a player hit, day by day: everything that was a ball or a swing, however it was logged."""

from collections import Counter
from datetime import date

from django.db.models import Count, Max, Sum

from practice.planner.models import Logging
from practice.players.models import Player
from practice.sessions.models import BlockOutcome, BlockTally, Shot, SmoothSwing, StrikeMark, TurfSwing


def balls_a_day(player: Player, first: date, last: date) -> Counter[date]:
    """Return the balls and swings of each day from first to last; days without any are left out.

    A shot, a strike mark, a swing over the turf and a smooth swing are one each; a tally and an outcome say how
    many they stand for, and where a block has an outcome its marks and swings are among these. Of a block of which
    every third ball is logged the others were hit too, on the day of its last shot.
    """
    within = {"player": player, "session__local_date__range": (first, last)}
    day = "session__local_date"
    days: Counter[date] = Counter()
    told = BlockOutcome.objects.live().filter(player=player, block__isnull=False).values("block")
    singles = [model.objects.live().exclude(block__in=told) for model in (StrikeMark, TurfSwing, SmoothSwing)]
    for rows in (Shot.objects.live(), *singles):
        found = rows.filter(**within).order_by().values_list(day)
        days.update(dict(found.annotate(count=Count("pk"))))
    for model in (BlockTally, BlockOutcome):
        found = model.objects.live().filter(**within).order_by().values_list(day)
        days.update(dict(found.annotate(count=Sum("balls"))))
    thirds = Shot.objects.live().filter(**within, ball__block__logging=Logging.THIRD).order_by()
    for _, up_to, logged, on in thirds.values_list("ball__block").annotate(Max("ball__n"), Count("pk"), Max(day)):
        days[on] += max(up_to - logged, 0)
    return +days
