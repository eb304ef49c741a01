"""The bag review at the width of a phone, gone through by keyboard."""

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from playwright.sync_api import expect

from practice.clubs.models import BagReview, GrooveLook, LoftReading
from tests import make
from tests.browser.conftest import PHONE
from tests.practice.litany import make_cast

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.console_allows("status of 422")]


def test_a_coach_goes_through_a_bag_by_keyboard_corrects_a_slip_and_sees_what_is_off(open_context, live_server):
    cast = make_cast()
    for loft_deg in (52.0, 56.0):
        make.make_club(cast.player, f"{loft_deg:.0f}", loft_deg=loft_deg)
    client = Client()
    client.force_login(cast.coach)
    context = open_context(**PHONE)
    cookie = {"name": settings.SESSION_COOKIE_NAME, "value": client.cookies[settings.SESSION_COOKIE_NAME].value}
    context.add_cookies([{**cookie, "url": live_server.url}])
    page = context.new_page()
    page.goto(live_server.url + reverse("clubs:review", args=[cast.player.pk]))
    page.get_by_label("Loft of the 52 read today").focus()
    for typed in ("52", "Fine", "650", "Worn"):
        page.keyboard.type(typed)
        page.keyboard.press("Tab")
    page.keyboard.press("Space")
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    page.get_by_role("button", name="Keep the review").press("Enter")
    expect(page.get_by_text("A loft lies between 0 and 90 degrees.")).to_be_visible()
    assert not BagReview.objects.exists()
    page.get_by_label("Loft of the 56 read today").fill("57.5")
    page.get_by_role("button", name="Keep the review").press("Enter")
    expect(page.get_by_text("every loft is checked")).to_be_visible()
    expect(page.get_by_text("1.5° weaker than held")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    assert BagReview.objects.get().gaps_looked_at
    assert list(GrooveLook.objects.order_by("club__label").values_list("grooves", flat=True)) == ["fine", "worn"]
    assert LoftReading.objects.count() == 2
