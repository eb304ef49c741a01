"""What waits on the phone: kept, sent later, and by nobody else."""

import pytest
from playwright.sync_api import expect

from practice.planner.models import WeekPlan
from practice.sessions.models import Shot
from tests.browser.phone import button, expect_all_sent, expect_ball, sign_in, start_block, tap_ball
from tests.make import make_club, make_player

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.console_allows("status of 401", "status of 403")
def test_a_lapsed_sign_in_keeps_the_balls_and_sends_them_after_signing_in_again(cast, phone, open_play, live_server):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.clear_cookies()
    tap_ball(page, 1, "5 long")
    tap_ball(page, 2, "fat")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect(page.get_by_text("Your sign-in has lapsed.")).to_be_visible()
    expect(page.locator("#waiting")).to_have_text("2 waiting to send")
    assert cast.shots() == []
    page.reload()
    # Opened anew it still shows the plan, and what was hit.
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect(page.get_by_text("Your sign-in has lapsed.")).to_be_visible()
    expect(page.locator("#waiting")).to_have_text("2 waiting to send")
    sign_in(phone, live_server, cast.player.user)
    page.reload()
    expect_all_sent(page)
    assert [(shot.ball.n, shot.contact) for shot in cast.shots()] == [(1, ""), (2, "fat")]


@pytest.mark.console_allows("status of 401", "status of 403")
def test_another_players_sign_in_neither_sends_nor_sees_what_waits(cast, phone, open_play, live_server):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.clear_cookies()
    tap_ball(page, 1, "5 long")
    expect(page.locator("#waiting")).to_have_text("1 waiting to send")
    other = make_player(cast.academy, signs_in=True)
    sign_in(phone, live_server, other.user)
    page.reload()
    expect(page.get_by_role("heading", name="This block is not in your plan now")).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_role("heading", name=other.name)).to_be_visible()
    expect_all_sent(page)
    assert Shot.objects.count() == 0


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
