"""The page that suggests a week, and taking it over into the draft."""

import html
import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from practice.accounts.models import Academy
from practice.clubs.models import Club, ClubKind, LoftReading
from practice.planner.actions import assign_plan, start_next_version
from practice.planner.models import Block, Competition, WeekPlan
from practice.planner.undo import undo_change
from practice.planner.weeks import WEEK, monday_of
from practice.venues.models import Target
from tests import make
from tests.analytics.stock_balls import hit

pytestmark = pytest.mark.django_db
SWINGS = {"7:30": 0.6, "9:00": 0.75, "10:30": 0.9}


class Scene:
    """A coach, and a player with three wedges whose lofts are read and who hits a range with six flags."""

    def __init__(self):
        self.academy = make.make_academy()
        self.client = Client()
        self.client.force_login(make.make_staff(self.academy))
        self.player = make.make_player(self.academy)
        self.range = make.make_range(self.academy, (25.0, 35.0, 45.0, 55.0, 65.0, 75.0))
        self.clubs = [
            make.make_club(self.player, label, loft_deg=float(label), stated_full_m=full_m)
            for label, full_m in (("50", 95.0), ("54", 85.0), ("58", 75.0))
        ]
        for club in self.clubs:
            today = self.academy.today()
            LoftReading.objects.create(setup=club.setups.get(), loft_deg=float(club.label), measured_on=today)
        self.monday = monday_of(self.academy.today()) + WEEK  # next week, of which all days are left

    @property
    def address(self) -> str:
        return reverse("planner:suggest", args=[self.player.pk, self.monday.isoformat()])

    def strikes(self, *, fat: int = 0, clean: int = 40, days_ago: int = 10) -> None:
        """Balls at targets: so many fat, so many clean ones right on the number."""
        for contact, n in (("fat", fat), ("clean", clean)):
            for _ in range(n):
                self.ball(contact=contact, days_ago=days_ago)

    def ball(self, club=None, *, days_ago: int = 10, **values) -> None:
        hit_at = timezone.now() - timedelta(days=days_ago)
        known = {"target_m": 45.0, "carry_m": 45.0, "measured_by": "laser"}
        make.make_shot(club or self.clubs[0], self.range, hit_at=hit_at, **{**known, **values})

    def hit_stock_balls(self) -> None:
        for club, full_m in zip(self.clubs, (95.0, 85.0, 75.0), strict=True):
            for swing, share in SWINGS.items():
                hit(club, self.range, [full_m * share] * 3, swing=swing)

    def get(self, **asked):
        return self.client.get(self.address, {"balls": 100, "visits": 2} | asked if asked else {})

    def take(self, response=None, **asked):
        """Press the button of a page, the fields as it sends them."""
        page = (response or self.get(**asked)).content.decode()
        form = page[page.rindex("<form") :]
        fields = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)
        return self.client.post(self.address, dict(fields))

    def blocks(self) -> list[Block]:
        return list(Block.objects.filter(plan__player=self.player, plan__state="draft").order_by("position"))


@pytest.fixture
def scene():
    return Scene()


def words(response) -> str:
    text = re.sub(r"<[^>]+>", " ", response.content.decode())
    return " ".join(html.unescape(text).split())


def test_an_empty_player_gets_tests_and_is_told_that_they_are(scene):
    said = words(scene.get())
    assert "stands at: Strike." in said
    assert "Too few to judge: it takes 20 balls, or 5 marks on the face." in said
    assert "A test: too few balls and marks lately to judge the strike." in said
    assert "A test: no carry of these is known from a test yet" in said
    assert "and sure of it" not in said
    scene.take()
    assert {"strike_check", "carry_test"} <= {block.kind for block in scene.blocks()}


def test_lofts_come_first_and_take_no_balls(scene):
    LoftReading.objects.all().delete()
    said = words(scene.get())
    assert "stands at: Lofts." in said
    assert "No loft was read in the last year of: 50, 54 and 58." in said
    assert "takes a gauge and no balls" in said


