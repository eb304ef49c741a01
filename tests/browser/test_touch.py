"""The touch: sizes, contrast, the keyboard, and either hand."""

import math
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


TOO_SMALL = """() => [...document.querySelectorAll(
    'button, .button, select, summary, .chip, .top a, input[type=number], .past a')]
    .filter(node => node.checkVisibility()).map(node => [node.textContent, node.getBoundingClientRect()])
    .filter(([, box]) => Math.min(box.height, box.width) < 44).map(([text]) => text)"""
SIZES = pytest.mark.parametrize("size", [(320, 568), (390, 844), (844, 390)])


def expect_room(page):
    """Expect that every control is big enough and that nothing runs off the side."""
    assert page.evaluate(TOO_SMALL) == []
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0


@pytest.fixture
def open_sized(open_context, open_play):
    """Return a function that opens the page of a user on a phone of a size, with text so many times as big."""

    def open_sized(size, user, text=1):
        phone = open_context(**{**PHONE, "viewport": {"width": size[0], "height": size[1]}})
        bigger = f"new CSSStyleSheet().replaceSync('html {{ font-size: {100 * text}% !important }}')"
        sheet = bigger.replace("new CSSStyleSheet()", "(window.sheet = new CSSStyleSheet())")
        phone.add_init_script(f"{sheet}; document.adoptedStyleSheets = [window.sheet]")
        return open_play(phone, user)

    return open_sized


@SIZES
@pytest.mark.parametrize("text", [1, 2])
def test_every_control_is_big_enough_and_nothing_runs_off_the_side(cast, open_sized, size, text):
    """Also with text at 200 % (WCAG 2.2, success criterion 1.4.4), and at 320 px (1.4.10)."""
    cast.mixed(3)
    page = open_sized(size, cast.player.user, text)
    expect(page.get_by_text("0 of 3")).to_be_visible()
    expect_room(page)
    start_block(page, measured_by="laser")
    expect_room(page)
    page.get_by_role("img").tap(position={"x": 60, "y": 60})
    expect_ball(page, 2)
    expect_room(page)
    page.get_by_role("link", name="Past balls").tap()
    expect_room(page)
    page.get_by_role("link", name="1. 52 Flag 1").tap()
    expect(button(page, "Delete this ball")).to_be_visible()
    expect_room(page)
    button(page, "Delete this ball").tap()
    expect(page.get_by_label("The deleted ball")).to_contain_text("Deleted: 1. 52 Flag 1", use_inner_text=True)
    expect_room(page)
    page.evaluate("location.hash = '#/eye-check'")
    expect(button(page, "That is my guess")).to_be_visible()
    expect_room(page)


@SIZES
@pytest.mark.parametrize("text", [1, 2])
def test_what_is_logged_afterwards_has_room_too(cast, open_sized, size, text):
    counted = {"title": "Counted", "logging": "end"}
    three = [(cast.clubs[0], cast.flags[0])] * 3
    cast.assign_blocks((three, {"logging": "third"}), (three[:1], counted))
    page = open_sized(size, cast.player.user, text)
    page.get_by_role("link", name="Start").first.tap()
    button(page, "Start").tap()
    button(page, "First ball").tap()
    expect(page.get_by_role("listitem")).to_have_count(3)
    expect_room(page)
    button(page, "enter later").tap()
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_room(page)
    page.get_by_role("link", name="Enter it").tap()
    expect(button(page, "on it")).to_be_visible()
    expect_room(page)
    page.evaluate("location.hash = '#/turf'")
    expect(button(page, "divot")).to_be_visible()
    expect_room(page)
    page.evaluate("location.hash = '#/'")
    page.get_by_role("link", name="Start").tap()
    button(page, "First ball").tap()
    expect(button(page, "Hit: next ball")).to_be_visible()
    expect_room(page)
    button(page, "Hit: next ball").tap()
    expect(page.get_by_role("heading", name="How did they go?")).to_be_visible()
    expect_room(page)


@pytest.mark.parametrize(("size", "least_px"), [((390, 844), 64), ((320, 568), 56), ((844, 390), 48)])
def test_what_is_pressed_at_every_ball_is_as_big_as_there_is_room(cast, open_sized, size, least_px):
    cast.mixed(1)
    page = open_sized(size, cast.player.user)
    start_block(page)
    for name in ("on it", "10+ long, left", "fat", "shank"):
        box = button(page, name).bounding_box()
        assert min(box["width"], box["height"]) >= least_px, name


