"""The builder with a check day: which earlier block comes again, and when it cannot."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from practice.clubs.models import Club
from practice.planner import actions
from practice.planner.check_day import difference
from practice.planner.models import Block, WeekPlan
from practice.venues.models import Target
from tests import make
from tests.practice.planner.kinds import asked, the_drill
from tests.practice.planner.pages import builder_of, hidden_fields
from tests.practice.planner.plans import MONDAY, assign, put_block

pytestmark = pytest.mark.django_db


def test_a_check_day_brings_the_same_balls_back_without_the_numbers(coach, player, clubs):
    first = assign(player, clubs, monday=MONDAY - timedelta(days=14)).blocks.get()
    coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), asked(player, "check_day"))))
    again = Block.objects.get(plan__monday=MONDAY)
    assert difference(first, again) == ""
    shots = ("n", "club", "target", "target_name", "target_m")
    assert list(again.balls.values_list(*shots)) == list(first.balls.values_list(*shots))
    assert set(again.balls.values_list("swing", "below_swing", "above_swing")) == {("feel", "", "")}
    assert (again.number_shown, again.venue) == (False, first.venue)


def test_a_check_day_before_its_block_is_refused_and_one_soon_after_is_warned_of(coach, player, clubs):
    plan = put_block(player, clubs, monday=MONDAY + timedelta(days=7)).plan
    Block.objects.update(day=2)
    actions.assign_plan(plan=plan)
    response = coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), asked(player, "check_day"))))
    assert response.status_code == 422
    assert "a day at least after the block that it repeats" in response.content.decode()
    assert not Block.objects.filter(plan__monday=MONDAY).exists()

    WeekPlan.objects.update(monday=MONDAY)
    later = reverse("planner:add_block", args=[player.pk, str(MONDAY)])
    assert coach.post(later, hidden_fields(coach.get(later, asked(player, "check_day")))).status_code == 302
    check = Block.objects.get(kind="check_day")

    def week_with(day: int) -> str:
        terms = {"block_id": check.pk, "day": day, "logging": "every"}
        sent = coach.post(reverse("planner:set_terms", args=[check.plan_id]), terms)
        shown = sent if sent.status_code == 422 else coach.get(reverse("planner:week", args=[player.pk, str(MONDAY)]))
        return shown.content.decode()

    assert "a day at least after the block that it repeats" in week_with(2)
    assert "comes 1 day after the block that it repeats" in week_with(3)
    assert "the block that it repeats" not in week_with(5)


@pytest.mark.parametrize("change", ["moved", "archived", "gone"])
def test_a_check_day_at_a_target_that_is_no_longer_there_says_so_and_stores_nothing(coach, player, clubs, change):
    assign(player, clubs, monday=MONDAY - timedelta(days=14))
    choice, flag = asked(player, "check_day"), Target.objects.filter(name="Flag 2")
    if change == "moved":
        flag.update(distance_m=47.0)
    elif change == "archived":
        flag.update(archived_at=timezone.now())
    else:
        flag.delete()
    response = coach.post(builder_of(player), choice)
    assert response.status_code == 422
    assert "Flag 2 of that block moved, or cannot be hit at from there any more" in response.content.decode()
    assert not Block.objects.filter(plan__monday=MONDAY).exists()


def test_a_check_day_does_not_bring_back_a_target_outside_the_arc_of_its_bay(coach, player, clubs):
    flag = Target.objects.get(name="Flag 2")
    Target.objects.filter(pk=flag.pk).update(direction_deg=20)
    bay = flag.tee_line.bays.create(academy=player.academy, name="3", arc_left_deg=-30, arc_right_deg=30)
    earlier = reverse("planner:add_block", args=[player.pk, str(MONDAY - timedelta(days=14))])
    coach.post(earlier, hidden_fields(coach.get(earlier, asked(player, "crossing", place=str(bay.pk)))))
    actions.assign_plan(plan=WeekPlan.objects.get())
    assert coach.get(builder_of(player), asked(player, "check_day")).status_code == 200
    bay.arc_right_deg = 10
    bay.save()
    response = coach.get(builder_of(player), asked(player, "check_day"))
    assert response.status_code == 422
    assert "Flag 2 of that block" in response.content.decode()


def test_a_check_day_with_a_club_that_left_the_bag_says_so(coach, player, clubs):
    assign(player, clubs, monday=MONDAY - timedelta(days=14))
    choice = asked(player, "check_day")
    Club.objects.filter(pk=clubs[0].pk).update(carried=False)
    response = coach.get(builder_of(player), choice)
    assert response.status_code == 422
    assert "The 50 of that block is no longer carried." in response.content.decode()


def test_another_players_block_does_not_come_again(coach, player, clubs):
    mate = make.make_player(player.academy)
    theirs = assign(mate, [make.make_club(mate, "56", stated_full_m=80.0)]).blocks.get()
    choice = asked(player, "check_day", earlier=str(theirs.pk))
    for words in ("so none can come again", f"That block cannot come again for {player.name}: it is another player’s"):
        response = coach.get(builder_of(player), choice)
        assert response.status_code == 422
        assert words in response.content.decode()
        assign(player, clubs)


def test_without_an_earlier_block_there_is_no_check_day_yet(coach, player, clubs):
    page = coach.get(builder_of(player), {"drill": the_drill(player, "check_day").pk}).content.decode()
    assert f"Nothing at targets was assigned to {player.name} yet" in page
