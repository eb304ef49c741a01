"""A week for a squad of 30: drawn for each player with the own clubs and stored, against executemany of its rows."""

from collections.abc import Iterator
from datetime import date, timedelta
from statistics import median

from practice.drills.actions import add_default_drills
from practice.planner.giving import PlayersWeek, draw_weeks, give_weeks
from practice.planner.models import Ball, Block, WeekPlan
from practice.planner.repeats import BlockRecipe
from practice.planner.views.copies import bags_of
from practice.venues.models import Target
from tests.bench.figure import Figure
from tests.bench.mirror import mirrored
from tests.bench.ratio import Ratio, side_by_side, timed
from tests.bench.stage import LOFTS_DEG, Cast, set_stage
from tests.make import make_club, make_player

PLAYERS, BLOCKS, BALLS = 30, 3, 20
MONDAY = date(2026, 3, 2)


def recipes(cast: Cast) -> list[BlockRecipe]:
    """Return three random-target blocks of 20 balls with every club at every flag."""
    add_default_drills(cast.academy)
    drill = cast.academy.drills.get(kind="random_target")
    line = cast.range.tee_lines.get()
    where = {"place": str(line.pk), "targets": [str(target.pk) for target in Target.objects.filter(tee_line=line)]}
    clubs = [(f"{loft_deg:.0f}", loft_deg) for loft_deg in LOFTS_DEG]
    parameters = drill.parameters | where | {"balls": BALLS}
    return [BlockRecipe(str(drill.pk), drill.title, parameters, "every", clubs, {"cue": "Slow"})] * BLOCKS


def measure(*, quick: bool) -> Iterator[Ratio | Figure]:
    cast = set_stage()
    week = recipes(cast)
    players = [make_player(cast.academy) for _ in range(PLAYERS)]
    for player in players:
        for loft_deg in LOFTS_DEG:
            make_club(player, f"{loft_deg:.0f}", loft_deg=loft_deg, stated_full_m=145.0 - loft_deg)
    mondays = (MONDAY + timedelta(weeks=n) for n in range(10_000))
    took = []

    def drawn(monday: date) -> list[PlayersWeek]:
        return draw_weeks(week, players, monday=monday, bags=bags_of(players, week), seed=1)

    def give() -> float:
        monday = next(mondays)
        given = []
        go = timed(
            lambda: given.extend(give_weeks(drawn(monday), monday=monday, made_by=None, replace=False, assign=False))
        )
        took.append(go())
        if sum(each.balls for each in given) != PLAYERS * BLOCKS * BALLS:
            raise RuntimeError("The squad did not get all its balls.")
        return took[-1]

    give()  # whatever is read once
    with mirrored((WeekPlan, Block, Ball)) as mirror:
        # The check that a week starts on a Monday is one of Django's functions, which a bare connection does not have.
        mirror.bare.create_function("django_date_extract", 2, lambda _, day: date.fromisoformat(day).isoweekday())
        yield side_by_side(
            f"a week of {BLOCKS} x {BALLS} balls for {PLAYERS} players : executemany of its rows",
            give,
            mirror.catch_up,
            goal=None,
            rounds=3 if quick else 15,
        )
    yield Figure(f"a week for a squad of {PLAYERS}, drawn and stored", 1000 * median(took), "ms", 1000)
