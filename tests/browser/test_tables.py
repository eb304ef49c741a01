"""A table that is wider than a phone scrolls by itself; what stands over it is read without."""

from datetime import date

import pytest
from django.urls import reverse

from tests.browser.phone import Cast, sign_in
from tests.make import make_staff

pytestmark = pytest.mark.django_db(transaction=True)


def test_what_a_wide_table_is_about_is_read_without_scrolling(open_context, live_server):
    cast = Cast()
    context = open_context(viewport={"width": 320, "height": 568})
    sign_in(context, live_server, make_staff(cast.academy))
    page = context.new_page()
    page.goto(live_server.url + reverse("planner:week", args=[cast.player.pk, date(2026, 3, 2)]))
    caption = page.locator("caption", has_text="week by week")
    table = caption.locator("xpath=..").bounding_box()
    assert table["x"] + table["width"] > 320
    told = caption.bounding_box()
    assert told["x"] + told["width"] <= 320
