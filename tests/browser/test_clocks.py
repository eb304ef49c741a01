"""A phone's clock that is wrong, or that an answer's journey makes look wrong."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.network import NO_NETWORK, connect, cut_off, hold_first
from tests.browser.phone import button, expect_all_sent, expect_ball, start_block, tap_ball

pytestmark = pytest.mark.django_db(transaction=True)


@NO_NETWORK
def test_a_wrong_phone_clock_is_put_right_by_the_last_handshake(cast, phone, open_play):
    """Also after the page was opened anew without a network."""
    cast.mixed(2)
    phone.clock.set_system_time(timezone.now() - timedelta(hours=30))
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    cut_off(phone)
    page.reload()
    button(page, "First ball").tap()
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    connect(phone)
    page.reload()
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert timedelta(hours=29) < timezone.now() - shot.phone_at < timedelta(hours=31)
    assert abs(timezone.now() - shot.hit_at) < timedelta(minutes=5)


def test_an_answer_that_takes_long_does_not_move_what_is_known_of_the_phones_clock(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    expect_all_sent(page)
    held = hold_first(phone, re.compile("work.json"))
    with page.expect_request(re.compile("work.json")):
        page.reload()
    expect_ball(page, 2)
    phone.clock.set_system_time(timezone.now() + timedelta(seconds=10))
    with page.expect_response(re.compile("work.json")) as came:
        held[0].continue_()
    came.value.finished()
    page.evaluate("() => new Promise((done) => setTimeout(done))")
    tap_ball(page, 2, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    first, second = cast.shots()
    assert second.clock_offset_ms == first.clock_offset_ms