def test_fat_balls_get_the_turf_and_the_reason_has_their_figures(scene):
    scene.strikes(fat=15, clean=35)
    response = scene.get()
    assert "15 of 50 balls were mishits, 30 % (between" in words(response)
    assert scene.take(response).status_code == 302
    turf = [block for block in scene.blocks() if block.kind == "turf_brush"]
    assert turf
    assert all("15 of 50 balls mishit, 15 of them fat, 30 % (between" in block.reason for block in turf)


def test_a_swing_that_is_steadily_short_is_tested_with_the_sentence_that_says_why(scene):
    scene.strikes()
    scene.hit_stock_balls()
    for days_ago in (9, 8, 7):
        for error_m in (-6.5, -5.5):
            scene.ball(scene.clubs[1], days_ago=days_ago, swing="9:00", target_m=65.0, carry_m=65.0 + error_m)
    sentence = "9:00 with the 54: 7 yd short on average over 3 visits, and sure of it."
    assert words(scene.get()).count(sentence) == 2  # the stage, and the block
    scene.take()
    (test,) = (block for block in scene.blocks() if block.kind == "carry_test")
    assert test.reason == sentence
    assert {(ball.club.label, ball.swing) for ball in test.balls.all()} == {("54", "9:00")}


def fresh_and_repeats(scene, fresh_m: float, **values) -> None:
    for days_ago in (9, 8, 7):
        for sign in (-1, 1, -1, 1, 1):
            scene.ball(days_ago=days_ago, fresh=False, carry_m=45.0 + 2 * sign)
            scene.ball(days_ago=days_ago, fresh=True, carry_m=45.0 + fresh_m * sign, **values)


def all_stages(scene) -> None:
    """Good strikes, tests, and fresh balls and a course hardly wider than repeats and the range."""
    scene.strikes()
    scene.hit_stock_balls()
    fresh_and_repeats(scene, fresh_m=2)
    for days_ago in (6, 5, 4):
        for sign in (-1, 1, -1, 1, 1):
            scene.ball(days_ago=days_ago, setting="course", carry_m=45.0 + 2 * sign)


def test_wide_fresh_balls_get_mixed_targets_without_numbers_as_many_each_as_the_rule_gives(scene):
    scene.strikes()
    scene.hit_stock_balls()
    fresh_and_repeats(scene, fresh_m=5)
    response = scene.get(balls=100)
    assert "Fresh balls scatter 150 % wider (between" in words(response)
    scene.take(response)
    blocks = scene.blocks()
    assert {(block.kind, block.number_shown) for block in blocks} == {("random_target", False)}
    for block in blocks:
        listed = ", ".join(
            f"{name} ({block.balls.filter(target_name=name).count()})"
            for name in block.balls.order_by("target_m").values_list("target_name", flat=True).distinct()
        )
        assert f"{listed}, distances not shown" in words(response)


def test_a_course_that_nobody_logged_gets_one_ball_tests_and_a_pass_mark(scene):
    scene.strikes()
    scene.hit_stock_balls()
    fresh_and_repeats(scene, fresh_m=2)
    response = scene.get(balls=60)
    assert "stands at: On the course." in words(response)
    assert "A test: too few balls on a course to compare with" in words(response)
    scene.take(response)
    blocks = scene.blocks()
    assert {block.kind for block in blocks} == {"random_target", "one_ball"}
    marks = {str(block.pass_mark) for block in blocks if block.kind == "random_target"}
    assert marks == {"9 of 12 within 10 %"}


