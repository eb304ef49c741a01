"""What the server would not take: corrected, tried again, let go of and put back."""

import pytest
from playwright.sync_api import expect

from practice.planner.models import WeekPlan
from tests.browser.phone import (
    button,
    expect_all_sent,
    expect_ball,
    expect_on_disk,
    on_disk,
    start_block,
    tap_ball,
    waiting,
)
from tests.make import make_club

pytestmark = pytest.mark.django_db(transaction=True)

NO_CLUB = "This club is not in your bag any more."


def open_plan(page, *, not_taken: int):
    expect(waiting(page)).to_have_text(f"0 waiting to send, {not_taken} not taken")
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_role("heading", name="Could not be sent")).to_be_visible()


def withdraw(club):
    """The coach takes a club away, and the block that asks for it, while the player stands over a ball."""
    WeekPlan.objects.get().delete()
    club.delete()


def expect_withdrawn(page):
    """Expect that the page has heard of it: the list is drawn anew then, which could happen under a tap."""
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()


def shots_on_disk(page) -> list[dict]:
    return [item for item in on_disk(page, "items") if item["kind"] == "shot"]


@pytest.fixture
def lent(cast, phone, open_play):
    """Open a block of two balls; log the first with a club that no block asks for and that is gone meanwhile."""
    cast.mixed(2)
    other = make_club(cast.player, "60")
    page = open_play(phone, cast.player.user)
    start_block(page)
    other.delete()
    page.get_by_label("other club").select_option("60")
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    open_plan(page, not_taken=1)
    expect_on_disk(page, "days", lambda days: all(club["label"] != "60" for club in days[0]["work"]["clubs"]))
    return page


def test_a_discarded_shot_is_put_back_as_it_was(cast, phone, open_play):
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page)
    wedge = cast.clubs[0]
    club = wedge.pk
    withdraw(wedge)
    tap_ball(page, 1, "5 long")
    open_plan(page, not_taken=1)
    expect_withdrawn(page)
    [kept] = shots_on_disk(page)
    assert kept["fault"].startswith(NO_CLUB)
    button(page, "Discard").tap()
    expect(page.get_by_text("Discarded.", exact=True).first).to_be_visible()
    expect_all_sent(page)
    assert shots_on_disk(page) == []
    button(page, "Undo").tap()
    expect(waiting(page)).to_have_text("0 waiting to send, 1 not taken")
    expect(page.get_by_text(NO_CLUB)).to_be_visible()
    expect(button(page, "Undo")).to_have_count(0)
    assert shots_on_disk(page) == [kept]
    make_club(cast.player, "52", pk=club)
    button(page, "Try again").tap()
    expect_all_sent(page)
    [shot] = cast.shots()
    assert (shot.uid.hex, shot.running_number) == (kept["id"].replace("-", ""), kept["number"])


def test_each_of_several_discarded_stays_in_its_place_until_the_page_is_opened_anew(cast, phone, open_play):
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    withdraw(cast.clubs[0])
    for n in (1, 2, 3):
        tap_ball(page, n, "thin")
    open_plan(page, not_taken=2)
    expect_withdrawn(page)
    rows = page.locator(".faulty")
    for n in (0, 1):
        rows.nth(n).get_by_role("button", name="Discard").tap()
        expect(rows.nth(n).get_by_role("button", name="Undo")).to_be_visible()
    rows.nth(0).get_by_role("button", name="Undo").tap()
    expect(rows.nth(0).get_by_role("button", name="Try again")).to_be_visible()
    expect(rows.nth(1).get_by_role("button", name="Undo")).to_be_visible()
    page.reload()
    expect(rows).to_have_count(1)
    expect(rows.get_by_role("button", name="Try again")).to_be_visible()


def test_a_discarded_ball_that_was_hit_anew_is_not_put_back_beside_it(cast, lent):
    button(lent, "Discard").tap()
    expect(button(lent, "Undo")).to_be_visible()
    lent.get_by_role("link", name="Start").tap()
    expect_ball(lent, 1)
    expect(lent.get_by_label("The last ball")).to_have_count(0)
    tap_ball(lent, 1, "on it")
    expect_ball(lent, 2)
    lent.get_by_role("link", name="Today's plan").first.tap()
    expect(lent.get_by_text("1 of 2")).to_be_visible()
    expect(button(lent, "Undo")).to_have_count(0)
    expect(lent.get_by_text("Could not be sent")).to_have_count(0)
    expect_all_sent(lent)
    assert [(shot.ball.n, shot.club.label) for shot in cast.shots()] == [(1, "52")]


def test_what_another_tab_has_corrected_meanwhile_is_not_put_back_over_it(cast, lent):
    tab = lent.context.new_page()
    tab.goto(lent.url)
    tab.get_by_role("link", name="Correct").tap()
    tab.get_by_label("Club").select_option("56")
    button(lent, "Discard").tap()
    expect(button(lent, "Undo")).to_be_visible()
    button(tab, "Save").tap()
    expect(tab.locator("#said")).to_have_text("Correction saved on this phone.")
    expect_all_sent(tab)
    expect(lent.get_by_text("1 of 2")).to_be_visible()
    expect(button(lent, "Undo")).to_have_count(0)
    assert [(shot.club.label, shot.deleted) for shot in cast.shots()] == [("56", False)]


def test_a_shot_that_was_not_taken_is_corrected_from_there_and_taken(cast, lent):
    lent.get_by_role("link", name="Correct").tap()
    expect(button(lent, "5 long")).to_have_attribute("aria-pressed", "true")
    button(lent, "Save").tap()
    # No club is put in place of the one that is gone: the player says which it was.
    expect(lent.get_by_text("Say which club it was.")).to_be_visible()
    lent.get_by_label("Club").select_option("56")
    button(lent, "Save").tap()
    expect(lent.get_by_role("heading", name="Past balls")).to_be_visible()
    expect_all_sent(lent)
    assert [(shot.ball.n, shot.club.label, shot.revision) for shot in cast.shots()] == [(1, "56", 2)]


def test_it_is_corrected_also_when_its_block_was_withdrawn(cast, phone, open_play):
    cast.mixed(1, number_shown=False)
    page = open_play(phone, cast.player.user)
    start_block(page)
    withdraw(cast.clubs[0])
    tap_ball(page, 1, "long")
    open_plan(page, not_taken=1)
    expect_withdrawn(page)
    page.get_by_role("link", name="Correct").tap()
    expect(page.get_by_role("heading", name="Flag 1")).to_be_visible()
    # The number was hidden, and stays so.
    expect(button(page, "long")).to_have_attribute("aria-pressed", "true")
    button(page, "short").tap()
    page.get_by_label("Club").select_option("56")
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="Robin Vale")).to_be_visible()
    expect_all_sent(page)
    [shot] = cast.shots()
    assert (shot.club.label, shot.ball, shot.number_shown, shot.revision) == ("56", None, False, 2)
    assert shot.carry_m < shot.target_m
