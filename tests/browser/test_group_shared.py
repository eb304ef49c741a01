"""A block that all of a group share: the same targets with their own clubs, tied to nobody else's balls."""

import pytest
from playwright.sync_api import expect

from practice.sessions.models import SkippedBall
from tests.browser.phone import YARD_M, button, expect_all_sent
from tests.browser.squad import begin, log, tile
from tests.make import make_player

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_shared_block_asks_all_the_same_targets_with_their_own_clubs(squad, phone, open_play):
    """Robin's 52 is asked; Ada has none, and her 50 is nearer in loft than her 58; Ben has a 52."""
    ada = squad.add("Ada Lund", ("50", 50.0), ("58", 58.0))
    ben = squad.add("Ben Oke", ("54", 54.0), ("52", 51.0))
    make_player(squad.academy, "Cy Without")
    squad.mixed(2)
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund", "Ben Oke", "Cy Without")
    expect(tile(page, "Ada")).to_contain_text("nothing planned")
    page.get_by_label("Which block?").select_option(label="all share: Mixed targets (Robin)")
    expect(tile(page, "Cy")).to_contain_text("no clubs in the bag")
    expect(tile(page, "Ben")).to_contain_text("52 Flag 1 44 yd Ball 1 of 2")
    tile(page, "Ada").tap()
    expect(page.get_by_role("heading", name="Ada Ball 1 of 2 50 land it at Flag 1 44 yd")).to_be_visible()
    expect(page.get_by_text("Asked: 52. This is the nearest in the bag.")).to_be_visible()
    button(page, "5 long").tap()
    log(page, "Ben", "5 short")
    log(page, "Robin", "on it")
    expect(tile(page, "Ada")).to_contain_text("58 Flag 2 66 yd Ball 2 of 2")
    log(page, "Ada", "skip")
    expect(tile(page, "Ada")).to_contain_text("done")
    expect_all_sent(page)
    (shot,) = ada.shots()
    assert (shot.ball, shot.target, shot.club.label, shot.swing) == (None, squad.flags[0], "50", "feel")
    assert (shot.target_m, shot.carry_m) == (40.0, pytest.approx(40 + 5 * YARD_M))
    assert [(shot.ball, shot.club.label) for shot in ben.shots()] == [(None, "52")]
    assert [shot.ball.n for shot in squad.shots()] == [1]
    # To skip a ball that was never asked of her is no news to the server.
    assert not SkippedBall.objects.exists()


def test_what_was_saved_last_is_taken_back_and_corrected_for_each_in_a_shared_block_too(squad, phone, open_play):
    ada = squad.add("Ada Lund", ("52", 52.0), ("56", 56.0))
    squad.mixed(3)
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    page.get_by_label("Which block?").select_option(label="all share: Mixed targets (Robin)")
    log(page, "Ada", "5 long")
    log(page, "Robin", "thin")
    bar = page.get_by_label("The last ball")
    bar.get_by_role("button", name="Undo").tap()
    expect(tile(page, "Robin")).to_contain_text("Ball 1 of 3")
    expect(bar).to_contain_text("Saved: Ada, 5 long")
    bar.get_by_role("link", name="Correct").tap()
    expect(page.get_by_role("heading", name="Ada 1. 52 Flag 1")).to_be_visible()
    button(page, "10+ short").tap()
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="Ada Past balls")).to_be_visible()
    page.get_by_role("link", name="Group").tap()
    expect(bar).to_contain_text("Saved: Ada, 10 short")
    log(page, "Ada", "skip")
    expect(bar).to_contain_text("Ada, Skipped.")
    bar.get_by_role("button", name="Undo").tap()
    expect(tile(page, "Ada")).to_contain_text("Ball 2 of 3")
    log(page, "Ada", "on it")
    tile(page, "Ada").tap()
    # On her own page too, and there it is asked again at once.
    bar.get_by_role("button", name="Undo").tap()
    expect(page.get_by_role("heading", name="Ada Ball 2 of 3 56")).to_be_visible()
    expect_all_sent(page)
    told = [(shot.deleted, shot.carry_m and round(shot.carry_m / YARD_M)) for shot in ada.shots()]
    assert told == [(False, round(40 / YARD_M - 10)), (True, round(60 / YARD_M))]
