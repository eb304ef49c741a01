"""The roster: what a coach sees of each player in the morning."""

from datetime import date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from practice.accounts.models import Device, Membership, Role
from practice.planner.actions import assign_plan, set_terms, start_next_version
from practice.planner.models import Ball, Block, PlanState, WeekPlan
from practice.planner.weeks import monday_of
from practice.players.pages import in_last, roster_lines
from practice.sessions.models import BlockTally, PainStop, PracticeSession, Shot
from tests import make

pytestmark = pytest.mark.django_db


def line_of(cast):
    """Return the player's line as the coach sees it."""
    return next(line for line in roster_lines(cast.coach) if line.id == cast.player.pk)


def make_plan(
    player, balls: int, *, state: str = PlanState.ASSIGNED, monday: date | None = None, logging: str = "every"
) -> list[Ball]:
    """Make a plan of one block for this week, and return its balls."""
    monday = monday or monday_of(player.academy.today())
    plan = WeekPlan.objects.create(player=player, monday=monday, version=WeekPlan.objects.count() + 1)
    fields = {"kind": "random_target", "title": "Mixed targets", "seed": 1, "logging": logging}
    block = Block.objects.create(plan=plan, position=1, **fields)
    club = player.clubs.first() or make.make_club(player)
    made = Ball.objects.bulk_create(
        Ball(block=block, n=n, club=club, swing="feel", target_m=50.0) for n in range(1, balls + 1)
    )
    if state == PlanState.ASSIGNED:
        WeekPlan.objects.filter(pk=plan.pk).update(state=state, assigned_at=timezone.now())
    return made


def days_ago(days: int) -> datetime:
    return timezone.now() - timedelta(days=days)


def test_players_stand_in_order_of_name_and_only_those_of_the_coachs_academies(cast):
    make.make_player(cast.academy, "Aaron Last")
    make.make_player(cast.outsider.memberships.get().academy, "Aaron First")
    names = [line.name for line in roster_lines(cast.coach)]
    assert names == sorted(["Aaron Last", cast.player.name, cast.team_mate.name])


def test_a_coach_of_two_academies_sees_both_and_which_is_which(cast):
    second = make.make_academy("Second Academy")
    Membership.objects.create(academy=second, user=cast.coach, role=Role.COACH)
    make.make_player(second, "Zoe")
    page = cast.client("coach").get("/players/")
    assert page.context["lines"][-1].academy == "Second Academy"
    assert "Second Academy" in page.content.decode()


def test_a_player_of_one_academy_who_coaches_another_sees_the_other_roster_only(cast):
    second = make.make_academy()
    Membership.objects.create(academy=second, user=cast.player.user, role=Role.COACH)
    assert roster_lines(cast.player.user) == []


def test_somebody_off_the_roster_is_named_below_it(cast):
    cast.player.archive()
    page = cast.client("coach").get("/players/")
    assert cast.player.name not in [line.name for line in page.context["lines"]]
    assert page.context["archived"] == [cast.player]


def test_a_search_keeps_the_names_that_hold_the_words_without_regard_to_case(cast):
    make.make_player(cast.academy, "Åsa Lindén")
    page = cast.client("coach").get("/players/", {"named": " LINDÉN "})
    assert [line.name for line in page.context["lines"]] == ["Åsa Lindén"]


def test_a_search_as_one_types_gets_the_table_alone(cast):
    page = cast.client("coach").get("/players/", {"named": "x"}, headers={"HX-Request": "true"})
    html = page.content.decode().strip()
    assert html.startswith('<div id="roster"')
    assert "No player has “x” in the name" in html


def test_the_last_visit_is_the_date_of_the_last_session(cast):
    club, venue = make.make_club(cast.player), make.make_range(cast.academy)
    assert line_of(cast).last_visit is None
    for days in (3, 40):
        make.make_shot(club, venue, hit_at=days_ago(days))
    assert line_of(cast).last_visit == days_ago(3).date()


@pytest.mark.parametrize(
    ("days", "balls"), [(0, (1, 1)), (6, (1, 1)), (7, (0, 1)), (27, (0, 1)), (28, (0, 0)), (100, (0, 0))]
)
def test_balls_are_counted_over_seven_and_twenty_eight_days_today_included(cast, days, balls):
    make.make_shot(make.make_club(cast.player), make.make_range(cast.academy), hit_at=days_ago(days))
    line = line_of(cast)
    assert (line.balls_7_days, line.balls_28_days) == balls


