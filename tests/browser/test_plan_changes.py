"""The plan changes while the player is in it: what was hit stays tied to what was asked."""

import pytest
from playwright.sync_api import expect

from practice.planner.actions import assign_plan, start_next_version, withdraw_plan
from practice.planner.models import Ball, WeekPlan
from tests.browser.network import DATA, LOOKED_AT, NO_NETWORK, connect, cut_off, hold_first
from tests.browser.phone import expect_all_sent, expect_ball, expect_plan_kept, start_block, tap_ball, waiting

pytestmark = pytest.mark.django_db(transaction=True)


@NO_NETWORK
def test_a_week_that_is_withdrawn_meanwhile_keeps_what_was_hit_in_it(cast, phone, open_play):
    balls = cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    cut_off(phone)
    withdraw_plan(plan=WeekPlan.objects.get())
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    connect(phone)
    page.reload()
    expect_all_sent(page)
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    assert [shot.ball for shot in cast.shots()] == [Ball.objects.get(pk=balls[0].pk)]


@NO_NETWORK
@pytest.mark.parametrize(("other_target", "done"), [(False, "2 of 3"), (True, "0 of 3")])
def test_a_week_that_is_edited_meanwhile_keeps_what_was_hit_with_the_balls_that_were_asked(
    cast, phone, open_play, other_target, done
):
    """A block that stayed as it was goes on where the player is; one that asks for something else starts anew."""
    balls = cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    expect_all_sent(page)
    cut_off(phone)
    week = WeekPlan.objects.get()
    draft = start_next_version(player=cast.player, monday=week.monday, made_by=None)
    if other_target:
        draft.blocks.get().balls.filter(n=3).update(target_m=33.0)
    assign_plan(plan=draft)
    tap_ball(page, 2, "thin")
    expect_ball(page, 3)
    expect(waiting(page)).to_have_text("1 waiting to send")
    connect(phone)
    page.reload()
    expect_all_sent(page)
    expect(page.get_by_role("heading", name="This block is not in your plan now")).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_text(done)).to_be_visible()
    assert [(shot.ball, shot.contact) for shot in cast.shots()] == [(balls[0], ""), (balls[1], "thin")]


@NO_NETWORK
def test_a_plan_that_was_asked_for_earlier_and_comes_later_is_not_taken(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    expect_plan_kept(page)
    late = hold_first(phone, DATA)
    with page.expect_request(DATA):
        page.reload()
    expect(page.get_by_text("0 of 2")).to_be_visible()
    answer = late[0].fetch()
    withdraw_plan(plan=WeekPlan.objects.get())
    page.evaluate(LOOKED_AT)
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    with page.expect_response(DATA) as came:
        late[0].fulfill(response=answer)
    came.value.finished()
    page.evaluate("() => new Promise((done) => setTimeout(done))")
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    # Nor is it what the phone holds.
    connect(phone)
    cut_off(phone)
    page.reload()
    expect(page.get_by_text("No connection.")).to_be_visible()
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
