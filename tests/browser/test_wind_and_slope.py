"""Wind and slope in a browser: asked by the form, drawn within the screen, on a desk and on a narrow phone."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.axe import axe_faults
from tests.browser.phone import sign_in
from tests.practice.litany import make_cast

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize(("screen", "width"), [("desk", 1280), ("phone", 320)])
def test_a_wind_is_asked_and_drawn_within_the_screen(screen, width, request, live_server):
    cast, context = make_cast(), request.getfixturevalue(screen)
    sign_in(context, live_server, cast.coach)
    page = context.new_page()
    page.set_viewport_size({"width": width, "height": 700})
    page.goto(f"{live_server.url}{reverse('analytics:wind_and_slope', args=[cast.player.pk])}")
    page.get_by_label("Wind (m/s)").fill("5")
    page.get_by_label("Direction").select_option("left")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_role("heading", name="5 m/s from the left")).to_be_visible()
    pictures = page.locator("svg.band-picture")
    expect(pictures).to_have_count(2)
    for place in range(2):
        box = pictures.nth(place).bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width
        letters = pictures.nth(place).locator("text").first.bounding_box()
        assert letters["height"] >= 11
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert axe_faults(page) == []
    page.get_by_role("link", name="down").first.click()
    expect(page.locator("svg.band-picture")).to_have_count(1)
