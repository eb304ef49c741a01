"""The touch: sizes, contrast, the keyboard, and either hand."""

import re

import pytest
from django.conf import settings
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.phone import Cast, button, expect_all_sent, expect_ball, start_block

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_block_can_be_logged_with_the_keyboard_alone(cast, desk, open_play):
    cast.mixed(2)
    page = open_play(desk, cast.player.user)

    def press(name, role="button"):
        """Tab to the control of that name, as someone without a pointer does, and press it."""
        target = page.get_by_role(role, name=name, exact=True)
        expect(target).to_be_visible()
        for _ in range(60):
            if target.evaluate("node => node === document.activeElement"):
                break
            page.keyboard.press("Tab")
        expect(target).to_be_focused()
        page.keyboard.press("Enter")

    press("Start", "link")
    press("Start")
    press("First ball")
    expect_ball(page, 1)
    expect(page.get_by_role("heading", name=re.compile("^Ball 1 of 2"))).to_be_focused()
    press("5 long, right")
    expect_ball(page, 2)
    expect(page.locator("#said")).to_have_text("Saved on this phone.")
    expect(page.locator(".entry[inert]")).to_have_count(0)
    press("fat")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_focused()
    expect_all_sent(page)
    assert [shot.contact for shot in cast.shots()] == ["", "fat"]


def test_a_left_hander_gets_the_buttons_the_other_way_round(phone, open_play):
    cast = Cast(handed="left")
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    fat, shank = (button(page, name).bounding_box()["x"] for name in ("fat", "shank"))
    assert shank < fat
    # Left of the target stays left: only the buttons change sides.
    left, right = (button(page, f"on it, {side}").bounding_box()["x"] for side in ("left", "right"))
    assert left < right


@pytest.mark.parametrize("size", [(320, 568), (390, 844), (844, 390)])
def test_every_control_is_big_enough_and_nothing_runs_off_the_side(cast, open_context, open_play, size):
    cast.mixed(3)
    page = open_play(open_context(**{**PHONE, "viewport": {"width": size[0], "height": size[1]}}), cast.player.user)

    def check():
        small = page.locator("button, .button, select, summary, .chip, .top a, input[type=number]").evaluate_all(
            """nodes => nodes.filter(node => node.checkVisibility())
                .map(node => [node.textContent, node.getBoundingClientRect()])
                .filter(([, box]) => Math.min(box.height, box.width) < 44).map(([text]) => text)"""
        )
        assert small == []
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]

    check()
    start_block(page, measured_by="laser")
    check()
    page.get_by_role("img").tap(position={"x": 60, "y": 60})
    expect_ball(page, 2)
    check()
    page.get_by_role("link", name="Correct").tap()
    expect(button(page, "Delete this ball")).to_be_visible()
    check()


def test_club_and_target_are_big_enough_to_read_from_two_metres(cast, phone, open_play):
    """Common practice, no source: letters of 5 arc minutes are just legible, so 2 m ask for 3 mm, some 19 CSS px.

    Twice that for sun and movement; capitals are about 0.7 of the font size, so 52 px would do for both.
    """
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page)
    size = "node => parseFloat(getComputedStyle(node).fontSize)"
    assert page.locator(".club").evaluate(size) >= 80
    assert page.locator(".target").evaluate(size) >= 40


def test_the_page_has_the_colours_of_the_other_pages():
    """It repeats them so as to need one stylesheet only; this is what keeps the two from drifting apart."""
    tokens = re.compile(r"(--[\w-]+): (#[0-9a-f]{6});")
    ledger, play = (
        tokens.findall((settings.ROOT / "static" / path).read_text()) for path in ("ledger/ledger.css", "play/play.css")
    )
    assert len(play) == 20
    assert set(play) <= set(ledger)


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb as WCAG 2.2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_text_has_a_contrast_of_seven_to_one(scheme):
    """WCAG 2.2, success criterion 1.4.6: (lighter + 0.05) / (darker + 0.05) of at least 7."""
    light, dark = (settings.ROOT / "static/play/play.css").read_text().split("prefers-color-scheme: dark", 1)
    token = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", light if scheme == "light" else dark))
    on_all = [(text, ground) for text in ("ink", "soft") for ground in ("paper", "card", "faint", "note")]
    on_some = [(text, ground) for text in ("act", "stop") for ground in ("paper", "card")]
    for text, ground in [*on_all, *on_some, ("act-ink", "act"), ("act", "note")]:
        bright, dim = sorted((luminance(token[text]), luminance(token[ground])), reverse=True)
        assert (bright + 0.05) / (dim + 0.05) >= 7, f"{text} on {ground}"
