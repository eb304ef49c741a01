"""What the roster and a player's page show, read from all that a player has: a fixed number of queries a page."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Count, Max, OuterRef, Subquery

from practice.accounts.devices import DeviceLine, device_lines
from practice.accounts.models import Device, User
from practice.planner.models import Block, PlanState, WeekPlan
from practice.planner.weeks import monday_of
from practice.players.models import Player
from practice.sessions.adherence import WeekDone, done_of, summary, weeks_done
from practice.sessions.models import PainStop, PracticeSession, Shot
from practice.sessions.session_counts import count_sentences, swing_sentences

HURT_DAYS = 7
SESSIONS_SHOWN = 12
STOPS_SHOWN = 5


@dataclass(frozen=True)
class PlanLine:
    """This week's plan: its state, how many balls it asks, and how many of them were hit."""

    state: str
    asked: int
    hit: int


@dataclass(frozen=True)
class RosterLine:
    """One player on the roster."""

    id: UUID
    name: str
    academy: str
    unit: str
    is_junior: bool
    last_visit: date | None
    balls_7_days: int
    balls_28_days: int
    plan: PlanLine | None
    hurt_on: date | None
    hurt_today: bool
    sign_in: str


def roster_lines(user: User, *, named: str = "") -> list[RosterLine]:
    """Return the players whom the user looks after, by name; `named` keeps those whose name holds it."""
    found = Player.objects.editable_by(user).on_the_roster().select_related("academy")
    players = [player for player in found if named.casefold() in player.name.casefold()]
    todays = {player.academy_id: player.academy.today() for player in players}
    earliest = min(todays.values(), default=date.max)
    last_visits, hurts = last_visits_of(players), hurts_of(players, earliest)
    balls, plans = balls_a_day_of(players, earliest), plans_of(players, todays)
    signed_in = set(Device.objects.filter(revoked_at=None, user__players__in=players).values_list("user_id", flat=True))
    return [
        RosterLine(
            id=player.pk,
            name=player.name,
            academy=player.academy.name,
            unit=player.shown_unit.label,
            is_junior=player.is_junior,
            last_visit=last_visits.get(player.pk),
            balls_7_days=in_last(7, today, balls.get(player.pk, {})),
            balls_28_days=in_last(28, today, balls.get(player.pk, {})),
            plan=plans.get(player.pk),
            hurt_on=hurt_lately(hurts.get(player.pk), today),
            hurt_today=hurts.get(player.pk) == today,
            sign_in=sign_in_state(player, signed_in),
        )
        for player in players
        for today in [todays[player.academy_id]]
    ]


def sign_in_state(player: Player, signed_in: set[UUID]) -> str:
    """Say whether the player can log on a phone."""
    if player.user_id is None:
        return "none yet"
    return "signed in" if player.user_id in signed_in else "signed out"


def in_last(days: int, today: date, balls: dict[date, int]) -> int:
    """Return the balls of the last days, today included."""
    return sum(count for day, count in balls.items() if timedelta(0) <= today - day < timedelta(days=days))


def hurt_lately(hurt_on: date | None, today: date) -> date | None:
    return hurt_on if hurt_on and today - hurt_on < timedelta(days=HURT_DAYS) else None


def last_visits_of(players: Iterable[Player]) -> dict[UUID, date]:
    """Return the date of each player's last session."""
    sessions = PracticeSession.objects.filter(player__in=players)
    return dict(sessions.values_list("player").annotate(last=Max("local_date")))


def hurts_of(players: Iterable[Player], earliest: date) -> dict[UUID, date]:
    """Return the last day on which each player stopped because something hurt."""
    since = earliest - timedelta(days=HURT_DAYS)
    stops = PainStop.objects.filter(player__in=players, deleted=False, local_date__gt=since)
    return dict(stops.values_list("player").annotate(last=Max("local_date")))


