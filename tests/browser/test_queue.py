"""What waits on the phone: kept, sent later, and answered one by one."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from practice.planner.models import WeekPlan
from tests.browser.network import NO_NETWORK, hold_first
from tests.browser.phone import button, expect_all_sent, expect_ball, start_block, tap_ball, waiting
from tests.make import make_club

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.console_allows("Failed to load resource")
def test_without_a_connection_the_balls_wait_and_go_out_when_it_is_back(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.set_offline(True)
    tap_ball(page, 1, "5 long")
    expect(page.get_by_text("No connection.")).to_be_visible()
    expect(page.locator("#waiting")).to_have_text("1 waiting to send")
    phone.set_offline(False)
    expect_all_sent(page)
    assert len(cast.shots()) == 1


def test_a_shot_that_the_server_refuses_stays_and_says_why(cast, phone, open_play):
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page)
    # The coach takes the club away while the player stands over the ball.
    WeekPlan.objects.get().delete()
    cast.clubs[0].delete()
    tap_ball(page, 1, "on it")
    expect(page.locator("#waiting")).to_have_text("0 waiting to send, 1 not taken")
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_text("This club is not in your bag any more.")).to_be_visible()
    button(page, "Discard").tap()
    expect_all_sent(page)
    page.reload()
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    expect(page.get_by_text("Could not be sent")).to_have_count(0)


def test_a_refused_shot_goes_out_by_hand_once_the_coach_has_put_things_right(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    WeekPlan.objects.get().delete()
    wedge, _ = cast.clubs
    club = wedge.pk
    wedge.delete()
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    tap_ball(page, 2, "thin")
    expect(page.locator("#waiting")).to_have_text("0 waiting to send, 1 not taken")
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_text("This club is not in your bag any more.")).to_be_visible()
    make_club(cast.player, "52", pk=club)
    button(page, "Try again").tap()
    expect_all_sent(page)
    # It keeps its place: it was hit before the one that was taken at once.
    assert [shot.contact for shot in cast.shots()] == ["", "thin"]


def test_running_numbers_grow_even_when_the_phone_lost_its_storage(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    expect_all_sent(page)
    page.evaluate("() => new Promise((gone) => { indexedDB.deleteDatabase('practice-ledger').onsuccess = gone; })")
    tap_ball(page, 2, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [1, 2]
    assert cast.shots()[0].running_number < cast.shots()[1].running_number


def test_an_answer_to_a_ball_that_was_taken_back_meanwhile_does_not_settle_it(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    held = hold_first(phone, re.compile("/sync/"))
    with page.expect_request(re.compile("/sync/")):
        tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    button(page, "Undo").tap()
    expect_ball(page, 1)
    held[0].continue_()
    expect_all_sent(page)
    assert [(shot.deleted, shot.revision) for shot in cast.shots()] == [(True, 2)]


SYNC = re.compile("/sync/")
LONGEST_WAITS_S = (2, 4, 8, 16, 32, 60, 60, 60)


@NO_NETWORK
def test_what_could_not_be_sent_is_tried_again_by_itself_ever_more_rarely_up_to_once_a_minute(cast, phone, open_play):
    """By the timer alone: nothing is tapped, and no event of the browser's says that network or page are back."""
    cast.mixed(3)
    phone.clock.install()
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.clock.pause_at(timezone.now() + timedelta(seconds=30))
    tries = []

    def fail(route):
        tries.append(route.request.url)
        route.abort()

    def pass_time(seconds):
        phone.clock.fast_forward(round(seconds * 1000))
        # Whoever sends holds this lock: it is had once nothing is on its way.
        page.evaluate("name => navigator.locks.request(name, () => 0)", f"ledger {cast.player.user.pk}")

    def expect_tried_after(longest_wait_s):
        before = len(tries)
        pass_time(0.49 * longest_wait_s)
        assert len(tries) == before
        pass_time(0.51 * longest_wait_s)
        assert len(tries) == before + 1

    phone.route(SYNC, fail)
    with page.expect_request(SYNC):
        tap_ball(page, 1, "5 long")
    for longest_wait_s in LONGEST_WAITS_S:
        pass_time(0)
        expect_tried_after(longest_wait_s)
    phone.unroute(SYNC, fail)
    expect(waiting(page)).to_have_text("1 waiting to send")
    pass_time(60)
    expect_all_sent(page)
    # After a success the waits are short again.
    phone.route(SYNC, fail)
    with page.expect_request(SYNC):
        tap_ball(page, 2, "thin")
    pass_time(0)
    expect_tried_after(2)
    phone.unroute(SYNC, fail)
    pass_time(4)
    expect_all_sent(page)
    assert [(shot.ball.n, shot.contact) for shot in cast.shots()] == [(1, ""), (2, "thin")]
