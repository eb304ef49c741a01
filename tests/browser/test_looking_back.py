"""Undo, past balls, corrections and the summary of a block."""

from datetime import timedelta

import pytest
from playwright.sync_api import expect

from practice.sessions.models import SkippedBall
from tests.browser.phone import (
    YARD_M,
    button,
    expect_all_sent,
    expect_ball,
    expect_nothing_to_remember,
    start_block,
    tap_ball,
)

pytestmark = pytest.mark.django_db(transaction=True)


def test_undo_brings_the_ball_back_and_leaves_a_deleted_row(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "shank")
    expect_ball(page, 2)
    button(page, "Undo").tap()
    tap_ball(page, 1, "on it")
    tap_ball(page, 2, "skip")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    button(page, "Undo").tap()
    tap_ball(page, 2, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    undone, first, second = cast.shots()
    # The running number grew once for each: the undone shot carries that of its undoing.
    assert [(s.contact, s.deleted, s.revision) for s in (undone, first, second)] == [
        ("shank", True, 2),
        ("", False, 1),
        ("", False, 1),
    ]
    assert list(SkippedBall.objects.values_list("deleted", "revision")) == [(True, 2)]


def test_a_past_ball_is_corrected_and_keeps_its_time(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    expect_all_sent(page)
    hit_at = cast.shots()[0].hit_at
    # Loaded again: what is corrected now comes from the server, not from the page's memory.
    page.reload()
    page.get_by_role("link", name="Past balls").tap()
    page.get_by_role("link", name="1. 52 Flag 1").tap()
    expect(button(page, "5 long")).to_have_attribute("aria-pressed", "true")
    button(page, "5 short").tap()
    page.get_by_text("a little thin", exact=True).tap()
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="Past balls")).to_be_visible()
    expect(page.get_by_role("link", name="1. 52 Flag 1")).to_contain_text("5 short, a little thin")
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert (shot.revision, shot.contact, shot.contact_note) == (2, "clean", "thin")
    assert shot.carry_m == pytest.approx(40 - 5 * YARD_M)
    assert abs(shot.hit_at - hit_at) < timedelta(milliseconds=1)
    page.get_by_role("link", name="1. 52 Flag 1").tap()
    button(page, "Delete this ball").tap()
    expect(page.get_by_text("Nothing hit yet.")).to_be_visible()
    expect_all_sent(page)
    assert cast.shots()[0].deleted


def test_a_deleted_ball_comes_back_as_it_was(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    expect_all_sent(page)
    [before] = cast.shots()

    def delete():
        page.get_by_role("link", name="Past balls").tap()
        page.get_by_role("link", name="1. 52 Flag 1").tap()
        button(page, "Delete this ball").tap()
        expect(page.get_by_label("The deleted ball")).to_have_text("Deleted: 1. 52 Flag 1Undo")
        expect_all_sent(page)
        assert cast.shots()[0].deleted

    delete()
    # Also when the phone has let go of the deletion, because the server's account of the day knows of it.
    page.get_by_role("link", name="Today's plan").tap()
    expect_nothing_to_remember(page)
    page.get_by_role("link", name="Start").tap()
    page.get_by_role("link", name="Past balls").tap()
    button(page, "Undo").tap()
    expect(page.get_by_role("link", name="1. 52 Flag 1")).to_contain_text("5 long")
    expect(page.get_by_label("The deleted ball")).to_have_count(0)
    expect_all_sent(page)
    [after] = cast.shots()
    assert (after.deleted, after.revision, after.carry_m) == (False, 3, before.carry_m)
    assert abs(after.hit_at - before.hit_at) < timedelta(milliseconds=1)
    # A ball has one result on a phone: once it was hit anew, the deleted one stays away.
    page.get_by_role("link", name="Back to the block").tap()
    delete()
    page.get_by_role("link", name="Back to the block").tap()
    tap_ball(page, 1, "thin")
    expect_ball(page, 2)
    page.get_by_role("link", name="Past balls").tap()
    expect(page.get_by_role("link", name="1. 52 Flag 1")).to_contain_text("thin")
    expect(button(page, "Undo")).to_have_count(0)


def test_a_deleted_ball_does_not_come_back_beside_what_another_tab_logged(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    page.get_by_role("link", name="Past balls").tap()
    page.get_by_role("link", name="1. 52 Flag 1").tap()
    button(page, "Delete this ball").tap()
    expect(button(page, "Undo")).to_be_visible()
    expect_all_sent(page)
    tab = phone.new_page()
    tab.goto(page.url.partition("#")[0])
    tab.get_by_role("link", name="Start").tap()
    button(tab, "First ball").tap()
    tap_ball(tab, 1, "thin")
    expect_ball(tab, 2)
    expect_all_sent(tab)
    button(page, "Undo").tap()
    expect(page.locator("#said")).to_have_text("Another tab of this phone has this ball already.")
    expect(page.get_by_role("link", name="1. 52 Flag 1")).to_contain_text("thin")
    expect(button(page, "Undo")).to_have_count(0)
    expect_all_sent(page)
    assert [(shot.contact, shot.deleted) for shot in cast.shots()] == [("", True), ("thin", False)]


def test_the_summary_says_what_three_balls_show_and_what_two_cannot(cast, phone, open_play):
    (wedge, sand), (near, _) = cast.clubs, cast.flags
    cast.assign((wedge, near), (wedge, near), (sand, near), (sand, near))
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "5 long")
    tap_ball(page, 2, "10+ long")
    expect_ball(page, 3)
    page.get_by_role("link", name="Past balls").tap()
    page.evaluate("location.hash = location.hash.replace('/shots', '/summary')")
    expect(page.get_by_text("it takes 3 to say long or short")).to_be_visible()
    page.get_by_role("link", name="Go on").tap()
    tap_ball(page, 3, "on it")
    tap_ball(page, 4, "topped")
    # Errors of 5, 10 and 0 yd: mean 5, standard deviation with n - 1 also 5; the topped ball is left out.
    expect(page.get_by_text("You tend long by 5 yd; scatter 5 yd (3 balls).")).to_be_visible()
    # All of them straight on the target: the misses are 5, 10 and 0 yd.
    expect(page.get_by_text("Landing miss, by eye: 5 yd on average (3 balls).")).to_be_visible()
    expect(page.get_by_text("These are 4 balls: too few to prove anything.")).to_be_visible()
