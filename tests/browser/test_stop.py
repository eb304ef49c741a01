"""Something hurts: the day's balls are closed, and the coach hears of it."""

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from practice.sessions.models import PainStop
from tests.browser.phone import button, expect_all_sent, expect_nothing_to_remember, start_block

pytestmark = pytest.mark.django_db(transaction=True)


def test_something_hurts_closes_the_day_and_tells_the_coach(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    button(page, "Something hurts: stop").tap()
    expect(page.get_by_role("heading", name="Stopped for today")).to_be_visible()
    expect(page.get_by_text("A physician or a qualified professional decides")).to_be_visible()
    expect_all_sent(page)
    assert PainStop.objects.get(player=cast.player).local_date == timezone.now().date()
    page.reload()
    expect(page.get_by_role("heading", name="Stopped for today")).to_be_visible()


def test_a_stop_tapped_by_mistake_is_taken_back(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    button(page, "Something hurts: stop").tap()
    button(page, "Tapped by mistake: undo").tap()
    expect(page.get_by_text("0 of 2")).to_be_visible()
    expect_all_sent(page)
    assert PainStop.objects.get(player=cast.player).deleted


def test_a_stop_is_taken_back_also_on_a_page_opened_anew_that_knows_it_from_the_server_only(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    button(page, "Something hurts: stop").tap()
    expect(page.get_by_role("heading", name="Stopped for today")).to_be_visible()
    expect_all_sent(page)
    page.reload()
    expect_nothing_to_remember(page)
    page.reload()
    button(page, "Tapped by mistake: undo").tap()
    expect(page.get_by_text("0 of 2")).to_be_visible()
    expect_all_sent(page)
    page.reload()
    expect(page.get_by_text("0 of 2")).to_be_visible()
    stop = PainStop.objects.get(player=cast.player)
    assert (stop.deleted, stop.revision) == (True, 2)
