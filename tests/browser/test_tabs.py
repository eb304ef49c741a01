"""Two tabs of one phone, and two phones: nothing twice, nothing lost, whatever they hear of each other."""

import pytest
from playwright.sync_api import expect

from tests.browser.network import BACK_AGAIN, LOOKED_AT, NO_NETWORK, connect, cut_off
from tests.browser.phone import (
    YARD_M,
    button,
    expect_all_sent,
    expect_ball,
    expect_nothing_to_remember,
    start_block,
    tap_ball,
    waiting,
)

pytestmark = pytest.mark.django_db(transaction=True)

# What a tab broadcasts may come late, or not at all to a tab that the browser had put aside.
SILENT = "BroadcastChannel.prototype.postMessage = () => {}"
LATE = """() => {
    const told = [], post = BroadcastChannel.prototype.postMessage;
    BroadcastChannel.prototype.postMessage = (news) => told.push(news);
    globalThis.tellNow = (name) => { for (const news of told) post.call(new BroadcastChannel(name), news); };
}"""
MOST_WAITING = """() => {
    const shown = document.getElementById("waiting");
    globalThis.most = 0;
    new MutationObserver(() => { globalThis.most = Math.max(globalThis.most, parseInt(shown.textContent)); })
        .observe(shown, { childList: true, characterData: true, subtree: true });
}"""


def test_a_ball_logged_in_one_tab_shows_up_in_the_other(cast, phone, open_play, live_server):
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    twin = phone.new_page()
    twin.goto(page.url)
    button(twin, "First ball").tap()
    expect_ball(twin, 1)
    tap_ball(page, 1, "5 long")
    expect_ball(twin, 2)
    tap_ball(twin, 2, "fat")
    expect_ball(page, 3)
    expect_all_sent(page)
    expect_all_sent(twin)
    numbers = [shot.running_number for shot in cast.shots()]
    assert [shot.ball.n for shot in cast.shots()] == [1, 2]
    assert numbers == sorted(set(numbers))


def test_a_page_out_of_the_back_forward_cache_sees_what_it_missed(cast, phone, open_play):
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    twin = phone.new_page()
    twin.add_init_script(SILENT)
    twin.goto(page.url)
    button(twin, "First ball").tap()
    tap_ball(twin, 1, "5 long")
    expect_ball(twin, 2)
    expect_ball(page, 1)
    page.evaluate(BACK_AGAIN)
    expect_ball(page, 2)


def unheard(cast, phone, open_play, name="5 long"):
    """Return a page at its first ball, and a twin that has logged (or skipped) and sent it and told nobody."""
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    twin = phone.new_page()
    twin.add_init_script(SILENT)
    twin.goto(page.url)
    button(twin, "First ball").tap()
    expect_ball(twin, 1)
    tap_ball(twin, 1, name)
    expect_ball(twin, 2)
    expect_all_sent(twin)
    expect_ball(page, 1)
    return page, twin


def let_go(tab):
    """Let a tab ask for the plan: what it has sent stands in the day that it keeps then, and nowhere else."""
    tab.get_by_role("link", name="Today's plan", exact=True).tap()
    expect_nothing_to_remember(tab)


@pytest.mark.parametrize(("name", "lets_go"), [("5 long", False), ("5 long", True), ("skip", True)])
def test_of_two_tabs_that_log_the_same_ball_one_does(cast, phone, open_play, name, lets_go):
    """The second tab hears nothing of the first: only the phone's disk can tell it."""
    page, twin = unheard(cast, phone, open_play, name)
    if lets_go:
        let_go(twin)
    tap_ball(page, 1, "fat")
    expect(page.locator("#said")).to_have_text("Another tab of this phone has this ball already.")
    tap_ball(page, 2, "thin")
    expect_ball(page, 3)
    expect_all_sent(page)
    first = [] if name == "skip" else [(1, "")]
    assert [(shot.ball.n, shot.contact) for shot in cast.shots()] == [*first, (2, "thin")]


def test_a_tab_that_is_looked_at_again_shows_what_it_did_not_hear(cast, phone, open_play):
    page, twin = unheard(cast, phone, open_play)
    let_go(twin)
    twin.go_back()
    tap_ball(twin, 2, "fat")
    expect_ball(twin, 3)
    page.evaluate(LOOKED_AT)
    expect_ball(page, 3)


@pytest.mark.parametrize("first", ["5 long", "skip"])
def test_a_ball_that_was_taken_back_is_logged_anew_whatever_day_another_tab_has_kept(cast, phone, open_play, first):
    """The day that the twin keeps still tells of the ball: what the disk holds since is later."""
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, first)
    expect_ball(page, 2)
    expect_all_sent(page)
    twin = phone.new_page()
    twin.goto(page.url)
    expect_ball(twin, 2)
    expect_nothing_to_remember(twin)
    button(page, "Undo").tap()
    tap_ball(page, 1, "fat")
    expect_ball(page, 2)
    expect_ball(twin, 2)
    expect_all_sent(page)
    assert [(shot.ball.n, shot.contact) for shot in cast.shots() if not shot.deleted] == [(1, "fat")]


