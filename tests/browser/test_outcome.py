"""What a block comes to, told once at its end, and balls that nobody asked for."""

import pytest
from playwright.sync_api import expect

from practice.sessions.models import BlockOutcome
from tests.browser.axe import axe_faults
from tests.browser.phone import YARD_M, button, expect_all_sent
from tests.browser.test_strike_log import start

pytestmark = pytest.mark.django_db(transaction=True)


def begin(page, cast, phone_page, score):
    """Assign a drill of the coach's own with this score, and go to its log."""
    parameters = {"log": "outcome", "score": score, "shot_type": "pitch", "balls": 10}
    cast.assign_blocks(((), {"kind": "own", "title": "Up and down", "parameters": parameters}))
    page = phone_page(page, cast.player.user)
    start(page, "Up and down")
    return page


def save(page, told):
    """Save the outcome and wait for its summary."""
    assert axe_faults(page) == []
    assert "false" not in page.locator("#page").inner_text()
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="Up and down: done")).to_be_visible()
    expect(page.get_by_text(told)).to_be_visible()
    assert axe_faults(page) == []
    expect_all_sent(page)


def outcome() -> tuple:
    return BlockOutcome.objects.values_list("balls", "made", "best_run", "yes", "leaves_m").get()


def test_so_many_of_so_many_are_counted_with_big_buttons_and_corrected(cast, phone, open_play):
    page = begin(phone, cast, open_play, "k_of_n")
    page.get_by_label("Made", exact=True).fill("11")
    button(page, "Save").tap()
    expect(page.get_by_text("That is more than the 10 balls you hit.")).to_be_visible()
    page.get_by_label("Made", exact=True).fill("6")
    button(page, "Made: one more").tap()
    save(page, "7 of 10 made (70 %).")
    page.get_by_role("link", name="Correct the count").tap()
    expect(page.get_by_label("Made", exact=True)).to_have_value("7")
    button(page, "Made: one less").tap()
    save(page, "6 of 10 made (60 %).")
    assert outcome() == (10, 6, None, None, None)


def test_the_best_run_is_told(cast, phone, open_play):
    page = begin(phone, cast, open_play, "best_run")
    page.get_by_label("Best run, in a row", exact=True).fill("4")
    save(page, "Best run: 4 in a row.")
    assert outcome() == (10, None, 4, None, None)


def test_yes_or_no_is_asked_until_it_is_answered(cast, phone, open_play):
    page = begin(phone, cast, open_play, "yes_no")
    button(page, "Save").tap()
    expect(page.get_by_text("Say yes or no.")).to_be_visible()
    page.get_by_text("no", exact=True).tap()
    save(page, "Done as asked: no.")
    assert outcome() == (10, None, None, False, None)


def test_leaves_are_told_ball_by_ball_in_the_players_unit(cast, phone, open_play):
    page = begin(phone, cast, open_play, "leave")
    for leave in ("2", "9", "0.5"):
        page.get_by_label("From the hole, yd", exact=True).fill(leave)
        button(page, "Next ball").tap()
    expect(page.get_by_role("listitem")).to_have_text(["2 yd", "9 yd", "0.5 yd"])
    page.get_by_label("Balls hit", exact=True).fill("2")
    button(page, "Save").tap()
    expect(page.get_by_text("Those are 3 distances of 2 balls.")).to_be_visible()
    button(page, "Undo the last").tap()
    save(page, "On average 5.5 yd from the hole (2 balls).")
    assert outcome()[-1] == pytest.approx([2 * YARD_M, 9 * YARD_M])


def test_free_practice_takes_about_how_many_balls_it_was(cast, phone, open_play):
    cast.assign_blocks(((), {"kind": "free", "title": "Free practice", "parameters": {"balls": 15}}))
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("15 balls")).to_be_visible()
    start(page, "Free practice")
    button(page, "about 40").tap()
    button(page, "Save").tap()
    expect(page.get_by_text("40 balls hit.")).to_be_visible()
    expect_all_sent(page)
    assert outcome() == (40, None, None, None, None)


def test_balls_beside_the_plan_are_told_without_a_block(cast, phone, open_play):
    page = open_play(phone, cast.player.user)
    page.get_by_role("link", name="Other balls").tap()
    button(page, "about 60").tap()
    assert axe_faults(page) == []
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="Robin Vale")).to_be_visible()
    expect_all_sent(page)
    assert BlockOutcome.objects.values_list("block", "balls").get() == (None, 60)
