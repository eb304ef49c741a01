"""What was asked, done, and done instead: counted block by block, told week by week."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from practice.planner import actions
from practice.planner.models import Ball, Block, WeekPlan
from practice.planner.weeks import monday_of
from practice.sessions.adherence import BlockDone, WeekDone, done_between, done_of, summary, weeks_done
from practice.sessions.models import BlockOutcome, BlockTally, PracticeSession, Shot, SmoothSwing, StrikeMark, TurfSwing
from tests import make
from tests.practice.planner.plans import MONDAY, assign, equip

pytestmark = pytest.mark.django_db

TUESDAY = make.local(2026, 3, 3)


def hit(week: WeekPlan) -> dict[str, int]:
    blocks = list(week.blocks.select_related("plan"))
    done = done_of(blocks)
    return {block.title: done[block.pk].hit for block in blocks if done[block.pk].hit}


def shot_at(ball: Ball, **values) -> Shot:
    return make.make_shot(ball.club, ball.block.venue, ball=ball, hit_at=values.pop("hit_at", TUESDAY), **values)


def log(model, week: WeekPlan, title: str | None, **values) -> None:
    """Log practice on the Tuesday that is no shot, for a block or for none."""
    known = {"venue": week.player.academy.venues.first(), "local_date": TUESDAY.date()}
    session, _ = PracticeSession.objects.get_or_create(player=week.player, setting="range", **known)
    block = week.blocks.get(title=title) if title else None
    model.objects.create(player=week.player, session=session, done_at=TUESDAY, block=block, **values)


class TestOfABlock:
    def test_every_kind_of_log_is_counted_in_its_own_way(self, cast, week):
        balls = {block.title: list(block.balls.all()) for block in week.blocks.prefetch_related("balls__club")}
        for ball in balls["Mixed targets"][:4]:
            shot_at(ball)
        shot_at(balls["Mixed targets"][3])  # a second ball at the same one is no other ball of the block
        shot_at(balls["Mixed targets, by eye"][5])  # the sixth is the second that is logged of every third
        log(BlockTally, week, "Crossing round", balls=11, on=5, long=3, short=2, mishits=1)
        for n in range(5):
            log(StrikeMark, week, "Strike check", club=cast.player.clubs.first(), heel_toe_mm=n, low_high_mm=0)
        log(BlockOutcome, week, "Strike check", balls=6)
        for _ in range(3):
            log(TurfSwing, week, "Turf brush", contact="clean", ground="brush")
        log(SmoothSwing, week, "Smooth swing", smooth=True)
        log(BlockOutcome, week, "Up and down", balls=10, made=6)
        log(BlockOutcome, week, "Free practice", balls=40)
        assert hit(week) == {
            "Mixed targets": 4,
            "Mixed targets, by eye": 6,
            "Crossing round": 11,
            "Strike check": 6,  # five marks were found of the six balls that were hit
            "Turf brush": 3,
            "Smooth swing": 1,
            "Up and down": 10,
            "Free practice": 15,  # no more than was asked
        }

    def test_what_was_undone_or_set_aside_was_not_done(self, cast, week):
        shot = shot_at(week.blocks.get(title="Mixed targets").balls.get(n=1))
        for change in ({"deleted": True}, {"deleted": False, "set_aside_at": TUESDAY, "set_aside_reason": "other bay"}):
            Shot.objects.filter(pk=shot.pk).update(**change)
            assert hit(week) == {}

    def test_what_was_done_before_the_week_was_edited_counts(self, cast, week):
        shot_at(week.blocks.get(title="Mixed targets").balls.get(n=1))
        log(BlockOutcome, week, "Free practice", balls=15)
        plan = actions.start_next_version(player=cast.player, monday=MONDAY, made_by=cast.coach)
        actions.assign_plan(plan=plan)
        assert hit(plan) == {"Mixed targets": 1, "Free practice": 15}


class TestOfWeeks:
    def test_a_week_tells_its_blocks_and_what_was_done_instead(self, cast, week):
        venue, clubs = cast.academy.venues.first(), list(cast.player.clubs.order_by("label"))
        shot_at(week.blocks.get(title="Mixed targets").balls.get(n=1))
        for n in range(7):
            make.make_shot(clubs[n % 2], venue, hit_at=TUESDAY)
        make.make_shot(clubs[2], venue, hit_at=TUESDAY, setting="course")
        log(TurfSwing, week, None, contact="thin", ground="none")
        log(StrikeMark, week, None, club=clubs[0], heel_toe_mm=0, low_high_mm=0)
        log(SmoothSwing, week, None, smooth=False)
        log(BlockOutcome, week, None, balls=12)
        (told,) = done_between(cast.player, MONDAY, MONDAY)
        assert (told.monday, told.asked, told.hit) == (MONDAY, 110, 1)
        assert (told.blocks[0].title, told.blocks[0].hit, told.blocks[0].asked) == ("Mixed targets", 1, 20)
        assert told.instead == [
            "7 other balls (4 with the 50, 3 with the 54)",
            "1 other ball on the course (1 with the 58)",
            "1 turf swing",
            "1 strike mark",
            "1 smooth swing",
            "12 balls only counted",
        ]
        assert told.says.startswith("1 of 110 balls asked; besides 7 other balls (4 with the 50")

    def test_the_clubs_hit_most_are_named_and_the_rest_counted(self, cast):
        venue, clubs = equip(cast.player)
        for club, balls in zip([*clubs, make.make_club(cast.player, "60")], (4, 3, 2, 1), strict=True):
            for _ in range(balls):
                make.make_shot(club, venue, hit_at=TUESDAY)
        (told,) = done_between(cast.player, MONDAY, MONDAY)
        assert told.instead == ["10 other balls (4 with the 50, 3 with the 54, 2 with the 58, 1 with others)"]
        assert told.says.startswith("Nothing was asked; besides 10 other balls")

    def test_work_done_late_answers_its_own_week_and_is_no_other_practice(self, cast, week):
        late = TUESDAY + timedelta(days=7)
        shot_at(week.blocks.get(title="Mixed targets").balls.get(n=1), hit_at=late)
        assert [(told.hit, told.instead) for told in done_between(cast.player, MONDAY, MONDAY)] == [(1, [])]
        assert done_between(cast.player, MONDAY + timedelta(days=7), MONDAY + timedelta(days=7)) == []

    def test_balls_of_a_block_that_was_taken_back_are_other_balls(self, cast, week):
        block = week.blocks.get(title="Mixed targets")
        shot_at(block.balls.get(n=1))
        block.withdraw(at=timezone.now())
        (told,) = done_between(cast.player, MONDAY, MONDAY)
        assert told.hit == 0
        assert told.instead == ["1 other ball (1 with the 54)"]

    def test_eight_weeks_are_told_the_newest_first_without_empty_ones(self, cast):
        clubs = equip(cast.player)[1]
        this = monday_of(timezone.now().date())
        for weeks in (-8, -7, -3, 0, 1):
            assign(cast.player, clubs, monday=this + timedelta(weeks=weeks))
        told = weeks_done(cast.player, today=timezone.now().date())
        assert [week.monday for week in told] == [this + timedelta(weeks=weeks) for weeks in (0, -3, -7)]

    def test_another_players_practice_is_not_told(self, cast, week):
        other = make.make_club(cast.team_mate)
        make.make_shot(other, cast.academy.venues.first(), hit_at=TUESDAY)
        assert done_between(cast.player, MONDAY, MONDAY)[0].instead == []

    def test_the_statements_do_not_grow_with_weeks_blocks_and_shots(self, cast, week):
        def statements() -> int:
            with CaptureQueriesContext(connection) as captured:
                done_between(cast.player, MONDAY - timedelta(weeks=7), MONDAY)
            return len(captured)

        ball = week.blocks.get(title="Mixed targets").balls.get(n=1)
        shot_at(ball)
        before = statements()
        for weeks in (1, 2, 3):
            plan = assign(cast.player, list(cast.player.clubs.carried())[:3], monday=MONDAY - timedelta(weeks=weeks))
            for each in plan.blocks.get().balls.select_related("club", "block__venue"):
                shot_at(each)
                make.make_shot(each.club, each.block.venue, hit_at=TUESDAY)
        assert statements() == before <= 14


def told(asked: int, hit: int) -> WeekDone:
    return WeekDone(MONDAY, blocks=[BlockDone("Mixed targets", asked, hit)] if asked else [])


@pytest.mark.parametrize(
    ("weeks", "words"),
    [
        ([], "Nothing was asked in these weeks."),
        ([told(20, 20)], "20 of 20 balls asked were hit in 1 week with a plan; 1 of these was done whole."),
        (
            [told(20, 20), told(30, 6), told(0, 0)],
            "26 of 50 balls asked were hit in 2 weeks with a plan; 1 of these was done whole.",
        ),
        ([told(20, 3), told(1, 0)], "3 of 21 balls asked were hit in 2 weeks with a plan; 0 of these were done whole."),
    ],
    ids=["none", "whole", "mixed", "little"],
)
def test_the_weeks_are_told_in_a_sentence(weeks, words):
    assert summary(weeks) == words


def test_the_coachs_pages_show_it(cast):
    clubs = equip(cast.player)[1]
    this = monday_of(timezone.now().date())
    block: Block = assign(cast.player, clubs, monday=this).blocks.get()
    shot_at(block.balls.first(), hit_at=timezone.now())
    client = cast.client("coach")
    page = client.get(reverse("players:player", args=[cast.player.pk])).content.decode()
    assert "1 of 12 balls asked were hit in 1 week with a plan" in page
    assert "Mixed targets: 1 of 12" in page
    page = client.get(reverse("planner:week", args=[cast.player.pk, this.isoformat()])).content.decode()
    assert "Mixed targets: 1 of 12" in page