def balls_a_day_of(players: Iterable[Player], earliest: date) -> dict[UUID, Counter[date]]:
    """Return how many live balls each player hit on each of the last 28 days, counted in the database.

    Counted session by session, which is one look into the scoring index each; a join reads all shots of a player.
    """
    shots = Shot.objects.live().filter(player=OuterRef("player"), session=OuterRef("pk"))
    count = shots.values("session").annotate(count=Count("*")).values("count")
    sessions = PracticeSession.objects.filter(player__in=players, local_date__gt=earliest - timedelta(days=28))
    days: dict[UUID, Counter[date]] = {}
    for player, day, balls in sessions.values_list("player", "local_date", Subquery(count)):
        days.setdefault(player, Counter())[day] += balls or 0
    return days


def plans_of(players: list[Player], todays: dict[UUID, date]) -> dict[UUID, PlanLine]:
    """Return this week's plan of each player; one that was assigned before a draft of another."""
    mondays = {player.pk: monday_of(todays[player.academy_id]) for player in players}
    kept = {PlanState.DRAFT: 0, PlanState.ASSIGNED: 1}
    found = WeekPlan.objects.filter(player__in=players, monday__in=set(mondays.values()), state__in=kept)
    plans = {
        plan.player_id: plan
        for plan in sorted(found, key=lambda plan: kept[plan.state])
        if plan.monday == mondays[plan.player_id]
    }
    counts = ball_counts(plans.values())
    return {player: PlanLine(plan.state, *counts.get(plan.pk, (0, 0))) for player, plan in plans.items()}


def ball_counts(plans: Iterable[WeekPlan]) -> dict[UUID, tuple[int, int]]:
    """Return for each plan how many balls it asks, and how many of them were hit as far as the log tells."""
    blocks = Block.objects.filter(plan__in=plans, withdrawn_at=None).select_related("plan")
    done = done_of(blocks)
    counts = {block.plan_id: (0, 0) for block in blocks}
    for block in blocks:
        asked, hit = counts[block.plan_id]
        counts[block.plan_id] = asked + done[block.pk].asked, hit + done[block.pk].hit
    return counts


@dataclass(frozen=True)
class SessionLine:
    """One session of a player; `beside` says in words what was done beside the balls that are logged one by one."""

    local_date: date
    venue: str
    setting: str
    balls: int
    beside: list[str]


@dataclass(frozen=True)
class StopLine:
    """A day on which something hurt, and what was being practised."""

    local_date: date
    block: str


@dataclass(frozen=True)
class PlayerPage:
    """All that a coach sees first of one player."""

    player: Player
    unit: str
    monday: date
    plan: PlanLine | None
    hurt_on: date | None
    weeks: list[WeekDone]
    weeks_say: str
    sessions: list[SessionLine]
    stops: list[StopLine]
    devices: list[DeviceLine]


def player_page(player: Player) -> PlayerPage:
    """Return what stands on a player's page."""
    today = player.academy.today()
    stops, weeks = stop_lines(player), weeks_done(player, today=today)
    return PlayerPage(
        player=player,
        unit=player.shown_unit.label,
        monday=monday_of(today),
        plan=plans_of([player], {player.academy_id: today}).get(player.pk),
        hurt_on=hurt_lately(stops[0].local_date, today) if stops else None,
        weeks=weeks,
        weeks_say=summary(weeks),
        sessions=session_lines(player),
        stops=stops,
        devices=device_lines(player.user),
    )


def session_lines(player: Player) -> list[SessionLine]:
    """Return the player's latest sessions; balls and what was done beside them are counted for these alone."""
    newest = player.practice_sessions.select_related("venue").order_by("-local_date", "-pk")[:SESSIONS_SHOWN]
    sessions = [session.pk for session in newest]
    shots = Shot.objects.live().filter(player=player, session__in=sessions)
    balls = dict(shots.values_list("session").annotate(count=Count("pk")))
    swings, counts = swing_sentences(player, sessions), count_sentences(player, sessions)
    return [
        SessionLine(
            local_date=session.local_date,
            venue=session.venue.name,
            setting=session.setting,
            balls=balls.get(session.pk, 0),
            beside=[*swings.get(session.pk, []), *counts.get(session.pk, [])],
        )
        for session in newest
    ]


def stop_lines(player: Player) -> list[StopLine]:
    """Return the latest days on which something hurt."""
    stops = player.pain_stops.filter(deleted=False).select_related("block").order_by("-stopped_at")[:STOPS_SHOWN]
    return [StopLine(stop.local_date, stop.block.title if stop.block else "") for stop in stops]
