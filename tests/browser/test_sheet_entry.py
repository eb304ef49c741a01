"""A sheet typed in with the keyboard alone."""

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from practice.planner.sheet_codes import block_code
from practice.planner.weeks import monday_of
from practice.sessions.models import Shot
from tests.browser.axe import axe_faults
from tests.browser.phone import YARD_M, Cast, button, sign_in
from tests.practice.planner.sheets import assign_every_kind

pytestmark = pytest.mark.django_db(transaction=True)


def focus(page) -> str:
    return page.evaluate("document.activeElement.id")


@pytest.mark.console_allows("status of 422")
@pytest.mark.parametrize(("unit", "unit_m"), [("yd", YARD_M), ("m", 1.0)])
def test_a_sheet_is_found_typed_and_mended_by_the_keyboard_row_by_row(desk, live_server, unit, unit_m):
    cast = Cast(distance_unit=unit)
    week = assign_every_kind(cast.player, cast.range, cast.clubs, monday=monday_of(timezone.now().date()))
    block = week.blocks.get(title="Mixed targets")
    sign_in(desk, live_server, cast.player.user)
    page = desk.new_page()
    page.goto(live_server.url + reverse("practice_sessions:sheets", args=[cast.player.pk]))
    page.keyboard.type(block_code(block.pk).lower())
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Mixed targets")).to_be_visible()
    for _ in range(40):
        page.keyboard.press("Tab")
        if focus(page) == "depth-1":
            break
    walked = []
    for cells in (("ss", "l", ""), ("61", "-2", ""), ("q", "", "f"), ("", "", "n")):
        for typed in cells:
            walked.append(focus(page))
            page.keyboard.type(typed)
            page.keyboard.press("Tab")
    assert walked == [f"{cell}-{n}" for n in range(1, 5) for cell in ("depth", "side", "mishit")]
    page.keyboard.press("Enter")
    told = page.get_by_role("alert")
    expect(told).to_contain_text("Nothing was stored yet. Correct 1 cell")
    expect(told).to_contain_text("Ball 3, depth or carry: “q” cannot be read")
    expect(page.locator("#depth-1")).to_have_value("ss")
    assert axe_faults(page) == []
    told.get_by_role("link").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Control+A")
    page.keyboard.type("s")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("4 rows stored.")
    # The flags are at 60 and 40 m, in turns. A zone is a tenth of the distance in steps of 5, yards or metres as the
    # player reads them: 6.6 yd or 6 m at 60 m, and 4.4 yd or 4 m at 40 m, are all 5. So by hand, in that unit:
    # far short of 60 m is 60 m less two zones, left is one zone; then 61 and 2 to the left; then short by one zone.
    by_hand = [(60 - 10 * unit_m, -5 * unit_m), (61 * unit_m, -2 * unit_m), (60 - 5 * unit_m, None), (None, None)]
    distances = Shot.objects.order_by("ball__n").values_list("carry_m", "lateral_m", "resolution_m")
    for (carry_m, lateral_m, resolution_m), (carry, lateral) in zip(distances, by_hand, strict=True):
        assert carry_m == (carry if carry is None else pytest.approx(carry, abs=1e-9))
        assert lateral_m == (lateral if lateral is None else pytest.approx(lateral, abs=1e-9))
        assert resolution_m == (None if carry is None else pytest.approx(5 * unit_m, abs=1e-9))
    # 60 m less 10 yd is 55.6 yd
    expect(page.locator("tbody tr").first).to_contain_text(
        {"yd": "logged: 56 yd, -5 yd", "m": "logged: 50 m, -5 m"}[unit]
    )
    stored = Shot.objects.order_by("ball__n").values_list("ball__n", "source", "contact", "seen")
    assert list(stored) == [
        (1, "sheet", "", True),
        (2, "sheet", "", True),
        (3, "sheet", "fat", True),
        (4, "sheet", "", False),
    ]
    assert axe_faults(page) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.console_allows("status of 422")
def test_a_mark_is_typed_in_on_a_phone_without_moving_the_grid_sideways(phone, live_server, scheme):
    cast = Cast()
    week = assign_every_kind(cast.player, cast.range, cast.clubs, monday=monday_of(timezone.now().date()))
    sign_in(phone, live_server, cast.player.user)
    page = phone.new_page()
    page.emulate_media(color_scheme=scheme)
    block = week.blocks.get(title="Strike check")
    page.goto(live_server.url + reverse("practice_sessions:sheet", args=[cast.player.pk, block.pk]))
    page.get_by_label("Mark 1, low (−) to high (+), mm").fill("-12.5")
    page.get_by_label("Mark 2, heel (−) to toe (+), mm").fill("81")
    button(page, "Store what was typed").tap()
    expect(page.get_by_role("alert")).to_contain_text("Correct 3 cells")
    grid = page.get_by_role("region", name="Balls")
    assert grid.evaluate("node => node.scrollWidth <= node.clientWidth")
    # what was typed is seen whole in its cell
    assert page.locator("#low_high_mm-1").evaluate("node => node.scrollWidth <= node.clientWidth")
    assert axe_faults(page) == []
