"""A carry test on the phone: a ball whose swing through did not match the swing back is no stock ball."""

import pytest
from playwright.sync_api import expect

from analytics.stock import player_stock
from practice.players.models import Player
from tests.browser.phone import YARD_M, button, expect_all_sent, expect_ball, start_block

pytestmark = pytest.mark.django_db(transaction=True)

NO_MATCH = "through did not match"


def hit(page, carry_yd):
    page.locator(".entry").get_by_label("Carry, yd", exact=True).fill(str(carry_yd))
    button(page, "Save").tap()


def carries(cast) -> list[float]:
    """Return the stock carries of the player's chart, in yards."""
    player = Player.objects.select_related("academy").get(pk=cast.player.pk)
    return [round(m / YARD_M) for stock in player_stock(player).sets for cell in stock.cells for m in cell.carries_m]


def test_the_carry_chart_leaves_a_ball_out_of_which_the_swings_did_not_match(cast, phone, open_play):
    cast.assign(*[(cast.clubs[0], None)] * 3, kind="carry_test", title="Carry test")
    page = open_play(phone, cast.player.user)
    start_block(page, title="Carry test", measured_by="launch monitor")
    hit(page, 60)
    expect_ball(page, 2)
    page.get_by_text(NO_MATCH, exact=True).tap()
    hit(page, 75)
    expect_ball(page, 3)
    # The next ball is a stock ball again unless it is said anew.
    expect(page.get_by_label(NO_MATCH)).not_to_be_checked()
    expect(page.get_by_label("The last ball")).to_contain_text("75 yd, no stock ball")
    hit(page, 62)
    expect(page.get_by_role("heading", name="Carry test: done")).to_be_visible()
    expect_all_sent(page)
    assert [shot.swing for shot in cast.shots()] == ["9:00", "feel", "9:00"]
    assert carries(cast) == [60, 62]

    # It can be said, and taken back, of a past ball too; also by a page that was opened anew.
    page.reload()
    page.get_by_role("link", name="Past balls").tap()
    for ball in ("2. 52 no target", "1. 52 no target"):
        page.get_by_role("link", name=ball).tap()
        page.get_by_text(NO_MATCH, exact=True).tap()
        button(page, "Save").tap()
        expect(page.get_by_role("heading", name="Past balls")).to_be_visible()
    expect(page.get_by_role("link", name="1. 52 no target")).to_contain_text("60 yd, no stock ball")
    expect_all_sent(page)
    assert sorted(carries(cast)) == [62, 75]


def test_only_a_stock_ball_is_asked_whether_the_swings_matched(cast, phone, open_play):
    cast.mixed(1, cue="Slow back")
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect(page.get_by_label("helped")).to_be_visible()
    expect(page.get_by_text("Slow back")).to_be_visible()
    expect(page.get_by_label(NO_MATCH)).to_have_count(0)
