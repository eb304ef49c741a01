"""Balls that were hit and are entered later: they count, keep their time, wait on the phone, and can be taken back."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from practice.planner.models import PlanState, WeekPlan
from tests.browser.phone import AROUND, YARD_M, button, expect_all_sent, expect_ball, start_block, tap_ball

pytestmark = pytest.mark.django_db(transaction=True)

BAR = re.compile(r"waits? to be entered")


def test_a_ball_entered_later_keeps_the_time_of_its_hit_and_what_was_said_of_it(cast, phone, open_play):
    (wedge, sand), (near, _) = cast.clubs, cast.flags
    cast.assign((wedge, near), (wedge, near), (sand, near))
    page = open_play(phone, cast.player.user)
    start_block(page)
    page.get_by_label("other club").select_option("56")
    page.get_by_text("a little heavy", exact=True).tap()
    button(page, "enter later").tap()
    tap_ball(page, 2, "5 short")
    expect_ball(page, 3)
    expect(page.get_by_text("1 ball waits to be entered.")).to_be_visible()

    page.get_by_role("link", name="Enter it").tap()
    expect(page.get_by_role("heading", name="Balls to be entered")).to_be_visible()
    expect(page.get_by_text("Ball 1: 56 Flag 1")).to_be_visible()
    button(page, "5 long").tap()
    # Nothing waits any more: on with the block.
    tap_ball(page, 3, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect(page.get_by_text("3 balls hit; no mishits.")).to_be_visible()
    expect_all_sent(page)
    second, first, third = cast.shots()
    assert [shot.ball.n for shot in (first, second, third)] == [1, 2, 3]
    assert first.hit_at < second.hit_at < third.hit_at
    assert (first.club.label, first.contact, first.contact_note) == ("56", "clean", "heavy")
    assert first.carry_m == pytest.approx(40 + 5 * YARD_M)
    # The second was hit with another club than the one before it, which was not logged yet.
    assert [shot.fresh for shot in (first, second, third)] == [True, True, True]


def test_five_balls_may_wait_and_then_the_button_says_why_it_cannot(cast, phone, open_play):
    cast.mixed(7)
    page = open_play(phone, cast.player.user)
    start_block(page)
    for n in range(1, 6):
        tap_ball(page, n, "enter later")
    expect_ball(page, 6)
    expect(button(page, "enter later")).to_have_count(0)
    page.get_by_role("link", name="5 wait: enter one first").tap()
    expect(page.get_by_text(re.compile(r"^Ball \d: "))).to_have_count(5)
    # One set of pads is open at a time, the oldest ball's first.
    expect(button(page, "on it")).to_have_count(1)
    button(page, "thin").tap()
    expect(page.get_by_text(re.compile(r"^Ball \d: "))).to_have_count(4)
    page.get_by_text("Ball 4: 56 Flag 2").tap()
    button(page, "shank").tap()
    expect(page.get_by_text(re.compile(r"^Ball \d: "))).to_have_count(3)
    page.get_by_role("link", name="Back to the block").tap()
    expect_ball(page, 6)
    expect(button(page, "enter later")).to_be_visible()
    expect(page.get_by_text("3 balls wait to be entered.")).to_be_visible()
    expect_all_sent(page)
    assert [(shot.ball.n, shot.contact) for shot in cast.shots()] == [(1, "thin"), (4, "shank")]


def test_what_waits_survives_a_reload_and_a_week_that_was_taken_back(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "enter later")
    expect_ball(page, 2)
    expect_all_sent(page)
    WeekPlan.objects.update(state=PlanState.WITHDRAWN, withdrawn_at=timezone.now())
    page.goto(page.url.split("#")[0])
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    page.get_by_role("link", name="Enter it").tap()
    button(page, "not seen").tap()
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    expect(page.get_by_text(BAR)).to_have_count(0)
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.ball.n, shot.seen) == (1, False)


def test_putting_off_and_entering_are_both_taken_back(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "enter later")
    expect_ball(page, 2)
    button(page, "Undo").tap()
    tap_ball(page, 1, "enter later")
    expect_ball(page, 2)
    page.get_by_role("link", name="Enter it").tap()
    button(page, "fat").tap()
    expect_ball(page, 2)
    button(page, "Undo").tap()
    expect(page.get_by_text("1 ball waits to be entered.")).to_be_visible()
    page.get_by_role("link", name="Enter it").tap()
    button(page, "not hit after all").tap()
    expect_ball(page, 1)
    expect(page.get_by_text(BAR)).to_have_count(0)
    expect_all_sent(page)
    assert [(shot.contact, shot.deleted) for shot in cast.shots()] == [("fat", True)]


def test_a_block_is_done_while_a_ball_waits_and_says_so(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "on it")
    tap_ball(page, 2, "enter later")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect(page.get_by_text("1 logged of 2 balls hit; no mishits; 1 to be entered.")).to_be_visible()
    expect(page.get_by_role("link", name="Enter it")).to_be_visible()


def test_a_hidden_number_stays_hidden_for_a_ball_that_waits(cast, phone, open_play):
    cast.mixed(2, number_shown=False, around=AROUND)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "enter later")
    page.get_by_role("link", name="Enter it").tap()
    expect(button(page, "far long, left")).to_be_visible()
    expect(page.get_by_text("5 long")).to_have_count(0)


def test_after_something_hurt_a_ball_that_was_hit_can_still_be_entered(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "enter later")
    expect_ball(page, 2)
    button(page, "Something hurts: stop").tap()
    expect(page.get_by_role("heading", name="Stopped for today")).to_be_visible()
    page.get_by_role("link", name="Enter it").tap()
    button(page, "topped").tap()
    expect(page.get_by_role("heading", name="Stopped for today")).to_be_visible()
    expect_all_sent(page)
    assert [shot.contact for shot in cast.shots()] == ["topped"]
