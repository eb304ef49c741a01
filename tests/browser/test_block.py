"""A block logged ball by ball by touch, and what is then in the database."""

import re

import pytest
from playwright.sync_api import expect

from practice.sessions.models import ShotRevision, SkippedBall, Visit
from tests.browser.phone import AROUND, YARD_M, Cast, button, expect_all_sent, expect_ball, start_block, tap_ball
from tests.make import make_academy, make_player

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_block_of_mixed_results_is_stored_as_it_was_tapped(cast, phone, open_play):
    balls = cast.mixed(7)
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("0 of 7")).to_be_visible()
    start_block(page)

    tap_ball(page, 1, "5 long")
    tap_ball(page, 2, "10+ short, left")
    tap_ball(page, 3, "thin")
    tap_ball(page, 4, "not seen")
    expect_ball(page, 5)
    page.get_by_label("other club").select_option("56")
    expect(page.get_by_text("With the 56.")).to_be_visible()
    page.get_by_text("a little heavy", exact=True).tap()
    tap_ball(page, 5, "on it, right")
    tap_ball(page, 6, "skip")
    expect_ball(page, 7)
    page.get_by_text("Type it instead").tap()
    page.get_by_label("Carry, yd", exact=True).fill("41")
    page.get_by_label("Side, yd (left: minus)", exact=True).fill("-3")
    button(page, "Save").tap()

    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect(page.get_by_text("6 balls hit; mishits: 1 thin; 1 skipped.")).to_be_visible()
    expect_all_sent(page)
    zone_m, step_m = 5 * YARD_M, YARD_M
    rows = [
        (shot.ball.n, shot.club.label, shot.carry_m, shot.lateral_m, shot.contact, shot.contact_note, shot.resolution_m)
        for shot in cast.shots()
    ]
    near, far = 40.0, 60.0
    assert rows == [
        (1, "52", pytest.approx(near + zone_m), 0, "", "", pytest.approx(zone_m)),
        (2, "56", pytest.approx(far - 2 * zone_m), pytest.approx(-zone_m), "", "", pytest.approx(zone_m)),
        (3, "52", None, None, "thin", "", None),
        (4, "56", None, None, "", "", None),
        (5, "56", pytest.approx(near), pytest.approx(zone_m), "clean", "heavy", pytest.approx(zone_m)),
        (7, "52", pytest.approx(41 * step_m), pytest.approx(-3 * step_m), "", "", pytest.approx(zone_m)),
    ]
    assert [shot.seen for shot in cast.shots()] == [True, True, True, False, True, True]
    assert {(shot.measured_by, shot.source, shot.number_shown, shot.swing) for shot in cast.shots()} == {
        ("eye", "phone", True, "feel")
    }
    assert SkippedBall.objects.get(player=cast.player).ball == balls[5]
    assert all(shot.visit == Visit.objects.get(player=cast.player) for shot in cast.shots())


def test_a_tap_on_the_picture_is_stored_with_its_precision_and_nudged_by_one(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page, measured_by="launch monitor")
    picture = page.get_by_role("img")
    box = picture.bounding_box()
    # The picture spans 40 yd and the cross is in its middle: a quarter up and an eighth right is 10 long, 5 right.
    picture.tap(position={"x": box["width"] * 5 / 8, "y": box["height"] / 4})
    expect_ball(page, 2)
    last = page.get_by_label("The last ball")
    target_yd = 40 / YARD_M
    expect(last).to_contain_text(f"{target_yd + 10:.0f} yd, 10 long, 5 right")
    last.get_by_role("button", name="Carry, yd: one less").tap()
    expect(last).to_contain_text(f"{target_yd + 9:.0f} yd, 9 long, 5 right")
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.carry_m, shot.lateral_m) == pytest.approx((round(target_yd + 9) * YARD_M, 5 * YARD_M))
    tapped, nudged = ShotRevision.objects.filter(shot=shot).order_by("revision")
    # 15 px of thumb on a picture of 40 yd across some 360 px.
    assert tapped.values["resolution_m"] == pytest.approx(2 * YARD_M)
    assert nudged.values["resolution_m"] == pytest.approx(YARD_M)


