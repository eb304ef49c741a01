"""Turf work on the phone: two taps a swing, and what is then in the database."""

import pytest
from playwright.sync_api import expect

from practice.sessions.models import PainStop, TurfSwing
from tests.browser.phone import button, expect_all_sent

pytestmark = pytest.mark.django_db(transaction=True)


def swing(page, strike, ground):
    button(page, strike).tap()
    expect(button(page, strike)).to_have_attribute("aria-pressed", "true")
    button(page, ground).tap()
    expect(button(page, strike)).to_have_attribute("aria-pressed", "false")


def expect_counts(page, told):
    expect(page.get_by_text(told)).to_be_visible()


def test_two_taps_are_a_swing_which_is_counted_and_can_be_taken_back(cast, phone, open_play):
    page = open_play(phone, cast.player.user)
    page.get_by_role("link", name="Turf").tap()
    swing(page, "clean", "brushed")
    expect(
        page.get_by_text("1 swing today: 1 clean, 0 thin, 0 fat; 1 brushed, 0 divot, 0 not touched.")
    ).to_be_visible()
    # The two taps come in either order, and the first can be changed.
    button(page, "divot").tap()
    button(page, "divot").tap()
    expect(button(page, "divot")).to_have_attribute("aria-pressed", "false")
    button(page, "not touched").tap()
    button(page, "thin").tap()
    expect(page.get_by_label("The last swing")).to_contain_text("thin, not touched")
    page.get_by_text("Club, and off what").tap()
    page.get_by_label("Club").select_option("56")
    page.get_by_label("Off what?").select_option("grass")
    swing(page, "fat", "divot")
    expect_all_sent(page)
    rows = [
        (row.contact, row.ground, row.surface, row.club and row.club.label) for row in TurfSwing.objects.order_by("pk")
    ]
    assert rows == [("clean", "brush", "", None), ("thin", "none", "", None), ("fat", "divot", "grass", "56")]

    # Loaded again: the counts come from the server.
    page.reload()
    expect(
        page.get_by_text("3 swings today: 1 clean, 1 thin, 1 fat; 1 brushed, 1 divot, 1 not touched.")
    ).to_be_visible()
    page.get_by_text("Today's swings").tap()
    expect(page.get_by_role("listitem")).to_have_text(["clean, brushed", "thin, not touched", "fat, divot"])
    button(page, "Undo").tap()
    expect(page.get_by_text("2 swings today:")).to_be_visible()
    expect_all_sent(page)
    assert [row.deleted for row in TurfSwing.objects.order_by("pk")] == [False, False, True]


def test_turf_work_too_stops_where_something_hurts(cast, phone, open_play):
    page = open_play(phone, cast.player.user, "#/turf")
    button(page, "Something hurts: stop").tap()
    expect(page.get_by_role("heading", name="Stopped for today")).to_be_visible()
    page.evaluate("location.hash = '#/turf'")
    expect(page.get_by_role("heading", name="Stopped for today")).to_be_visible()
    expect_all_sent(page)
    assert PainStop.objects.exists()