WHILE_IT_OPENS = """() => {
    const transaction = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function (names, mode, ...given) {
        const made = transaction.call(this, names, mode, ...given);
        if (mode === "readonly" && [names].flat().includes("items")) {
            IDBDatabase.prototype.transaction = transaction;
            queueMicrotask(() => document.querySelector('[aria-label="5 long"]').click());
        }
        return made;
    };
    dispatchEvent(new PageTransitionEvent("pageshow", { persisted: true }));
}"""
"""Taps just after the page, which opens once more, has asked the disk what it holds."""


def test_a_ball_logged_while_the_page_opens_once_more_is_known_to_it(cast, phone, open_play):
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    page.evaluate(WHILE_IT_OPENS)
    expect_ball(page, 2)
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [1]


def test_news_from_another_tab_takes_nothing_from_under_a_typing_thumb(cast, phone, open_play):
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    twin = phone.new_page()
    twin.goto(page.url)
    button(twin, "First ball").tap()
    page.get_by_text("Type it instead").tap()
    field = page.get_by_label("Carry, yd", exact=True)
    field.fill("47")
    tap_ball(twin, 1, "5 long")
    expect_ball(twin, 2)
    expect_all_sent(twin)
    expect(field).to_be_focused()
    expect(field).to_have_value("47")
    button(page, "Save").tap()
    expect_ball(page, 2)
    assert len(cast.shots()) == 1


def test_two_phones_that_hit_the_same_ball_give_two_shots(cast, open_context, open_play):
    cast.mixed(1)
    phones = [open_context(has_touch=True), open_context(has_touch=True)]
    pages = [open_play(phone, cast.player.user) for phone in phones]
    for page in pages:
        start_block(page)
    for page in pages:
        tap_ball(page, 1, "on it")
        expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
        expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [1, 1]


@NO_NETWORK
def test_what_another_tab_sent_unheard_waits_here_no_more(cast, phone, open_play):
    """The page's own account of what waits is behind the disk's."""
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    cut_off(phone)
    tap_ball(page, 1, "5 long")
    expect(waiting(page)).to_have_text("1 waiting to send")
    twin = phone.new_page()
    twin.add_init_script(SILENT)
    twin.goto(page.url)
    expect(waiting(twin)).to_have_text("1 waiting to send")
    connect(phone)
    twin.evaluate(LOOKED_AT)
    expect_all_sent(twin)
    page.evaluate(LOOKED_AT)
    expect_all_sent(page)
    expect_ball(page, 2)
    assert [shot.ball.n for shot in cast.shots()] == [1]


@NO_NETWORK
def test_what_another_tab_corrected_unheard_is_sent_as_it_is_on_the_disk(cast, phone, open_play):
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    cut_off(phone)
    tap_ball(page, 1, "5 long")
    expect(waiting(page)).to_have_text("1 waiting to send")
    twin = phone.new_page()
    twin.add_init_script(SILENT)
    twin.goto(page.url)
    twin.get_by_role("link", name="Past balls").tap()
    twin.get_by_role("link", name="1. ").tap()
    button(twin, "5 short").tap()
    button(twin, "Save").tap()
    expect(twin.locator("#said")).to_have_text("Correction saved on this phone.")
    connect(phone)
    page.evaluate(LOOKED_AT)
    expect_all_sent(page)
    assert [(shot.revision, shot.carry_m) for shot in cast.shots()] == [(2, pytest.approx(40 - 5 * YARD_M))]


def test_what_another_tab_tells_late_does_not_make_sent_balls_wait_again(cast, phone, open_play):
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    twin = phone.new_page()
    twin.goto(page.url)
    button(twin, "First ball").tap()
    expect_ball(twin, 1)
    twin.evaluate(LATE)
    tap_ball(twin, 1, "5 long")
    expect_ball(twin, 2)
    expect_all_sent(twin)
    page.evaluate(BACK_AGAIN)
    expect_ball(page, 2)
    expect_all_sent(page)
    page.evaluate(MOST_WAITING)
    twin.evaluate("user => tellNow(`ledger ${user}`)", str(cast.player.user.pk))
    tap_ball(page, 2, "fat")
    expect_ball(page, 3)
    expect_all_sent(page)
    assert page.evaluate("globalThis.most") == 1
    assert [shot.ball.n for shot in cast.shots()] == [1, 2]


def test_of_two_tabs_that_put_balls_off_neither_loses_the_others(cast, phone, open_play):
    """Neither hears of the other: each has its own account of what waits, and only the disk has both."""
    asked = [(cast.clubs[0], cast.flags[0])] * 2
    first, second = cast.assign_blocks((asked, {}), (asked, {"title": "Once more"}))
    page = open_play(phone, cast.player.user, f"#/block/{first.pk}")
    button(page, "Start").tap()
    button(page, "First ball").tap()
    expect_ball(page, 1)
    page.evaluate(SILENT)
    twin = phone.new_page()
    twin.add_init_script(SILENT)
    twin.goto(page.url.replace(str(first.pk), str(second.pk)))
    button(twin, "First ball").tap()
    expect_ball(twin, 1)
    for each in (page, twin):
        tap_ball(each, 1, "enter later")
        expect_ball(each, 2)
    expect(twin.get_by_text("2 balls wait to be entered.")).to_be_visible()
    page.reload()
    expect(page.get_by_text("2 balls wait to be entered.")).to_be_visible()