def test_all_passed_says_where_one_more_ball_saves_most_and_promises_nothing(scene):
    all_stages(scene)
    said = words(scene.get())
    assert "stands at: All passed: keep it." in said
    assert "one more ball should save most here" in said
    assert re.search(r"Rounding the balls at targets to blocks costs \d+ % of what they could save", said)
    assert said.count("Rounding the balls") == 1
    assert ".." not in said
    assert "What this saves cannot be said: some of these targets have hardly been hit at yet." in said
    for target_m in (25.0, 35.0, 45.0, 55.0, 65.0, 75.0):
        for n in range(20):
            scene.ball(target_m=target_m, carry_m=target_m + 3 - 6 * (n % 2))
    said = words(scene.get())
    assert re.search(r"save \d\.\d to \d\.\d strokes in 100 such shots. That compares plans and is no promise", said)


def test_a_coach_chooses_another_stage_and_is_told_so(scene):
    said = words(scene.get(stage="stock"))
    assert "The week works at Stock carries, as you chose." in said
    scene.take(stage="stock")
    assert "strike_check" not in {block.kind for block in scene.blocks()}


@pytest.mark.parametrize("stage", ["fresh", "course"])
@pytest.mark.parametrize("wide_m", [2, 8])
def test_a_block_without_numbers_gives_no_distance_away_in_its_reason(scene, stage, wide_m):
    all_stages(scene)
    fresh_and_repeats(scene, fresh_m=wide_m)
    scene.take(balls=100, stage=stage)
    hidden = [block for block in scene.blocks() if not block.number_shown]
    assert hidden
    for block in hidden:
        assert not re.search(r"\d (yd|m|ft)\b", block.reason), block.reason
        assert "Flag" not in block.reason


@pytest.mark.parametrize("stage", ["strike", "stock", "fresh", "course", "passed"])
def test_a_reason_never_tells_the_player_what_the_coach_chose(scene, stage):
    scene.take(balls=100, stage=stage)
    all_stages(scene)
    first = scene.blocks()
    scene.take(balls=100, stage=stage)
    for block in [*first, *scene.blocks()]:
        assert not re.search(r"\b(you chose|the player|stage)\b", block.reason), block.reason


def test_a_passed_stage_that_the_coach_chose_says_what_is_kept(scene):
    all_stages(scene)
    scene.take(balls=100, stage="fresh")
    reasons = {block.reason for block in scene.blocks()}
    assert len(reasons) == 1
    assert re.fullmatch(
        r"Fresh balls scatter 0 % wider \(between .*\) than repeats, which is good enough: this keeps it so\.",
        reasons.pop(),
    )


def test_the_caution_of_the_load_stands_above_the_button_as_on_the_page_of_the_week(scene):
    week = words(scene.client.get(reverse("planner:week", args=[scene.player.pk, scene.monday.isoformat()])))
    (caution,) = re.findall(r"Build ball counts up slowly, .* decides, not this page\.", week)
    assert "stop at pain" in caution
    said = words(scene.get())
    assert said.index(caution) < said.index("Put into the week")


def test_a_week_of_more_balls_than_any_before_is_told_before_it_is_taken_over(scene):
    assert "Nothing was logged in the 5 weeks before" in words(scene.get(balls=60))
    scene.strikes()  # 40 balls
    plan = start_next_version(player=scene.player, monday=scene.monday, made_by=None)
    Block.objects.create(plan=plan, position=1, kind="free", title="Own", parameters={"balls": 15}, seed=0)
    response = scene.get(balls=100)
    balls = 15 + sum(map(int, re.findall(r'<td class="number">(\d+)</td>', response.content.decode())))
    jump = f"{balls} balls are more than in any of the 5 weeks before: the most was 40."
    assert balls > 40
    assert jump in words(response)
    scene.take(response)
    assert jump in words(scene.client.get(reverse("planner:week", args=[scene.player.pk, scene.monday.isoformat()])))
    assert "are more than in any" not in words(scene.get(balls=30))


# Taking over


def test_the_blocks_have_a_day_a_reason_and_the_balls_that_were_shown(scene):
    response = scene.get(balls=60)
    assert scene.take(response).status_code == 302
    blocks = scene.blocks()
    assert [block.position for block in blocks] == list(range(1, len(blocks) + 1))
    assert all(block.reason and block.day is not None for block in blocks)
    said = words(response)
    for block in blocks:
        assert f"{block.balls.count()} {block.reason}" in said


