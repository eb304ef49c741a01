"""The week as a coach meets it. Who may open it stands in litany.py."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from practice.planner import actions
from practice.planner.models import Block, WeekPlan
from practice.planner.weeks import monday_of
from tests.practice.planner.pages import week_of
from tests.practice.planner.plans import MONDAY, assign, put_block

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("day", range(7))
def test_any_day_of_a_week_leads_to_its_monday(coach, player, day):
    response = coach.get(week_of(player, MONDAY + timedelta(days=day)))
    assert response.status_code == (302 if day else 200)
    assert not day or response.url == week_of(player)


@pytest.mark.parametrize("text", ["2026-02-30", "monday", "0001-01-01", "9999-12-31"])
def test_what_is_no_date_of_our_times_is_a_404(coach, player, text):
    assert coach.get(week_of(player, text)).status_code == 404


def test_this_week_is_that_of_the_academys_own_clock(coach, player):
    page = coach.get(week_of(player)).context["page"]
    assert page.this == monday_of(player.academy.today())


def test_the_week_says_how_many_balls_it_is_and_how_that_stands_to_the_players_limit(coach, player, clubs):
    player.daily_ball_limit = 10
    player.save()
    put_block(player, clubs, balls=6)
    put_block(player, clubs, balls=6)
    page = coach.get(week_of(player)).content.decode()
    assert "12 balls this week." in page
    assert "limit is 10 a day: spread them over 2 days or more" in page
    assert "Build ball counts up slowly" in page


def test_a_block_bigger_than_the_players_limit_is_called_too_big(coach, player, clubs):
    player.daily_ball_limit = 10
    player.save()
    put_block(player, clubs, balls=11)
    assert "make it smaller" in coach.get(week_of(player)).content.decode()


def test_the_draft_and_the_assigned_week_stand_on_one_page(coach, player, clubs):
    assign(player, clubs)
    coach.post(reverse("planner:edit_week", args=[player.pk, str(MONDAY)]))
    page = coach.get(week_of(player)).context["page"]
    assert (page.draft.plan.version, page.assigned.plan.version) == (2, 1)


def test_the_queries_of_a_week_do_not_grow_with_blocks_and_balls(coach, player, clubs, django_assert_num_queries):
    put_block(player, clubs, balls=2)
    with django_assert_num_queries(21):
        coach.get(week_of(player))
    for seed in range(4):
        put_block(player, clubs, seed=seed, balls=40)
    with django_assert_num_queries(21):
        coach.get(week_of(player))


def test_a_note_is_written_to_the_draft(coach, player, clubs):
    plan = put_block(player, clubs).plan
    coach.post(reverse("planner:write_note", args=[plan.pk]), {"note": "Slow and smooth."})
    assert WeekPlan.objects.get().note == "Slow and smooth."


def test_a_note_that_is_too_long_comes_back_with_the_words_still_there(coach, player, clubs):
    plan = put_block(player, clubs).plan
    response = coach.post(reverse("planner:write_note", args=[plan.pk]), {"note": "x" * 401})
    assert response.status_code == 422
    assert "x" * 401 in response.content.decode()


def test_what_the_player_logs_stands_beside_a_block_that_is_not_logged_ball_by_ball(coach, player, clubs):
    plan = put_block(player, clubs).plan
    assert "logged: " not in coach.get(week_of(player)).content.decode()
    chosen = {"block_id": plan.blocks.get().pk, "logging": "third", "number_shown": "on"}
    assert coach.post(reverse("planner:set_terms", args=[plan.pk]), chosen).status_code == 302
    page = coach.get(week_of(player)).content.decode()
    assert "logged: every third ball" in page
    assert '<option value="third" selected>' in page


@pytest.mark.parametrize("logging", ["", "never"])
def test_logging_that_is_none_of_the_words_says_so_and_changes_nothing(coach, player, clubs, logging):
    plan = put_block(player, clubs).plan
    sent = {"block_id": plan.blocks.get().pk, "logging": logging}
    response = coach.post(reverse("planner:set_terms", args=[plan.pk]), sent)
    assert response.status_code == 422
    assert "id_logging_" in response.content.decode()
    assert "errorlist" in response.content.decode()
    assert Block.objects.get().logging == "every"


def test_a_change_that_comes_too_late_says_so_and_changes_nothing(coach, player, clubs):
    plan = assign(player, clubs)
    response = coach.post(reverse("planner:remove_block", args=[plan.pk]), {"block_id": plan.blocks.get().pk})
    assert response.status_code == 409
    assert "already assigned" in response.content.decode()
    assert Block.objects.count() == 1


@pytest.mark.parametrize("change", ["move_block", "remove_block", "halve_block", "set_terms"])
@pytest.mark.parametrize("sent", [{}, {"block_id": "x"}, {"block_id": "x", "position": "0"}])
def test_a_change_of_no_block_says_what_to_press_and_changes_nothing(coach, player, clubs, change, sent):
    plan = put_block(player, clubs).plan
    response = coach.post(reverse(f"planner:{change}", args=[plan.pk]), sent)
    assert response.status_code == 422
    assert re.search(r"Use the (buttons|form)", response.content.decode())
    assert Block.objects.get().balls.count() == 12


def test_an_empty_draft_is_not_assigned(coach, player):
    plan = actions.start_next_version(player=player, monday=MONDAY, made_by=None)
    response = coach.post(reverse("planner:assign", args=[plan.pk]))
    assert response.status_code == 422
    assert "Add a block" in response.content.decode()