def test_a_day_that_has_begun_in_the_venues_zone_only_is_not_counted_yet():
    today = date(2026, 5, 4)
    assert in_last(7, today, {date(2026, 5, 5): 9, today: 2, date(2026, 4, 28): 1, date(2026, 4, 27): 5}) == 3


def test_undone_and_set_aside_balls_are_not_counted(cast):
    club, venue = make.make_club(cast.player), make.make_range(cast.academy)
    make.make_shot(club, venue)
    make.make_shot(club, venue, deleted=True)
    aside = make.make_shot(club, venue)
    Shot.objects.filter(pk=aside.pk).update(set_aside_at=timezone.now(), set_aside_reason="another's ball")
    assert line_of(cast).balls_7_days == 1


def test_days_are_those_of_the_academys_own_calendar(cast):
    """Kiritimati is 14 hours ahead of UTC and Niue 11 behind (IANA time zone database): never on the same date."""
    dates = set()
    for zone in ("Pacific/Kiritimati", "Pacific/Niue"):
        cast.academy.time_zone = zone
        dates.add(cast.academy.today())
    assert len(dates) == 2


def test_this_weeks_plan_shows_how_many_of_its_balls_were_hit(cast):
    balls = make_plan(cast.player, 4)
    club, venue = balls[0].club, make.make_range(cast.academy)
    assert (line_of(cast).plan.asked, line_of(cast).plan.hit) == (4, 0)
    make.make_shot(club, venue, ball=balls[0])
    make.make_shot(club, venue, ball=balls[0])
    make.make_shot(club, venue, ball=balls[1])
    make.make_shot(club, venue, ball=balls[2], deleted=True)
    make.make_shot(club, venue)
    assert (line_of(cast).plan.asked, line_of(cast).plan.hit) == (4, 2)


def test_a_block_logged_every_third_ball_is_hit_up_to_the_last_one_logged(cast):
    balls = make_plan(cast.player, 8, logging="third")
    club, venue = balls[0].club, make.make_range(cast.academy)
    hits = []
    for n in (3, 6, 8):
        make.make_shot(club, venue, ball=balls[n - 1])
        hits.append(line_of(cast).plan.hit)
    assert hits == [3, 6, 8]
    Shot.objects.filter(ball=balls[7]).update(deleted=True)
    assert line_of(cast).plan.hit == 6


def make_tally(ball: Ball, balls: int, **fields) -> BlockTally:
    """Make what the player remembers of the ball's block."""
    player = ball.block.plan.player
    venue = player.academy.venues.first() or make.make_range(player.academy)
    session, _ = PracticeSession.objects.get_or_create(player=player, local_date=date(2026, 5, 4), venue=venue)
    counts = {"balls": balls, "on": 1, "long": 0, "short": 0, "mishits": 0, "done_at": timezone.now()}
    return BlockTally.objects.create(player=player, block=ball.block, session=session, **counts, **fields)


def test_of_a_block_that_is_only_counted_as_many_were_hit_as_its_tally_says(cast):
    ball, *_ = make_plan(cast.player, 10, logging="end")
    assert (line_of(cast).plan.asked, line_of(cast).plan.hit) == (10, 0)
    tally = make_tally(ball, 9)
    make_tally(ball, 4)
    make_tally(ball, 10, deleted=True)
    assert line_of(cast).plan.hit == 9
    BlockTally.objects.filter(pk=tally.pk).update(balls=30)
    assert line_of(cast).plan.hit == 10


def test_a_week_is_the_sum_of_its_blocks_however_each_is_logged(cast):
    balls = make_plan(cast.player, 6, logging="third")
    plan = balls[0].block.plan
    WeekPlan.objects.update(state=PlanState.DRAFT, assigned_at=None)
    counted = Block.objects.create(plan=plan, position=2, kind="random_target", title="More", seed=1, logging="end")
    last = Ball.objects.create(block=counted, n=1, club=balls[0].club, swing="feel")
    WeekPlan.objects.update(state=PlanState.ASSIGNED, assigned_at=timezone.now())
    make.make_shot(last.club, make.make_range(cast.academy), ball=balls[2])
    make_tally(last, 1)
    assert (line_of(cast).plan.asked, line_of(cast).plan.hit) == (7, 4)


@pytest.mark.parametrize(("logging", "hit"), [("every", 2), ("third", 3), ("end", 0)])
def test_what_was_hit_before_the_coach_edited_the_week_still_counts(cast, logging, hit):
    first, *_ = make_plan(cast.player, 6)
    venue = make.make_range(cast.academy)
    make.make_shot(first.club, venue, ball=first)
    draft = start_next_version(player=cast.player, monday=first.block.plan.monday, made_by=cast.coach)
    copy = draft.blocks.get()
    set_terms(plan=draft, block_id=copy.pk, logging=logging)
    assign_plan(plan=draft)
    make.make_shot(first.club, venue, ball=copy.balls.get(n=3))
    make.make_shot(first.club, venue, ball=copy.balls.get(n=1))
    assert (line_of(cast).plan.asked, line_of(cast).plan.hit) == (6, hit)