def test_a_new_suggestion_keeps_what_is_pinned_and_the_coachs_own_and_replaces_the_rest(scene):
    scene.take(balls=60)
    pinned, *others = scene.blocks()
    pinned.pinned = True
    pinned.save()
    plan = WeekPlan.objects.drafts().get()
    own = Block.objects.create(plan=plan, position=9, kind="free", title="Own", parameters={"balls": 10}, seed=0)
    response = scene.get(balls=100)
    assert "Own, 10 balls" in words(response)
    scene.take(response)
    now = {block.pk for block in scene.blocks()}
    assert {pinned.pk, own.pk} <= now
    assert not now & {block.pk for block in others}
    assert sum(block.balls_asked for block in scene.blocks()) <= 80


def test_a_bag_of_wedges_and_others_is_suggested_wedges(scene):
    make.make_club(scene.player, "7", loft_deg=34.0, kind=ClubKind.IRON, stated_full_m=140.0)
    for stage in ("strike", "stock", "fresh", "passed"):
        scene.take(balls=100, stage=stage)
        assert {ball.club.label for block in scene.blocks() for ball in block.balls.all()} <= {"50", "54", "58"}


def test_one_club_is_enough_for_every_stage(scene):
    for club in scene.clubs[1:]:
        Club.objects.filter(pk=club.pk).update(carried=False)
    for stage in ("strike", "stock", "fresh", "course", "passed"):
        assert scene.take(balls=100, stage=stage).status_code == 302
    scene.range.tee_lines.all().delete()
    assert "enter a range, or more clubs" in words(scene.get(stage="passed"))


def test_what_is_kept_may_leave_no_room_and_that_is_said(scene):
    plan = start_next_version(player=scene.player, monday=scene.monday, made_by=None)
    Block.objects.create(plan=plan, position=1, kind="free", title="Own", parameters={"balls": 45}, seed=0)
    response = scene.get(balls=60)
    assert "The 45 balls that you keep leave no room for another block of 10 in 60" in words(response)
    assert "Put into the week" not in words(response)


def test_taking_over_is_one_change_to_take_back(scene):
    scene.take(balls=60)
    undo_change(plan=WeekPlan.objects.drafts().get())
    assert scene.blocks() == []


def test_an_assigned_week_is_taken_into_a_draft_and_stays_as_it_is(scene):
    scene.take(balls=60)
    assigned = WeekPlan.objects.drafts().get()
    assign_plan(plan=assigned)
    before = set(assigned.blocks.values_list("pk", flat=True))
    scene.take(balls=60)
    assert set(assigned.blocks.values_list("pk", flat=True)) == before
    assert len(scene.blocks()) == len(before)  # in place of the copies, not beside them


def test_what_has_changed_since_it_was_seen_is_shown_again_and_nothing_is_stored(scene):
    response = scene.get()
    scene.strikes(fat=15, clean=35)
    answer = scene.take(response)
    assert answer.status_code == 409
    assert "has changed since you looked, so nothing was put into the week" in words(answer)
    assert not Block.objects.exists()


def test_a_drill_that_is_out_of_use_is_named_and_nothing_is_stored_by_half(scene):
    scene.get()
    scene.academy.drills.filter(kind="carry_test").update(archived_at=timezone.now())
    seen = scene.get()
    assert "carry_test" not in words(seen)
    assert re.search(r"(Mon|Tues|Wednes|Thurs|Fri|Satur|Sun)day Carry test", words(seen))
    answer = scene.take(seen)
    assert answer.status_code == 422
    assert "needs a drill of the kind “carry test”, and none is in use" in words(answer)
    assert not Block.objects.exists()


