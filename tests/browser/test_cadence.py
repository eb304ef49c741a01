"""How much of a block is logged: the last of every three balls, or a count at its end."""

import re

import pytest
from playwright.sync_api import expect

from practice.sessions.models import BlockTally, Shot, SkippedBall
from practice.venues.models import Bay
from tests.browser.phone import button, expect_all_sent, expect_ball, tap_ball

pytestmark = pytest.mark.django_db(transaction=True)

DONE = "Mixed targets: done"


def expect_three(page, first, last):
    expect(page.get_by_role("heading", name=re.compile(rf"^Balls {first} to {last} of "))).to_be_visible()


def start(page, expected):
    """Go to the first ball of a block that is not logged ball by ball."""
    page.get_by_role("link", name="Start").first.tap()
    button(page, "Start").tap()
    button(page, "First ball").tap()
    expected(page)


def finish(page, name):
    """Tap what finishes a ball, once the page takes taps again."""
    button(page, name).tap()


# --- every third


def test_of_three_balls_the_last_is_logged_and_the_summary_counts_what_was_hit(cast, phone, open_play):
    cast.mixed(7, logging="third")
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("0 of 7, every third ball logged")).to_be_visible()
    page.get_by_role("link", name="Start").tap()
    button(page, "Start").tap()
    expect(page.get_by_text("Hit three, then log the last of them.")).to_be_visible()
    button(page, "First ball").tap()
    expect_three(page, 1, 3)
    expect(page.get_by_role("heading")).to_contain_text("Hit three, log the last")
    asks = page.get_by_role("listitem")
    for n, told in enumerate(["52 Flag 1 44 yd", "56 Flag 2 66 yd", "52 Flag 1 44 yd"]):
        expect(asks.nth(n)).to_contain_text(told)
    # Of the three only the last one says so.
    expect(asks.filter(has_text="log this one")).to_have_count(1)
    expect(asks.nth(2)).to_contain_text("log this one")

    finish(page, "5 long")
    expect_three(page, 4, 6)
    page.reload()
    expect_three(page, 4, 6)
    finish(page, "thin")
    tap_ball(page, 7, "on it")
    expect(page.get_by_role("heading", name=DONE)).to_be_visible()
    expect(page.get_by_text("3 logged of 7 balls hit; mishits: 1 thin.")).to_be_visible()
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [3, 6, 7]


def test_a_ball_is_fresh_by_the_one_hit_before_it_also_where_that_was_not_logged(cast, phone, open_play):
    (wedge, sand), (near, far) = cast.clubs, cast.flags
    same, other = (sand, far), (wedge, near)
    cast.assign(other, same, same, other, (sand, near), same, other, other, logging="third")
    page = open_play(phone, cast.player.user)
    start(page, lambda page: expect_three(page, 1, 3))
    finish(page, "on it")
    expect_three(page, 4, 6)
    finish(page, "on it")
    expect_three(page, 7, 8)
    expect(page.get_by_role("heading")).to_contain_text("Hit two, log the last")
    finish(page, "on it")
    expect(page.get_by_role("heading", name=DONE)).to_be_visible()
    expect_all_sent(page)
    assert [(shot.ball.n, shot.fresh) for shot in cast.shots()] == [(3, False), (6, True), (8, False)]


def test_where_the_last_of_three_is_skipped_the_one_before_is_logged(cast, phone, open_play):
    cast.mixed(4, logging="third")
    page = open_play(phone, cast.player.user)
    start(page, lambda page: expect_three(page, 1, 3))
    finish(page, "skip")
    expect_three(page, 1, 2)
    button(page, "Undo").tap()
    expect_three(page, 1, 3)
    finish(page, "skip")
    expect_three(page, 1, 2)
    finish(page, "fat")
    tap_ball(page, 4, "on it")
    expect(page.get_by_text("2 logged of 3 balls hit; mishits: 1 fat; 1 skipped.")).to_be_visible()
    button(page, "Undo").tap()
    expect_ball(page, 4)
    expect_all_sent(page)
    assert [(shot.ball.n, shot.deleted) for shot in cast.shots()] == [(2, False), (4, True)]
    assert SkippedBall.objects.get(deleted=False).ball.n == 3


def test_a_flag_outside_the_arc_is_skipped_also_where_it_is_not_the_one_to_log(cast, phone, open_play):
    Bay.objects.create(tee_line=cast.line, name="Bay 1", arc_left_deg=-10, arc_right_deg=10)
    cast.flags[1].direction_deg = 20
    cast.mixed(3, logging="third")
    page = open_play(phone, cast.player.user)
    page.get_by_role("link", name="Start").tap()
    page.get_by_label("Bay").select_option("Bay 1")
    button(page, "Start").tap()
    button(page, "First ball").tap()
    expect_three(page, 1, 3)
    finish(page, "Skip: outside your bay's arc")
    expect(page.get_by_role("listitem")).to_have_count(2)
    finish(page, "on it")
    expect(page.get_by_text("1 logged of 2 balls hit; no mishits; 1 skipped.")).to_be_visible()