def test_what_was_hit_of_a_block_that_was_drawn_anew_does_not_count(cast):
    first, *_ = make_plan(cast.player, 6)
    make.make_shot(first.club, make.make_range(cast.academy), ball=first)
    draft = start_next_version(player=cast.player, monday=first.block.plan.monday, made_by=cast.coach)
    draft.blocks.get().balls.filter(n=6).update(target_m=33.0)
    assign_plan(plan=draft)
    assert line_of(cast).plan.hit == 0


def test_a_plan_is_told_to_be_a_draft_until_it_is_assigned(cast):
    assert line_of(cast).plan is None
    make_plan(cast.player, 3, state=PlanState.DRAFT)
    assert (line_of(cast).plan.state, line_of(cast).plan.asked) == ("draft", 3)


def test_an_assigned_plan_stands_before_a_draft_of_its_next_version(cast):
    make_plan(cast.player, 5)
    make_plan(cast.player, 3, state=PlanState.DRAFT)
    assert (line_of(cast).plan.state, line_of(cast).plan.asked) == ("assigned", 5)


def test_balls_of_a_block_that_was_taken_back_are_not_asked(cast):
    balls = make_plan(cast.player, 4)
    balls[0].block.withdraw(at=timezone.now())
    assert line_of(cast).plan.asked == 0


def test_the_plan_of_another_week_is_not_this_weeks(cast):
    make_plan(cast.player, 4, monday=monday_of(cast.academy.today()) - timedelta(days=7))
    assert line_of(cast).plan is None


@pytest.mark.parametrize(("days", "said"), [(0, "today"), (6, "on"), (7, "")])
def test_something_that_hurts_is_said_at_once_for_a_week(cast, days, said):
    day = cast.academy.today() - timedelta(days=days)
    PainStop.objects.create(player=cast.player, stopped_at=days_ago(days), local_date=day)
    html = cast.client("coach").get("/players/").content.decode()
    assert ("stopped because something hurt" in html) is bool(said)
    assert (f"something hurt</strong> {said}" in html) is bool(said)
    assert ("something hurts</span>" in html) is bool(said)


def test_a_stop_that_was_taken_back_is_not_shown(cast):
    PainStop.objects.create(
        player=cast.player, stopped_at=timezone.now(), local_date=cast.academy.today(), deleted=True
    )
    assert line_of(cast).hurt_on is None


def test_the_sign_in_state_tells_who_cannot_log_yet(cast):
    stranger = make.make_player(cast.academy, "No Sign-In")
    Device.objects.create(user=cast.player.user, label="Phone")
    Device.objects.create(user=cast.team_mate.user, label="Phone", revoked_at=timezone.now())
    states = {line.id: line.sign_in for line in roster_lines(cast.coach)}
    assert states == {cast.player.pk: "signed in", cast.team_mate.pk: "signed out", stranger.pk: "none yet"}


def test_an_empty_roster_says_what_to_do(cast):
    assert "Add the first one" in cast.client("outsider").get("/players/").content.decode()


def test_queries_do_not_grow_with_players_shots_plans_or_devices(cast):
    client, venue = cast.client("coach"), make.make_range(cast.academy)

    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as captured:
            client.get("/players/")
        return len(captured)

    def more_of(player):
        make.make_shot(make_plan(player, 3)[0].club, venue)
        Device.objects.create(user=player.user, label="Phone")
        PainStop.objects.create(player=player, stopped_at=timezone.now(), local_date=cast.academy.today())

    more_of(cast.player)
    before = queries()
    for _ in range(6):
        more_of(make.make_player(cast.academy, signs_in=True))
    for _ in range(20):
        make.make_shot(cast.player.clubs.first(), venue)
    assert queries() == before <= 16


def test_no_shot_is_fetched_to_be_counted(cast):
    make.make_shot(make.make_club(cast.player), make.make_range(cast.academy))
    with CaptureQueriesContext(connection) as captured:
        roster_lines(cast.coach)
    about_shots = [query["sql"] for query in captured if "practice_sessions_shot" in query["sql"]]
    assert about_shots
    assert all("COUNT(" in sql and "carry_m" not in sql for sql in about_shots)
