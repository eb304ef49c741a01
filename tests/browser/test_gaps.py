"""The page of the gaps on a phone and at a desk: the drawing is there, and nothing runs off a narrow screen."""

import pytest
from playwright.sync_api import expect

from tests import make
from tests.analytics.stock_balls import hit
from tests.browser.conftest import DESK, PHONE
from tests.browser.phone import sign_in

pytestmark = pytest.mark.django_db(transaction=True)
NARROW = {**PHONE, "viewport": {"width": 320, "height": 640}}


@pytest.mark.parametrize("seen_on", [NARROW, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_gaps_are_drawn_and_another_swing_is_chosen(seen_on, scheme, open_context, live_server):
    academy = make.make_academy(distance_unit="m")
    player, venue = make.make_player(academy, signs_in=True), make.make_range(academy)
    for label, loft_deg, carry_m in (("50", 50.0, 100.0), ("a lob wedge of old", 58.0, 70.0)):
        club = make.make_club(player, label, loft_deg=loft_deg)
        for swing, share in (("full", 1.0), ("9:00", 0.6)):
            hit(club, venue, [carry_m * share + off_m for off_m in (-1.0, 0.0, 1.0)], swing=swing)
    context = open_context(**seen_on, color_scheme=scheme)
    sign_in(context, live_server, player.user)
    page = context.new_page()
    page.goto(f"{live_server.url}/players/{player.pk}/gaps/")
    drawing = page.get_by_role("img", name="Which distances each club serves")
    expect(drawing).to_be_visible()
    expect(drawing.locator(".serves")).to_have_count(4)
    assert page.evaluate("document.documentElement.scrollWidth") <= seen_on["viewport"]["width"]
    frame = drawing.bounding_box()
    for text in drawing.locator("text").all():
        box = text.bounding_box()
        assert box["x"] >= frame["x"]
        assert box["x"] + box["width"] <= frame["x"] + frame["width"]
        assert box["y"] + box["height"] <= frame["y"] + frame["height"]
    band = drawing.locator(".bare").first
    assert "bare-hatch" in band.evaluate("each => getComputedStyle(each).fill")
    page.get_by_role("link", name="half (9:00)").click()
    expect(page.get_by_text("18.0 m")).to_be_visible()
    expect(page.locator(".chosen .serves")).to_have_count(3)
