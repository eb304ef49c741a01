"""Blocks of which no single ball is logged, on a coach's device: the page stays, for a swing follows the other."""

import pytest
from playwright.sync_api import expect

from practice.sessions.models import BlockOutcome, SmoothSwing
from tests.browser.axe import axe_faults
from tests.browser.phone import button, expect_all_sent
from tests.browser.squad import begin, expect_tiles, tile

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_coach_logs_a_players_swings_and_goes_back_to_the_group(squad, phone, open_play):
    squad.mixed(2)
    ada = squad.add("Ada Lund", ("56", 56.0))
    ada.assign(*[(ada.clubs[0], None)] * 2, kind="smooth_swing", title="Smooth swing")
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    expect(tile(page, "Ada")).to_contain_text("Smooth swing")
    # Nobody else can share it.
    expect(page.get_by_label("Which block?").get_by_role("option")).to_have_text(
        ["each their own", "all share: Mixed targets (Robin)"]
    )
    tile(page, "Ada").tap()
    heading = page.get_by_role("heading", level=1)
    button(page, "smooth").tap()
    expect(heading).to_contain_text("Swing 2 of 2")
    button(page, "it broke").tap()
    expect(heading).to_contain_text("Ada")
    assert axe_faults(page) == []
    button(page, "Done").tap()
    expect(page.get_by_text("1 of 2 smooth (50 %).")).to_be_visible()
    page.get_by_role("link", name="Group").tap()
    expect_tiles(page)
    expect(tile(page, "Ada")).to_contain_text("done")
    expect_all_sent(page)
    by = SmoothSwing.objects.values_list("player", "smooth", "device__user").order_by("pk")
    assert list(by) == [(ada.player.pk, True, squad.coach.pk), (ada.player.pk, False, squad.coach.pk)]
    assert BlockOutcome.objects.get().player == ada.player