CSS_PX_MM = 25.4 / 160
"""A phone's, by which Android lays out: a density-independent pixel is 1/160 inch (its documentation, from memory)."""
CAPITALS = 0.7
"""Their height as a part of the font size, in common typefaces. No source."""
JUST_LEGIBLE_PX = 2000 * math.tan(math.radians(5 / 60)) / CSS_PX_MM / CAPITALS


@pytest.mark.parametrize(
    ("size", "logging", "club", "target"),
    [
        ((320, 568), "every", 2.6, 1.4),
        ((390, 844), "every", 3.2, 1.7),
        ((844, 390), "every", 3.2, 1.8),
        ((320, 568), "third", 2, 1.1),
        ((390, 844), "third", 2.1, 1.3),
        ((844, 390), "third", 2.1, 1.2),
    ],
)
def test_club_and_target_can_be_read_from_two_metres(cast, open_sized, size, logging, club, target):
    """`club` and `target` say how many times as big as just legible they are at least.

    Letters 5 arc minutes high are just legible (visual acuity 1.0 of ISO 8596, from memory). At 2 m that is 2.9 mm,
    some 18 CSS px, a font of 26 px. Sun and movement ask for twice that, 52 px (common practice, no source): a club has
    it everywhere, a target as much as there is room for.
    """
    assert pytest.approx(26.2, abs=0.05) == JUST_LEGIBLE_PX
    asked = [(cast.clubs[n % 2], cast.flags[n % 2]) for n in range(6)]
    cast.assign(*asked, logging=logging)
    page = open_sized(size, cast.player.user)
    start_block(page) if logging == "every" else start_thirds(page)
    sizes = "nodes => nodes.map(node => parseFloat(getComputedStyle(node).fontSize))"
    for name, times in ((".club", club), (".target", target), (".land .figure", target)):
        shown = page.locator(name).evaluate_all(sizes)
        assert len(shown) == (1 if logging == "every" else 3)
        assert min(shown) >= times * JUST_LEGIBLE_PX, name
    expect_room(page)
    if logging == "every":  # the zones do not pay for it: none is under the last ball's bar
        button(page, "5 long").tap()
        bar = page.get_by_label("The last ball").bounding_box()
        zones = page.get_by_role("group", name="Where it landed").bounding_box()
        assert zones["y"] + zones["height"] <= bar["y"]


@pytest.mark.console_allows("ERR_INTERNET_DISCONNECTED")
def test_with_no_signal_what_is_tapped_at_every_ball_stays_on_the_screen(cast, open_sized):
    cast.mixed(6)
    page = open_sized((390, 844), cast.player.user)
    start_block(page)
    page.context.set_offline(True)
    button(page, "5 long").tap()
    expect(page.get_by_text("No connection.")).to_be_visible()
    bar = page.get_by_label("The last ball").bounding_box()
    lowest = button(page, "fat").bounding_box()
    assert lowest["y"] + lowest["height"] <= bar["y"]
    expect_room(page)


@pytest.mark.parametrize("logging", ["every", "third"])
def test_a_long_name_of_a_target_is_smaller_and_can_still_be_read_from_two_metres(cast, open_sized, logging):
    """So that what is tapped at every ball stays on the screen: none of it is under the last ball's bar."""
    for flag in cast.flags:
        flag.name = f"Far flag by the old oak {flag.name[-1]}"
        flag.save()
    cast.assign(*[(cast.clubs[n % 2], cast.flags[n % 2]) for n in range(6)], logging=logging)
    page = open_sized((390, 844), cast.player.user)
    start_block(page) if logging == "every" else start_thirds(page)
    button(page, "5 long").tap()
    bar = page.get_by_label("The last ball").bounding_box()
    lowest = button(page, "fat" if logging == "every" else "on it").bounding_box()
    assert lowest["y"] + lowest["height"] <= bar["y"]
    size = "node => parseFloat(getComputedStyle(node).fontSize)"
    name, figure = (page.locator(of).first.evaluate(size) for of in (".target", ".land .figure"))
    assert JUST_LEGIBLE_PX <= name < figure


def start_thirds(page):
    """Go from the plan through the visit to the first three balls."""
    page.get_by_role("link", name="Start").tap()
    button(page, "Start").tap()
    button(page, "First ball").tap()
    expect(page.get_by_role("listitem")).to_have_count(3)


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
