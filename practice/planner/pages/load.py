"""How much a player was asked and hit week by week, and what a plan adds to that."""

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import fmean, median
from uuid import UUID

from django.db.models import Count

from practice.planner.check_day import too_soon
from practice.planner.easing import EASE_DAYS, Planned, easing_warnings
from practice.planner.models import Block, Competition, PlanState, WeekPlan
from practice.planner.repeats import earlier_blocks
from practice.planner.suggest_forms import UsualWeek
from practice.planner.weeks import WEEK, monday_of
from practice.players.models import Player
from practice.sessions.load import balls_a_day

WEEKS = 6
"""Weeks that the table shows, the one in hand included."""

USUAL_OF_WEEKS, FEWEST_WEEKS = 8, 3
"""In how many weeks a usual one is looked for, and how many of them need practice; common practice, no source."""

COMPETITIONS_SHOWN = 8


@dataclass(frozen=True)
class WeekLoad:
    """One week: balls asked by what was assigned, balls and swings hit, and the change from the week before in words.

    `counted` is what is compared: what was hit, and in a week that is not over what is asked where that is more.
    """

    monday: date
    asked: int
    hit: int
    counted: int
    change: str


@dataclass(frozen=True)
class Load:
    """What a player is used to: weeks up to the one in hand, balls on a day of practice (None without any), cues."""

    weeks: list[WeekLoad]
    usual_balls: float | None
    cues: set[str]


def load_of(player: Player, monday: date, balls: int | None) -> Load:
    """Return the load of the weeks up to that of `monday`; `balls` are asked in it, None as it was assigned."""
    return loads_of([player], monday, {} if balls is None else {player.pk: balls})[player.pk]


def loads_of(players: Collection[Player], monday: date, balls: Mapping[UUID, int]) -> dict[UUID, Load]:
    """Return each player's load, in as many statements for many as for one; `balls` says what they are asked in the
    week of `monday`, where it is not as it was assigned."""
    first = monday - (WEEKS - 1) * WEEK
    hit = balls_a_day(players, first, monday + timedelta(days=6))
    asked, cues = _asked(players, first, monday)
    loads = {}
    for player in players:
        days, weeks = hit[player.pk], asked[player.pk]
        if player.pk in balls:
            weeks[monday] = balls[player.pk]
        loads[player.pk] = Load(
            weeks=_weeks(first, weeks, days, monday_of(player.academy.today())),
            usual_balls=fmean(before) if (before := [n for day, n in days.items() if day < monday]) else None,
            cues=cues[player.pk],
        )
    return loads


def _asked(
    players: Collection[Player], first: date, monday: date
) -> tuple[dict[UUID, Counter[date]], dict[UUID, set[str]]]:
    """Return the balls that each player's assigned weeks ask, and the cues of those before the one in hand."""
    assigned = Block.objects.filter(plan__player__in=players, plan__state=PlanState.ASSIGNED, withdrawn_at=None)
    rows = assigned.filter(plan__monday__range=(first, monday)).annotate(listed=Count("balls"))
    asked: dict[UUID, Counter[date]] = defaultdict(Counter)
    cues: dict[UUID, set[str]] = defaultdict(set)
    read = rows.values_list("plan__player", "plan__monday", "listed", "parameters", "cue")
    for player, week, listed, parameters, cue in read:
        asked[player][week] += listed or parameters.get("balls", 0)
        cues[player] |= {cue} if week < monday else set()
    return asked, cues


def _weeks(first: date, asked: Counter[date], days: Counter[date], this: date) -> list[WeekLoad]:
    hit: dict[date, int] = defaultdict(int)
    for day, balls in days.items():
        hit[monday_of(day)] += balls
    weeks: list[WeekLoad] = []
    for monday in (first + n * WEEK for n in range(WEEKS)):
        counted = max(hit[monday], asked[monday]) if monday >= this else hit[monday]
        change = _change(weeks[-1].counted, counted) if weeks else ""
        weeks.append(WeekLoad(monday, asked[monday], hit[monday], counted, change))
    return weeks


def _change(before: int, now: int) -> str:
    """Say how much more or less a week is than the one before."""
    if before == now:
        return "as before"
    if not before:
        return f"from none to {now}"
    return f"{100 * (now - before) / before:+.0f} %".replace("-", "−")


def usual_week(player: Player, monday: date) -> UsualWeek:
    """Return the median week, in balls and days, of those of the last eight in which the player practised, up to that
    of `monday` and to this week, which is not over; where these are too few, what every player starts with.

    No visit gets more than the player's limit of balls a day.
    """
    end = min(monday, monday_of(player.academy.today()))
    days = balls_a_day([player], end - USUAL_OF_WEEKS * WEEK, end - timedelta(days=1))[player.pk]
    weeks: dict[date, list[int]] = defaultdict(list)
    for day, balls in days.items():
        weeks[monday_of(day)].append(balls)
    usual = UsualWeek()
    if len(weeks) >= FEWEST_WEEKS:
        usual = UsualWeek(
            balls=round(median(map(sum, weeks.values()))),
            visits=round(median(map(len, weeks.values()))),
            source=f"Filled in is the median of {len(weeks)} weeks with practice in the last {USUAL_OF_WEEKS}.",
        )
    if player.ball_limit and usual.balls > (most := usual.visits * player.ball_limit):
        return replace(usual, balls=most, source=f"Filled in is the limit of {player.ball_limit} balls a visit.")
    return usual


def jump_words(load: Load) -> str:
    """Say how the week in hand stands to those before; "" where there is nothing to say."""
    *before, week = load.weeks
    most = max((each.counted for each in before), default=0)
    if not week.counted:
        return ""
    if not most:
        return f"Nothing was logged in the {len(before)} weeks before, so nobody knows what the player is used to."
    if week.counted > most:
        return f"{week.counted} balls are more than in any of the {len(before)} weeks before: the most was {most}."
    return ""


def competitions_from(player: Player, monday: date) -> list[Competition]:
    """Return the player's competitions of this week and later, by day."""
    return list(player.competitions.filter(day__gte=monday).order_by("day")[:COMPETITIONS_SHOWN])


def warnings_for(plan: WeekPlan | None, monday: date, competitions: list[Competition], load: Load) -> list[str]:
    """Say what in a plan, with its blocks fetched, does not fit the competitions in its week or soon after."""
    blocks = [block for block in plan.blocks.all() if block.withdrawn_at is None] if plan else []
    planned = [
        Planned(
            title=block.title,
            kind=block.kind,
            cue=block.cue,
            balls=block.balls_asked,
            day=None if block.day is None else monday + timedelta(days=block.day),
        )
        for block in blocks
    ]
    near = [each.day for each in competitions if each.day <= monday + timedelta(days=6 + EASE_DAYS)]
    repeated = earlier_blocks(blocks)
    checks = [too_soon(block.title, repeated[block.pk].when, block.when) for block in blocks if block.pk in repeated]
    return [words for words in checks if words] + easing_warnings(
        planned, monday=monday, competitions=near, cues_before=load.cues, usual_balls=load.usual_balls
    )