# --- at the end


def test_a_counted_block_is_walked_through_and_ends_with_what_the_player_remembers(cast, phone, open_play):
    cast.mixed(4, logging="end")
    page = open_play(phone, cast.player.user)
    start(page, lambda page: expect_ball(page, 1))
    expect(button(page, "on it")).to_have_count(0)
    finish(page, "Hit: next ball")
    expect_ball(page, 2)
    finish(page, "skip")
    expect_ball(page, 3)
    # How far the player is survives a reload; a ball too far is gone back on.
    page.reload()
    expect_ball(page, 3)
    finish(page, "Hit: next ball")
    expect_ball(page, 4)
    finish(page, "Back one ball")
    tap_ball(page, 3, "Hit: next ball")
    tap_ball(page, 4, "Hit: next ball")
    expect(page.get_by_role("heading", name="How did they go?")).to_be_visible()
    expect(page.get_by_label("Balls hit", exact=True)).to_have_value("3")

    for _ in range(4):
        button(page, "On it: one more").tap()
    expect(page.get_by_text("That is 1 more than you hit.")).to_be_visible()
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="How did they go?")).to_be_visible()
    for _ in range(3):
        button(page, "On it: one less").tap()
    button(page, "Long: one more").tap()
    expect(page.get_by_text("1 not seen or forgotten.")).to_be_visible()
    button(page, "Save").tap()

    expect(page.get_by_role("heading", name=DONE)).to_be_visible()
    expect(page.get_by_text("3 balls hit; 1 on it; 1 long; 0 short; 0 mishits; 1 not seen.")).to_be_visible()
    expect_all_sent(page)
    tally = BlockTally.objects.get(player=cast.player)
    assert (tally.balls, tally.on, tally.long, tally.short, tally.mishits) == (3, 1, 1, 0, 0)
    assert not Shot.objects.exists()


def test_a_count_is_corrected_and_taken_back(cast, phone, open_play):
    cast.mixed(1, logging="end")
    page = open_play(phone, cast.player.user)
    start(page, lambda page: expect_ball(page, 1))
    finish(page, "Hit: next ball")
    button(page, "Short: one more").tap()
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name=DONE)).to_be_visible()
    expect_all_sent(page)
    # Loaded again: what is corrected comes from the server.
    page.reload()
    page.get_by_role("link", name="Correct the count").tap()
    expect(page.get_by_label("Short", exact=True)).to_have_value("1")
    page.get_by_label("Short", exact=True).fill("0")
    page.get_by_label("Mishits", exact=True).fill("1")
    button(page, "Save").tap()
    expect(page.get_by_text("1 ball hit; 0 on it; 0 long; 0 short; 1 mishit.")).to_be_visible()
    expect_all_sent(page)
    tally = BlockTally.objects.get()
    assert (tally.revision, tally.short, tally.mishits) == (2, 0, 1)
    button(page, "Undo").tap()
    # A block that is walked through and not counted is not done.
    expect(page.get_by_role("heading", name="How did they go?")).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    page.get_by_role("link", name="Go on").tap()
    expect(page.get_by_role("heading", name="How did they go?")).to_be_visible()
    expect_all_sent(page)
    assert BlockTally.objects.get().deleted


def test_who_stops_early_counts_what_was_hit_till_then(cast, phone, open_play):
    cast.mixed(5, logging="end")
    page = open_play(phone, cast.player.user)
    start(page, lambda page: expect_ball(page, 1))
    finish(page, "Hit: next ball")
    expect_ball(page, 2)
    finish(page, "Hit: next ball")
    expect_ball(page, 3)
    page.get_by_role("link", name="Stop here and count").tap()
    expect(page.get_by_label("Balls hit", exact=True)).to_have_value("2")
    button(page, "Save").tap()
    expect(page.get_by_text("2 balls hit; 0 on it; 0 long; 0 short; 0 mishits; 2 not seen.")).to_be_visible()


def test_the_first_ball_after_a_counted_block_is_fresh_by_that_blocks_last(cast, phone, open_play):
    (wedge, sand), (near, far) = cast.clubs, cast.flags
    counted = {"title": "Counted", "logging": "end"}
    cast.assign_blocks((((wedge, near), (sand, far)), counted), (((sand, far), (sand, far)), {}))
    page = open_play(phone, cast.player.user)
    start(page, lambda page: expect_ball(page, 1))
    finish(page, "Hit: next ball")
    tap_ball(page, 2, "Hit: next ball")
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="Counted: done")).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    page.get_by_role("link", name="Start").tap()
    button(page, "First ball").tap()
    tap_ball(page, 1, "on it")
    tap_ball(page, 2, "on it")
    expect(page.get_by_role("heading", name=DONE)).to_be_visible()
    expect_all_sent(page)
    assert [shot.fresh for shot in cast.shots()] == [False, False]
