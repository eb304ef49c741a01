"""What the phone does not show: distances at a spot that the player picked, and how a check day goes before its end."""

import re

import pytest
from playwright.sync_api import expect

from practice.planner.models import Ball, PlanState, WeekPlan
from tests.browser.phone import button, expect_all_sent, expect_ball, start_block, tap_ball

pytestmark = pytest.mark.django_db(transaction=True)


def assign_spots(cast, n: int) -> None:
    """Assign a block of n balls, two to each spot that the player picks."""
    cast.assign(*[(club, None) for club in cast.clubs] * (n // 2), kind="pick_spot", title="Pick a spot")
    WeekPlan.objects.update(state=PlanState.DRAFT, assigned_at=None)
    for ball in Ball.objects.all():
        Ball.objects.filter(pk=ball.pk).update(swing="feel", target_name=f"your spot {(ball.n + 1) // 2}")
    plan = WeekPlan.objects.get()
    WeekPlan.objects.filter(pk=plan.pk).update(state=PlanState.ASSIGNED, assigned_at=plan.created_at)


def expect_no_distance(page):
    """See that no number with a unit stands on the page, and none in any field."""
    text = page.locator("#page").inner_text()
    fields = page.locator("input[type=number]").evaluate_all("inputs => inputs.map(input => input.value)")
    assert not re.search(r"\d+ ?(yd|m|yards|metres)\b", text), text
    assert set(fields) <= {""}


def test_at_a_spot_that_the_player_picked_no_distance_appears_before_during_or_after(cast, phone, open_play):
    assign_spots(cast, 4)
    page = open_play(phone, cast.player.user)
    start_block(page, title="Pick a spot")
    expect(page.get_by_role("heading")).to_contain_text("your spot 1")
    expect_no_distance(page)
    for n, name in enumerate(("on it", "far long, left", "short", "thin"), 1):
        tap_ball(page, n, name)
        if n < 4:
            expect_ball(page, n + 1)
        expect_no_distance(page)
    expect(page.get_by_role("heading", name="Pick a spot: done")).to_be_visible()
    expect(page.get_by_text("1 of 4 balls on the spot.")).to_be_visible()
    expect_no_distance(page)
    page.get_by_role("link", name="Past balls").tap()
    second = page.get_by_role("link", name="2. 56 your spot 1")
    expect(second).to_contain_text("far long, left")
    expect_no_distance(page)
    second.tap()
    expect(button(page, "far long, left")).to_have_attribute("aria-pressed", "true")
    expect_no_distance(page)
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_role("link", name="Summary")).to_be_visible()
    expect_no_distance(page)
    expect_all_sent(page)
    assert [shot.target_m for shot in cast.shots()] == [None] * 4


def test_of_a_check_day_and_of_its_first_time_nothing_is_told_before_its_last_ball(cast, phone, open_play):
    asked = [(cast.clubs[n % 2], cast.flags[n % 2]) for n in range(3)]
    first, check = cast.assign_blocks(
        (asked, {}), (asked, {"kind": "check_day", "title": "Check day", "number_shown": False})
    )
    page = open_play(phone, cast.player.user, f"#/block/{first.pk}")
    button(page, "Start").tap()
    button(page, "First ball").tap()
    for n in (1, 2, 3):
        tap_ball(page, n, "5 long")
    expect(page.get_by_text("3 balls hit")).to_be_visible()
    expect(page.get_by_text("What it came to stands here after the last ball of Check day.")).to_be_visible()
    expect(page.get_by_text("You tend")).to_have_count(0)

    page.get_by_role("link", name="Today's plan").first.tap()
    page.get_by_role("link", name="Start").tap()
    button(page, "First ball").tap()
    for n in (1, 2):
        tap_ball(page, n, "long")
        expect_ball(page, n + 1)
    page.evaluate(f"location.hash = '#/block/{check.pk}/summary'")
    expect(page.get_by_text("2 balls hit; no mishits; 1 to go.")).to_be_visible()
    expect(page.get_by_text("You tend")).to_have_count(0)
    page.get_by_role("link", name="Go on").tap()
    tap_ball(page, 3, "long")
    expect(page.get_by_text("You tend long by 5 yd")).to_be_visible()
    page.evaluate(f"location.hash = '#/block/{first.pk}/summary'")
    expect(page.get_by_text("You tend long by 5 yd")).to_be_visible()