def test_before_a_competition_half_the_balls_and_no_carry_test(scene):
    Competition.objects.create(player=scene.player, day=scene.monday + timedelta(days=5))
    said = words(scene.get(balls=100))
    assert "half the balls, no carry test, and give no new cue" in said
    scene.take(balls=100)
    assert "carry_test" not in {block.kind for block in scene.blocks()}
    assert sum(block.balls.count() for block in scene.blocks()) <= 40
    assert max(block.day for block in scene.blocks()) < 5


def test_a_second_competition_counts_too(scene):
    for days in (0, 9):
        Competition.objects.create(player=scene.player, day=scene.monday + timedelta(days=days))
    assert "half the balls, no carry test, and give no new cue" in words(scene.get(balls=100))


def test_of_the_week_that_runs_the_days_from_today_on_are_suggested(scene, monkeypatch):
    monkeypatch.setattr(Academy, "today", lambda academy: scene.monday + timedelta(days=5))
    said = words(scene.get(balls=560, visits=3))
    assert "2 visits. Fewer visits than you asked for: only so many days of this week are left." in said
    assert "More than 160 balls do not fit the days that are left, at 80 a day." in said
    scene.take(balls=560, visits=3)
    assert {block.day for block in scene.blocks()} == {5, 6}


def test_a_week_that_is_over_is_said_to_be_and_gets_nothing(scene):
    scene.monday -= 2 * WEEK
    said = words(scene.get())
    assert "This week is over" in said
    assert "Put into the week" not in said
    assert scene.client.post(scene.address, {"seen": "0" * 64}).status_code == 422


def test_a_check_day_brings_an_earlier_block_back_after_some_days(scene):
    scene.strikes(fat=15, clean=35)
    scene.take(balls=60)
    assign_plan(plan=WeekPlan.objects.drafts().get())
    (earlier,) = (block for block in Block.objects.all() if block.kind == "random_target")
    scene.monday += 2 * WEEK
    seen = scene.get(balls=100)
    scene.take(seen)
    (check,) = (block for block in scene.blocks() if block.kind == "check_day")
    asked = [list(block.balls.values_list("club", "target")) for block in (earlier, check)]
    assert asked[0] == asked[1]
    assert f"“{earlier.title}”" in words(seen)
    assert earlier.title not in check.reason  # a coach may name a block by its distances
    assert "again, nothing shown" in check.reason


@pytest.mark.parametrize(("day", "comes"), [(None, False), (6, False), (5, False), (4, True)])
def test_a_check_day_is_suggested_where_three_days_have_passed_whichever_day_is_chosen(scene, day, comes):
    scene.strikes(fat=15, clean=35)
    scene.take(balls=60)
    Block.objects.update(day=day)
    assign_plan(plan=WeekPlan.objects.drafts().get())
    scene.monday += WEEK
    assert ("again, nothing shown" in words(scene.get(balls=100))) == comes


# What the form starts with


def test_a_week_starts_with_the_players_own_median_week(scene):
    for weeks_ago, days in enumerate(([20], [30, 10], [24, 24, 2]), 2):
        for n, balls in enumerate(days):
            for _ in range(balls):
                scene.ball(days_ago=(timezone.localdate() - monday_of(timezone.localdate())).days + 7 * weeks_ago - n)
    response = scene.get()
    assert [response.context["form"][name].value() for name in ("balls", "visits")] == [40, 2]
    assert "the median of 3 weeks with practice in the last 8" in words(response)
    assert [scene.get(balls=70, visits=3).context["form"][name].value() for name in ("balls", "visits")] == ["70", "3"]


def test_with_few_weeks_a_week_starts_as_every_players_within_the_limit(scene):
    scene.strikes()
    assert scene.get().context["form"]["balls"].value() == 60
    scene.player.daily_ball_limit = 25
    scene.player.save()
    assert scene.get().context["form"]["balls"].value() == 50


