"""Opening without a network, and what shows as saved: it is there when the page was closed at once."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.network import DATA, NO_NETWORK, connect, cut_off, hold_first
from tests.browser.phone import (
    button,
    expect_all_sent,
    expect_ball,
    expect_nothing_to_remember,
    expect_plan_kept,
    start_block,
    tap_ball,
    waiting,
)

pytestmark = pytest.mark.django_db(transaction=True)


@NO_NETWORK
def test_what_shows_as_saved_is_there_when_the_page_is_closed_at_once_and_opened_without_a_network(
    cast, phone, open_play, live_server
):
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    cut_off(phone)
    tap_ball(page, 1, "5 long")
    expect(page.locator("#said")).to_have_text("Saved on this phone.")
    page.close()
    page = phone.new_page()
    page.goto(f"{live_server.url}/play/")
    expect(page.get_by_text("1 of 3")).to_be_visible()
    expect(page.get_by_text("No connection.")).to_be_visible()
    expect(waiting(page)).to_have_text("1 waiting to send")
    page.get_by_role("link", name="Go on").tap()
    tap_ball(page, 2, "thin")
    expect(waiting(page)).to_have_text("2 waiting to send")
    connect(phone)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect_all_sent(page)
    expect(button(page, "Send now")).to_have_count(0)
    assert [(shot.ball.n, shot.contact) for shot in cast.shots()] == [(1, ""), (2, "thin")]


@NO_NETWORK
def test_what_was_sent_still_counts_as_hit_after_a_reload_without_a_network(cast, phone, open_play):
    """The plan that the phone holds is from before the ball: what was sent is kept until a later one has it."""
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    expect_all_sent(page)
    cut_off(phone)
    page.reload()
    expect_ball(page, 2)
    expect_all_sent(page)
    connect(phone)
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_text("1 of 3")).to_be_visible()
    # The server's own account has the shot now, so the phone lets go of its copy.
    page.reload()
    expect_nothing_to_remember(page)
    expect(page.get_by_text("1 of 3")).to_be_visible()


@NO_NETWORK
def test_a_page_that_was_never_opened_with_a_signal_says_so(cast, phone, open_play):
    cast.mixed(1)
    cut_off(phone)
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("this phone holds no plan yet")).to_be_visible()
    expect(waiting(page)).to_have_text("0 waiting to send")
    connect(phone)
    button(page, "Try again").tap()
    expect(page.get_by_text("0 of 1")).to_be_visible()


def test_opening_shows_the_held_plan_before_any_reply_and_is_one_request_for_data(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    expect_plan_kept(page)
    asked = []
    phone.on("request", lambda request: asked.append(request.url) if DATA.search(request.url) else None)
    held = hold_first(phone, DATA)
    with page.expect_request(DATA):
        page.reload()
    expect(page.get_by_text("0 of 2")).to_be_visible()
    expect(page.get_by_role("link", name="Start")).to_be_visible()
    with page.expect_response(DATA):
        held[0].continue_()
    assert [re.sub(r".*/play/", "", url) for url in asked] == ["work.json"]


@NO_NETWORK
def test_a_page_of_the_second_script_that_has_not_come_says_so_and_comes_later(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    second = re.compile(r"/more\.\w+\.js")
    phone.route(second, lambda route: route.abort())
    page.get_by_role("link", name="Check your eye").tap()
    expect(page.get_by_text("This page is not on the phone yet.")).to_be_visible()
    phone.unroute(second)
    page.get_by_role("link", name="Today's plan").tap()
    page.get_by_role("link", name="Check your eye").tap()
    expect(page.get_by_text("Guess 1 of 10.")).to_be_visible()


def test_a_fold_of_the_second_script_that_was_opened_too_early_is_open_when_it_comes(
    cast, phone, open_context, open_play
):
    """A phone that knows today's visit from the server needs nothing else of that script before the first ball."""
    (ball,) = cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    other = open_context(**PHONE)
    held = hold_first(other, re.compile(r"/more\.\w+\.js"))
    page = open_play(other, cast.player.user, f"#/block/{ball.block_id}")
    button(page, "First ball").tap()
    page.get_by_text("Only this ball").tap()
    expect(page.get_by_text("This page is not on the phone yet.")).to_be_visible()
    held[0].continue_()
    expect(page.get_by_role("group", name="Off what?", exact=True)).to_be_visible()
