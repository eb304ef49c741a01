"""Where the player stands: what a visit remembers, and what it does to targets."""

import pytest
from playwright.sync_api import expect

from practice.sessions.models import Visit
from practice.venues.models import Bay
from tests.browser.phone import YARD_M, button, expect_all_sent, start_block, tap_ball

pytestmark = pytest.mark.django_db(transaction=True)


def test_standing_behind_the_line_makes_every_target_further(cast, phone, open_play):
    cast.mixed(1)

    def behind(page):
        page.get_by_text("in front or behind", exact=True).tap()
        page.get_by_label("In front by, yd (behind: minus)", exact=True).fill("-10")

    page = open_play(phone, cast.player.user)
    start_block(page, choose=behind)
    # 40 m is 43.7 yd, and ten yards behind the line it is 53.7.
    expect(page.get_by_role("heading", name="Ball 1 of 1 52 land it at Flag 1 54 yd")).to_be_visible()
    tap_ball(page, 1, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert cast.shots()[0].target_m == pytest.approx(40 + 10 * YARD_M)
    assert Visit.objects.get(player=cast.player).offset_m == pytest.approx(-10 * YARD_M)


def test_a_flag_outside_the_bays_arc_can_only_be_skipped(cast, phone, open_play):
    Bay.objects.create(tee_line=cast.line, name="Bay 1", arc_left_deg=-10, arc_right_deg=10)
    cast.flags[0].direction_deg = 20
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page, bay="Bay 1")
    expect(page.get_by_text("This flag is outside your bay's arc: skip it.")).to_be_visible()
    expect(button(page, "on it")).to_have_count(0)
    button(page, "Skip this ball").tap()
    tap_ball(page, 2, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [2]


def test_a_lasered_distance_takes_the_place_of_the_ranges_own(cast, phone, open_play):
    cast.mixed(2)

    def laser(page):
        page.get_by_text("lasered from here", exact=True).tap()
        page.get_by_label("Flag 1, yd", exact=True).fill("47")

    page = open_play(phone, cast.player.user)
    start_block(page, choose=laser)
    expect(page.get_by_role("heading", name="Ball 1 of 2 52 land it at Flag 1 47 yd")).to_be_visible()
    tap_ball(page, 1, "on it")
    # The other flag was not lasered: 60 m are 66 yd.
    expect(page.get_by_role("heading", name="Ball 2 of 2 56 land it at Flag 2 66 yd")).to_be_visible()
    expect_all_sent(page)
    assert cast.shots()[0].target_m == pytest.approx(47 * YARD_M)


def test_the_choices_of_a_visit_are_remembered_and_can_be_changed(cast, phone, open_play):
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page, measured_by="laser")
    expect_all_sent(page)
    page.reload()
    page.get_by_role("link", name="Today's plan").first.tap()
    page.get_by_role("link", name="Change").tap()
    expect(page.get_by_role("radio", name="laser", exact=True)).to_be_checked()
    page.get_by_text("grass", exact=True).tap()
    button(page, "Start").tap()
    expect(page.get_by_text("0 of 1")).to_be_visible()
    expect_all_sent(page)
    visits = Visit.objects.filter(player=cast.player).order_by("running_number")
    assert [(visit.measured_by, visit.surface) for visit in visits] == [("laser", "mat"), ("laser", "grass")]
