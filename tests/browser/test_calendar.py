"""The address of a player's calendar, from the phone."""

from urllib.parse import urlsplit

import pytest
from django.test import Client
from icalendar import Calendar
from playwright.sync_api import expect

from tests.browser.phone import button

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_player_makes_an_address_and_copies_it_and_a_calendar_program_is_given_the_plan_there(
    cast, phone, open_play, live_server
):
    cast.mixed(3)
    phone.grant_permissions(["clipboard-read", "clipboard-write"], origin=live_server.url)
    page = open_play(phone, cast.player.user)
    page.get_by_role("link", name="Calendar and sheets").tap()
    button(page, "Make an address").tap()
    address = page.get_by_label("The address, shown this once").input_value()
    button(page, "Copy").tap()
    expect(button(page, "Copied")).to_be_visible()
    assert page.evaluate("navigator.clipboard.readText()") == address
    assert address.startswith(live_server.url)
    fetched = Calendar.from_ical(Client().get(urlsplit(address).path).content)
    assert [str(event["SUMMARY"]) for event in fetched.walk("VEVENT")] == ["Mixed targets"]
    button(page, "End the address").tap()
    expect(page.get_by_role("status")).to_contain_text("The address no longer works.")
    assert Client().get(urlsplit(address).path).status_code == 404