def test_a_ball_is_fresh_when_its_club_or_target_differs_from_the_one_before(cast, phone, open_play):
    (wedge, sand), (near, far) = cast.clubs, cast.flags
    cast.assign((wedge, near), (wedge, near), (sand, near), (sand, far), (sand, far))
    page = open_play(phone, cast.player.user)
    start_block(page)
    for n in range(1, 6):
        tap_ball(page, n, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert [shot.fresh for shot in cast.shots()] == [True, False, True, True, False]


def test_a_double_tap_logs_one_shot(cast, phone, open_play):
    """Both taps happen in one task of the page, so the test does not depend on how fast the machine is."""
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    page.evaluate(
        """() => { for (let i = 0; i < 2; i++) document.querySelector('[aria-label="on it"]').click(); }""",
    )
    expect_ball(page, 2)
    # The second ball takes no tap either until the page has rested.
    page.evaluate("""() => document.querySelector('.entry[inert] [aria-label="on it"]')?.click()""")
    tap_ball(page, 2, "5 long")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [1, 2]


HOLD_THE_DISK = """() => new Promise((held) => {
    indexedDB.open("practice-ledger").onsuccess = ({ target: { result: database } }) => {
        const items = database.transaction("items", "readwrite").objectStore("items");
        const hold = () => {
            held();
            if (!globalThis.letGo) items.count().onsuccess = hold;
            else database.close();
        };
        hold();
    };
})"""
"""Keeps a transaction going, as another tab may, so that a save has to wait until `letGo` is set."""


def test_a_save_is_shown_only_while_it_has_to_wait_for_the_disk(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    page.evaluate(HOLD_THE_DISK)
    tap = """() => {
        const tapped = document.querySelector('[aria-label="on it"]');
        tapped.click();
        return tapped.closest(".entry").inert;
    }"""
    assert not page.evaluate(tap), "drawing that would stand before the save"
    page.evaluate(tap)
    expect(page.locator(".entry[inert]")).to_have_count(1)
    page.evaluate(tap)
    expect_ball(page, 1)
    page.evaluate("letGo = true")
    tap_ball(page, 2, "5 long")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [1, 2]


def test_number_fields_are_made_when_they_are_unfolded(cast, phone, open_play):
    """They are seldom wanted, and would be made anew with every ball. What was typed comes back with them."""
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page)
    assert page.locator(".entry input[type=number]").count() == 0
    page.get_by_text("Type it instead").tap()
    page.get_by_label("Carry, yd", exact=True).fill("41")
    page.get_by_text("a little heavy", exact=True).tap()
    expect(page.get_by_role("checkbox", name="a little heavy")).to_be_checked()
    expect(page.get_by_label("Carry, yd", exact=True)).to_have_value("41")


def test_a_hidden_number_stands_nowhere_on_the_page(cast, phone, open_play):
    cast.mixed(3, number_shown=False, around=AROUND)
    page = open_play(phone, cast.player.user)
    start_block(page)

    def told():
        """Return the page's markup without what has figures of its own: ids, counts, clubs, names of flags."""
        markup = page.locator("#page").evaluate("node => node.outerHTML")
        tags = r'</?h1|tabindex="-1"|(min|max)="-?\d+"|value="[0-9a-f-]{36}"'
        return re.sub(rf'{tags}|/block/[^"]*|Ball \d of \d|\b5[26]\b|Flag \d', "", markup)

    assert not re.search(r"\d", told())
    tap_ball(page, 1, "far long, left")
    expect_ball(page, 2)
    expect(page.get_by_label("The last ball")).to_contain_text("far long, left")
    assert not re.search(r"\d", told())
    page.get_by_role("link", name="Correct").tap()
    expect(button(page, "far long, left")).to_have_attribute("aria-pressed", "true")
    assert page.locator("input[type=number]").evaluate_all("inputs => inputs.map(input => input.value)")[0] == ""
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.number_shown, shot.carry_m) == (False, pytest.approx(40 + 10 * YARD_M))


def test_a_ball_between_two_stock_swings_names_both(cast, phone, open_play):
    cast.assign((cast.clubs[0], cast.flags[1]), around=AROUND)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect(page.get_by_text("feel: between half 48 yd and three-quarter 62 yd")).to_be_visible()
    expect(page.get_by_role("heading", name="Ball 1 of 1 52 land it at Flag 2 66 yd")).to_be_visible()


def test_a_stock_ball_takes_a_typed_carry(cast, phone, open_play):
    cast.assign((cast.clubs[0], None), kind="carry_test", title="Carry test")
    page = open_play(phone, cast.player.user)
    start_block(page, measured_by="laser", title="Carry test")
    page.get_by_label("Carry, yd", exact=True).fill("82")
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="Carry test: done")).to_be_visible()
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.swing, shot.target_m, shot.lateral_m, shot.number_shown) == ("9:00", None, None, None)
    assert shot.carry_m == pytest.approx(82 * YARD_M)


def test_a_target_at_an_unknown_distance_takes_short_or_long(cast, phone, open_play):
    cast.flags[0].distance_m = None
    cast.assign((cast.clubs[0], cast.flags[0]))
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "5 short")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.carry_m, shot.target_m, shot.error_m) == (None, None, pytest.approx(-5 * YARD_M))


def test_an_empty_field_saves_nothing(cast, phone, open_play):
    cast.assign((cast.clubs[0], None), (cast.clubs[0], None), kind="carry_test", title="Carry test")
    page = open_play(phone, cast.player.user)
    start_block(page, measured_by="laser", title="Carry test")
    button(page, "Save").tap()
    expect(page.get_by_label("Carry, yd", exact=True)).to_be_focused()
    page.get_by_label("Carry, yd", exact=True).fill("0")
    button(page, "Save").tap()
    page.get_by_label("Carry, yd", exact=True).fill("80")
    button(page, "Save").tap()
    expect_ball(page, 2)
    expect_all_sent(page)
    assert [shot.carry_m for shot in cast.shots()] == [pytest.approx(80 * YARD_M)]


def test_a_player_of_metres_sees_and_enters_metres(phone, open_play):
    cast = Cast(distance_unit="m")
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect(page.get_by_role("heading", name="Ball 1 of 1 52 land it at Flag 1 40 m")).to_be_visible()
    tap_ball(page, 1, "5 long")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert (cast.shots()[0].carry_m, cast.shots()[0].resolution_m) == (45, 5)


def test_two_academies_of_one_player_are_told_apart(cast, phone, open_play):
    cast.mixed(1)
    elsewhere = make_player(make_academy("Zenith"), "Robin at Zenith")
    elsewhere.user = cast.player.user
    elsewhere.save()
    page = open_play(phone, cast.player.user)
    page.get_by_label("Player").select_option(str(elsewhere.pk))
    expect(page.get_by_role("heading", name="Robin at Zenith")).to_be_visible()
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    page.get_by_label("Player").select_option(str(cast.player.pk))
    expect(page.get_by_text("0 of 1")).to_be_visible()
