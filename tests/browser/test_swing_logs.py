"""Turf and smooth-swing blocks on the phone: a tap or two a swing, tied to the block, and what they come to.

Also what the coach says with any block, before its first ball.
"""

import re

import pytest
from playwright.sync_api import expect

from practice.sessions.models import BlockOutcome, SmoothSwing, TurfSwing
from tests.browser.axe import axe_faults
from tests.browser.phone import button, expect_all_sent
from tests.browser.test_strike_log import start
from tests.browser.test_turf import swing

pytestmark = pytest.mark.django_db(transaction=True)


def expect_heading(page, told):
    expect(page.get_by_role("heading", level=1)).to_contain_text(told)


def test_a_turf_block_counts_its_own_swings_and_is_scored_by_the_share_of_clean_ones(cast, phone, open_play):
    (block,) = cast.assign_blocks(
        ([(cast.clubs[n % 2], None) for n in range(3)], {"kind": "turf_brush", "title": "Turf brush"})
    )
    page = open_play(phone, cast.player.user, "#/turf")
    swing(page, "fat", "divot")  # which is no swing of the block
    expect(page.get_by_text("1 swing today:")).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    start(page, "Turf brush")
    expect_heading(page, "Swing 1 of 3")
    swing(page, "clean", "brushed")
    expect_heading(page, "Swing 2 of 3")
    expect(page.get_by_text("1 swing: 1 clean, 0 thin, 0 fat; 1 brushed")).to_be_visible()
    swing(page, "thin", "not touched")
    expect_heading(page, "Swing 3 of 3")
    button(page, "Undo").tap()
    expect_heading(page, "Swing 2 of 3")
    swing(page, "fat", "divot")
    assert axe_faults(page) == []
    button(page, "Done").tap()
    expect(page.get_by_text("1 of 2 clean (50 %).")).to_be_visible()
    expect(page.get_by_text("1 of 2 brushed (50 %).")).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_role("link", name="Summary")).to_be_visible()
    expect_all_sent(page)
    rows = TurfSwing.objects.filter(deleted=False).order_by("pk").values_list("block", "club__label", "contact")
    assert list(rows) == [(None, None, "fat"), (block.pk, "52", "clean"), (block.pk, "56", "fat")]
    assert BlockOutcome.objects.values_list("block", "balls").get() == (block.pk, 2)


def test_a_smooth_swing_is_one_tap_and_its_share_meets_the_pass_mark(cast, phone, open_play):
    mark = {"pass_made": 2, "pass_of": 3, "pass_within_pct": 10, "on_pass": "Full swings.", "cue": "Hum low"}
    cast.assign(*[(cast.clubs[0], None)] * 3, kind="smooth_swing", title="Smooth swing", **mark)
    page = open_play(phone, cast.player.user)
    page.get_by_role("link", name="Start").tap()
    button(page, "Start").tap()
    expect(page.get_by_text("Hum low")).to_be_visible()
    expect(page.get_by_text("Pass mark: 2 of 3.")).to_be_visible()
    button(page, "First ball").tap()
    for n, name in enumerate(("smooth", "it broke", "smooth"), 1):
        expect_heading(page, f"Swing {n} of 3")
        expect(page.get_by_text("Hum low")).to_be_visible()
        if n == 2:
            page.get_by_text("a breath out", exact=True).tap()
        button(page, name).tap()
    expect(page.get_by_text("2 of 3 smooth.")).to_be_visible()
    page.reload()
    expect(page.get_by_text("2 of 3 smooth.")).to_be_visible()
    assert axe_faults(page) == []
    button(page, "Done").tap()
    expect(page.get_by_text("3 balls hit.")).to_be_visible()
    expect(page.get_by_text("2 of 3 smooth (67 %).")).to_be_visible()
    expect(page.get_by_text("Pass mark, 2 of 3: 2 of 3, passed. Next: Full swings.")).to_be_visible()
    button(page, "Undo").tap()
    expect_heading(page, "All 3 swings")
    expect_all_sent(page)
    rows = SmoothSwing.objects.order_by("pk").values_list("smooth", "how", "club__label", "block__title")
    assert list(rows) == [
        (True, "hum", "52", "Smooth swing"),
        (False, "breath", "52", "Smooth swing"),
        (True, "breath", "52", "Smooth swing"),
    ]
    assert BlockOutcome.objects.get().deleted


@pytest.mark.parametrize("kind", ["random_target", "turf_brush"])
def test_what_the_coach_says_with_a_block_stands_before_its_first_ball(cast, phone, open_play, kind):
    said = {"minutes": 25, "surface": "grass", "cue": "Hum low", "reason": "Half swings scatter most", "rain": "Putt."}
    mark = {"pass_made": 2, "pass_of": 3, "pass_within_pct": 10}
    flag = cast.flags[0] if kind == "random_target" else None
    plain = {"kind": kind, "title": "Nothing said"}
    asked = [(club, flag) for club in (*cast.clubs, cast.clubs[0])]
    cast.assign_blocks((asked, {"kind": kind, "title": "All said", "day": 2, **said, **mark}), (asked, plain))
    page = open_play(phone, cast.player.user)
    expect(page.locator(".card", has_text="All said").get_by_text("Wednesday", exact=True)).to_be_visible()
    expect(page.get_by_text(re.compile("day$"))).to_have_count(1)
    page.locator(".card", has_text="All said").get_by_role("link", name="Start").tap()
    button(page, "Start").tap()
    expect(page.get_by_role("heading", name="All said")).to_be_visible()
    passed = "Pass mark: 2 of 3 within 10 %." if flag else "Pass mark: 2 of 3."
    for told in (said["cue"], said["reason"], "About 25 minutes.", "Off grass.", passed, "If it rains: Putt."):
        expect(page.get_by_text(told, exact=True)).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    page.locator(".card", has_text="Nothing said").get_by_role("link", name="Start").tap()
    expect(page.get_by_role("heading", name="Nothing said")).to_be_visible()
    expect(page.get_by_text(re.compile("undefined|^(About|Off|Pass mark|If it rains)"))).to_have_count(0)