def test_a_suggestion_asks_as_often_however_much_was_hit(scene):
    def statements() -> int:
        with CaptureQueriesContext(connection) as asked:
            scene.get()
        return len(asked)

    scene.strikes(fat=2, clean=20)
    scene.hit_stock_balls()
    for _ in range(2):  # the first makes what is read once a process
        few = statements()
    scene.strikes(fat=2, clean=40, days_ago=12)
    scene.hit_stock_balls()
    for days_ago in range(1, 6):  # marks that make no pattern
        scene.ball(days_ago=days_ago, strike_heel_toe_mm=1.0, strike_low_high_mm=2.0)
    assert statements() == few
    assert few <= 60


# Bad input


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ({"balls": 0}, "Give a number of balls"),
        ({"balls": "many"}, "Give a number of balls"),
        ({"visits": 8}, "Give 1 to 7 visits"),
        ({"stage": "putting"}, "Choose one of the stages"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(scene, asked, message):
    response = scene.get(**asked)
    assert response.status_code == 422
    assert message in words(response)


@pytest.mark.parametrize("balls", [10, 900, 10_000])
def test_a_number_of_balls_that_makes_no_week_is_answered_with_the_bounds(scene, balls):
    assert "25 to 560 balls" in words(scene.get(balls=balls))


def test_without_clubs_the_bag_comes_first(scene):
    player = make.make_player(scene.academy)
    address = reverse("planner:suggest", args=[player.pk, scene.monday.isoformat()])
    assert "put the player’s clubs into the bag first" in words(scene.client.get(address))
    assert scene.client.post(address, {"seen": "0" * 64}).status_code == 422


def test_without_a_range_the_player_picks_spots(scene):
    scene.strikes()
    scene.hit_stock_balls()
    scene.range.tee_lines.all().delete()
    assert "No target in reach is known here; a spot that is picked on the day needs no distance." in words(scene.get())
    assert scene.take().status_code == 302
    assert {block.kind for block in scene.blocks()} == {"pick_spot"}


def test_a_range_with_one_flag_is_enough(scene):
    scene.strikes(fat=15, clean=35)
    scene.range.tee_lines.get().targets.exclude(name="Flag 3").delete()
    assert scene.take(balls=60).status_code == 302
    (mixed,) = (block for block in scene.blocks() if block.kind == "random_target")
    assert {ball.target_name for ball in mixed.balls.all()} == {"Flag 3"}


def test_a_range_with_more_targets_than_a_block_takes_is_hit_at_the_nearest(scene):
    scene.strikes()
    scene.hit_stock_balls()
    line = scene.range.tee_lines.get()
    for n in range(25):
        Target.objects.create(tee_line=line, name=f"Post {n}", distance_m=30.5 + n)
    assert scene.take(balls=100, stage="course").status_code == 302
    assert "one_ball" in {block.kind for block in scene.blocks()}


def test_a_left_draft_of_another_version_is_not_needed(scene):
    start_next_version(player=scene.player, monday=scene.monday, made_by=None)
    assert scene.take(balls=60).status_code == 302
    assert WeekPlan.objects.drafts().count() == 1


def test_the_values_that_pass_are_the_academys_own_and_checked(scene):
    address = reverse("analytics:passing_values", args=[scene.academy.pk])
    good = {"passing_mishit_pct": 40, "passing_strike_mm": 8, "passing_fresh_pct": 30, "passing_course_pct": 50}
    for wrong in ("", "0", "101", "few"):
        response = scene.client.post(address, good | {"passing_mishit_pct": wrong})
        assert response.status_code == 422
        assert "Give a whole number from 1 to 100." in words(response)
    scene.strikes(fat=15, clean=35)
    assert "stands at: Strike." in words(scene.get())
    assert scene.client.post(address, good).status_code == 302
    assert "stands at: Stock carries." in words(scene.get())


def test_a_week_is_named_by_its_monday_or_any_day_of_it(scene):
    sunday = scene.monday + timedelta(days=6)
    address = reverse("planner:suggest", args=[scene.player.pk, sunday.isoformat()])
    assert scene.client.get(address).status_code == 200
    assert scene.client.get(reverse("planner:suggest", args=[scene.player.pk, "soon"])).status_code == 404
