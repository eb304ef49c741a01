"""Load: balls asked and hit week by week, the coaches' own limits; and the days before a competition."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from practice.planner import actions
from practice.planner.easing import EASE_DAYS, Planned, easing_warnings
from practice.planner.models import Block, Competition
from practice.planner.pages.week import week_page
from practice.players.models import Player
from practice.sessions.load import balls_a_day
from practice.sessions.models import BlockOutcome, BlockTally, PracticeSession, SmoothSwing, StrikeMark, TurfSwing
from tests import make
from tests.practice.planner.plans import MONDAY, assign, put_block

pytestmark = pytest.mark.django_db
WEEK = timedelta(days=7)


def hit(player, day, count, **values):
    """Hit balls at noon of a day."""
    club = player.clubs.first()
    venue = player.academy.venues.get()
    at = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
    return [make.make_shot(club, venue, hit_at=at, **values) for _ in range(count)]


def week(coach, player, monday=MONDAY):
    response = coach.get(reverse("planner:week", args=[player.pk, str(monday)]))
    return response.context["page"], " ".join(response.content.decode().split())


# What was hit


def test_everything_that_was_a_ball_or_a_swing_counts_on_its_day(player, clubs):
    (shot,) = hit(player, MONDAY, 1)
    done = {"player": player, "session": shot.session, "done_at": timezone.now()}
    block = put_block(player, clubs)
    TurfSwing.objects.create(contact="clean", ground="brush", **done)
    SmoothSwing.objects.create(smooth=True, **done)
    StrikeMark.objects.create(club=clubs[0], heel_toe_mm=0, low_high_mm=0, **done)
    BlockTally.objects.create(block=block, balls=20, on=11, long=4, short=4, mishits=1, **done)
    BlockOutcome.objects.create(balls=30, **done)
    assert balls_a_day([player], MONDAY, MONDAY)[player.pk] == {MONDAY: 54}
    assert balls_a_day([player], MONDAY + WEEK, MONDAY + WEEK)[player.pk] == {}


def test_the_marks_and_swings_of_a_block_are_among_the_balls_of_its_outcome(player, clubs):
    (shot,) = hit(player, MONDAY, 1)
    block = put_block(player, clubs)
    done = {"player": player, "session": shot.session, "done_at": timezone.now(), "block": block}
    for _ in range(4):
        StrikeMark.objects.create(club=clubs[0], heel_toe_mm=0, low_high_mm=0, **done)
    TurfSwing.objects.create(contact="clean", ground="brush", **done)
    assert balls_a_day([player], MONDAY, MONDAY)[player.pk] == {MONDAY: 1 + 5}
    outcome = BlockOutcome.objects.create(balls=6, **done)
    assert balls_a_day([player], MONDAY, MONDAY)[player.pk] == {MONDAY: 1 + 6}
    outcome.deleted = True
    outcome.save()
    assert balls_a_day([player], MONDAY, MONDAY)[player.pk] == {MONDAY: 1 + 5}


def test_what_was_undone_or_set_aside_or_anothers_does_not_count(player, clubs):
    first, second = hit(player, MONDAY, 2)
    type(first).objects.filter(pk=first.pk).update(deleted=True)
    type(first).objects.filter(pk=second.pk).update(set_aside_at=timezone.now(), set_aside_reason="a test")
    mate = make.make_player(player.academy)
    make.make_club(mate)
    hit(mate, MONDAY, 3)
    assert balls_a_day([player], MONDAY, MONDAY)[player.pk] == {}


def test_of_a_block_logged_every_third_the_others_were_hit_too(player, clubs):
    block = assign(player, clubs, logging="third").blocks.get()
    for n in (3, 6, 9):
        hit(player, MONDAY, 1, ball=block.balls.get(n=n))
    assert balls_a_day([player], MONDAY, MONDAY)[player.pk] == {MONDAY: 9}


def test_a_tested_sum_over_days_is_that_of_a_slow_count(player, clubs):
    for n in range(5):
        hit(player, MONDAY + timedelta(days=n % 3), n + 1)
    slow = {}
    for session in PracticeSession.objects.filter(player=player):
        slow[session.local_date] = slow.get(session.local_date, 0) + session.shots.count()
    assert balls_a_day([player], MONDAY, MONDAY + WEEK)[player.pk] == slow


# Week by week


def test_the_weeks_stand_with_what_was_asked_and_hit_and_the_change(coach, player, clubs):
    hit(player, MONDAY - 2 * WEEK, 4)
    hit(player, MONDAY - WEEK, 6)
    assign(player, clubs, monday=MONDAY - WEEK, balls=8)
    put_block(player, clubs, balls=12)
    page, text = week(coach, player)
    assert [(row.asked, row.hit) for row in page.weeks[-3:]] == [(0, 4), (8, 6), (12, 0)]
    assert [row.change for row in page.weeks[-3:-1]] == ["from none to 4", "+50 %"]
    assert "a physician or another qualified professional decides" in text


def test_a_week_to_come_counts_with_what_is_asked_and_a_jump_is_said(coach, player, clubs):
    this = player.academy.today()
    monday = this - timedelta(days=this.weekday())
    hit(player, monday - WEEK, 6)
    put_block(player, clubs, monday=monday, balls=12)
    page, text = week(coach, player, monday)
    assert page.weeks[-1].change == "+100 %"
    assert "12 balls are more than in any of the 5 weeks before: the most was 6." in text


def test_a_smaller_week_is_no_jump(coach, player, clubs):
    this = player.academy.today()
    monday = this - timedelta(days=this.weekday())
    hit(player, monday - WEEK, 8)
    put_block(player, clubs, monday=monday, balls=4)
    page, _ = week(coach, player, monday)
    assert (page.weeks[-1].change, page.jump) == ("−50 %", "")


def test_with_nothing_logged_before_that_is_said(coach, player, clubs):
    this = player.academy.today()
    put_block(player, clubs, monday=this - timedelta(days=this.weekday()))
    assert "nobody knows what the player is used to" in week(coach, player, this - timedelta(days=this.weekday()))[1]


def test_the_draft_and_not_what_it_replaces_is_what_a_week_asks(player, clubs):
    assign(player, clubs, balls=12)
    draft = actions.start_next_version(player=player, monday=MONDAY, made_by=None)
    actions.remove_block(plan=draft, block_id=draft.blocks.get().pk)
    put_block(player, clubs, balls=5)
    assert week_page(player, MONDAY).weeks[-1].asked == 5


# The coaches' own limits


@pytest.mark.parametrize(
    ("own", "junior", "limit"), [(None, False, 100), (None, True, 40), (30, True, 30), (150, False, 150)]
)
def test_a_players_own_limit_counts_before_the_academys_and_a_juniors_is_lower(player, own, junior, limit):
    player.academy.daily_ball_limit, player.academy.junior_daily_ball_limit = 100, 40
    assert Player(academy=player.academy, daily_ball_limit=own, is_junior=junior).ball_limit == limit


def test_an_academys_limit_is_told_as_such_on_the_week(coach, player, clubs):
    player.is_junior = True
    player.save()
    player.academy.junior_daily_ball_limit = 10
    player.academy.save()
    put_block(player, clubs, balls=12)
    _, text = week(coach, player)
    assert "over the limit that your academy set of 10 a day" in text
    assert "Your academy’s own limit for juniors is 10 balls a day, no medical one." in text


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"daily_ball_limit": "50", "junior_daily_ball_limit": "60"}, "enter at most 50"),
        ({"daily_ball_limit": "0", "junior_daily_ball_limit": "60"}, "Enter 1 to 1000"),
        ({"daily_ball_limit": "", "junior_daily_ball_limit": ""}, "required"),
        ({"daily_ball_limit": "10000", "junior_daily_ball_limit": "60"}, "Enter 1 to 1000"),
    ],
)
def test_limits_that_cannot_be_come_back_with_their_fault(coach, cast, sent, words):
    response = coach.post(reverse("planner:ball_limits", args=[cast.academy.pk]), sent)
    assert response.status_code == 422
    assert words in response.content.decode()
    cast.academy.refresh_from_db()
    assert (cast.academy.daily_ball_limit, cast.academy.junior_daily_ball_limit) == (None, 60)


def test_the_coach_sets_the_limits(coach, cast):
    sent = {"daily_ball_limit": "120", "junior_daily_ball_limit": "45"}
    assert coach.post(reverse("planner:ball_limits", args=[cast.academy.pk]), sent).status_code == 302
    cast.academy.refresh_from_db()
    assert (cast.academy.daily_ball_limit, cast.academy.junior_daily_ball_limit) == (120, 45)


# Before a competition


SATURDAY = MONDAY + timedelta(days=5)


def planned(day=None, kind="random_target", cue="", balls=10):
    return Planned("Mixed", kind, cue, balls, None if day is None else MONDAY + timedelta(days=day))


def warn(*blocks, day=SATURDAY, cues=(), usual=None):
    return easing_warnings(
        blocks, monday=MONDAY, competitions=[day] if day else [], cues_before=cues, usual_balls=usual
    )


@pytest.mark.parametrize("day", range(7))
def test_a_carry_test_is_warned_of_in_the_days_before_a_competition_and_on_its_own(day):
    assert bool(warn(planned(day, kind="carry_test"))) == (5 - EASE_DAYS <= day <= 5)


def test_a_cue_is_warned_of_where_it_is_new():
    assert warn(planned(4, cue="Slow")) == ["“Mixed” has a new cue just before a competition."]
    assert warn(planned(4, cue="Slow"), cues=["Slow"]) == warn(planned(0, cue="Slow")) == []


def test_more_than_half_of_the_usual_balls_is_warned_of_day_by_day():
    assert warn(planned(4, balls=20), planned(4, balls=11), usual=60) == [
        "Friday: 31 balls, where about 60 a day are usual: plan at most half."
    ]
    assert warn(planned(4, balls=30), planned(0, balls=90), usual=60) == warn(planned(4, balls=90)) == []


def test_a_block_for_any_day_is_asked_for_its_day():
    assert "give it a day" in warn(planned())[0]


def test_without_a_competition_near_nothing_is_said():
    far = MONDAY + timedelta(days=7 + EASE_DAYS)
    assert warn(planned(6, kind="carry_test"), day=far) == warn(planned(6, kind="carry_test"), day=None) == []
    assert warn(planned(6, kind="carry_test"), day=far - timedelta(days=1)) != []


def test_a_competition_is_added_and_removed_on_the_week_which_says_what_does_not_fit(coach, player, clubs):
    block = put_block(player, clubs)
    actions.set_terms(plan=block.plan, block_id=block.pk, day=4, cue="A new one")
    address = reverse("planner:add_competition", args=[player.pk, str(MONDAY)])
    for title in ("", "Spring meeting"):
        assert coach.post(address, {"day": str(SATURDAY), "title": title}).status_code == 302
    page, text = week(coach, player)
    assert [str(each) for each in page.competitions] == ["Spring meeting"]
    assert "has a new cue just before a competition" in text
    assert "half the balls (common practice)" in text
    response = coach.post(reverse("planner:remove_competition", args=[Competition.objects.get().pk]))
    assert response.url == reverse("planner:week", args=[player.pk, str(MONDAY)])
    assert "new cue" not in week(coach, player)[1]


def test_a_cue_that_was_assigned_in_the_weeks_before_is_none_new(coach, player, clubs):
    for monday in (MONDAY - WEEK, MONDAY):
        block = put_block(player, clubs, monday=monday)
        actions.set_terms(plan=block.plan, block_id=block.pk, day=4, cue="Slow")
        if monday < MONDAY:
            actions.assign_plan(plan=block.plan)
    Competition.objects.create(player=player, day=SATURDAY)
    assert "new cue" not in " ".join(week(coach, player)[0].warnings)
    Block.objects.filter(plan__monday=MONDAY).update(cue="Fast")
    assert "new cue" in " ".join(week(coach, player)[0].warnings)


@pytest.mark.parametrize("day", ["", "soon", "1999-12-31", "2026-02-30"])
def test_a_day_that_is_none_comes_back_with_its_fault(coach, player, day):
    response = coach.post(reverse("planner:add_competition", args=[player.pk, str(MONDAY)]), {"day": day, "title": "X"})
    assert response.status_code == 422
    assert "errorlist" in response.content.decode()
    assert not Competition.objects.exists()


def test_another_players_competition_is_not_shown(coach, cast, player):
    Competition.objects.create(player=cast.team_mate, day=date(2026, 3, 4))
    assert week(coach, player)[0].competitions == []
