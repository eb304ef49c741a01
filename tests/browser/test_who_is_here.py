"""Who is here: a sign-in that lapses, a sign-out, another player on the same phone. None sees another's balls."""

import re

import pytest
from playwright.sync_api import expect

from practice.sessions.models import Shot
from tests.browser.network import LAPSED, LOOKED_AT, NO_NETWORK
from tests.browser.phone import (
    button,
    expect_all_sent,
    expect_ball,
    expect_plan_kept,
    sign_in,
    start_block,
    tap_ball,
    waiting,
)
from tests.make import PASSWORD, make_player

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def lapsed(cast, phone, open_play):
    """The page of a player at the first of two balls, whose sign-in has lapsed."""
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.clear_cookies()
    return page


@LAPSED
def test_a_lapsed_sign_in_keeps_the_balls_and_sends_them_after_signing_in_again(cast, phone, lapsed, live_server):
    page = lapsed
    tap_ball(page, 1, "5 long")
    tap_ball(page, 2, "fat")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect(page.get_by_text("Your sign-in has lapsed.")).to_be_visible()
    expect(page.locator("#waiting")).to_have_text("2 waiting to send")
    assert cast.shots() == []
    page.reload()
    # Opened anew it still shows the plan, and what was hit.
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect(page.get_by_text("Your sign-in has lapsed.")).to_be_visible()
    expect(page.locator("#waiting")).to_have_text("2 waiting to send")
    sign_in(phone, live_server, cast.player.user)
    page.reload()
    expect_all_sent(page)
    assert [(shot.ball.n, shot.contact) for shot in cast.shots()] == [(1, ""), (2, "fat")]


@LAPSED
def test_another_players_sign_in_neither_sends_nor_sees_what_waits(cast, phone, lapsed, live_server):
    page = lapsed
    tap_ball(page, 1, "5 long")
    expect(page.locator("#waiting")).to_have_text("1 waiting to send")
    other = make_player(cast.academy, signs_in=True)
    sign_in(phone, live_server, other.user)
    page.reload()
    expect(page.get_by_role("heading", name="This block is not in your plan now")).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_role("heading", name=other.name)).to_be_visible()
    expect_all_sent(page)
    assert Shot.objects.count() == 0


@LAPSED
def test_a_lapsed_sign_in_shows_the_plan_and_goes_on_logging(cast, phone, open_play, live_server):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("0 of 2")).to_be_visible()
    expect_plan_kept(page)
    phone.clear_cookies()
    page.reload()
    expect(page.get_by_text("Your sign-in has lapsed.")).to_be_visible()
    start_block(page)
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    expect(waiting(page)).to_have_text("2 waiting to send")  # the visit and the ball
    sign_in(phone, live_server, cast.player.user)
    button(page, "Send now").tap()
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [1]


@pytest.mark.console_allows("status of 403")
def test_a_stale_token_is_renewed_and_the_ball_is_sent(cast, phone, open_play):
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.clear_cookies(name="ledger_csrf")
    tap_ball(page, 1, "5 long")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert len(cast.shots()) == 1


@pytest.mark.console_allows("status of 401", "status of 503")
def test_signed_out_by_hand_the_phone_forgets_who_was_here_and_keeps_what_waits(cast, phone, open_play, live_server):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.route(re.compile("/sync/"), lambda route: route.fulfill(status=503, json={"error": "resting"}))
    tap_ball(page, 1, "5 long")
    expect(waiting(page)).to_have_text("1 waiting to send")
    page.goto(f"{live_server.url}/devices/")
    button(page, "Sign out").first.tap()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    page.goto(f"{live_server.url}/play/")
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    expect(page.get_by_text("1 item logged on this phone is kept for whoever logged them.")).to_be_visible()
    expect(page.get_by_text(cast.player.name)).to_have_count(0)
    assert "ledger_signed_out" not in {cookie["name"] for cookie in phone.cookies()}
    phone.unroute(re.compile("/sync/"))
    sign_in(phone, live_server, cast.player.user)
    page.reload()
    expect(page.get_by_text("1 of 2")).to_be_visible()
    expect_all_sent(page)
    assert len(cast.shots()) == 1


@LAPSED
def test_a_page_left_open_forgets_who_was_here_when_it_is_looked_at_after_a_sign_out_in_another_tab(
    cast, phone, open_play, live_server
):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    other = phone.new_page()
    other.goto(f"{live_server.url}/devices/")
    button(other, "Sign out").first.tap()
    expect(other.get_by_role("heading", name="Sign in")).to_be_visible()
    page.evaluate(LOOKED_AT)
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    expect(page.get_by_role("heading", name=re.compile("^Ball"))).to_have_count(0)


@LAPSED
def test_another_player_on_the_same_phone_sees_and_sends_only_their_own(cast, phone, lapsed, live_server):
    page = lapsed
    tap_ball(page, 1, "5 long")
    expect(waiting(page)).to_have_text("1 waiting to send")
    other = make_player(cast.academy, "Kim Sand", signs_in=True)
    sign_in(phone, live_server, other.user)
    page.goto(f"{live_server.url}/play/")
    expect(page.get_by_role("heading", name="Kim Sand")).to_be_visible()
    expect_all_sent(page)
    # A tab of the first player that is still open does not send by the second one's sign-in either.
    assert Shot.objects.count() == 0
    sign_in(phone, live_server, cast.player.user)
    page.reload()
    expect(page.get_by_role("heading", name=cast.player.name)).to_be_visible()
    expect_all_sent(page)
    assert [shot.ball.n for shot in cast.shots()] == [1]


SYNC = re.compile("/sync/")


def signs_in_by_form(player):
    """Give a player what the sign-in form asks for."""
    player.user.email = f"{player.slug}@example.org"
    player.user.set_password(PASSWORD)
    player.user.save()
    return player


def hand_over(tab, live_server, player):
    """Sign whoever is here out, and a player in by the form."""
    tab.goto(f"{live_server.url}/devices/")
    button(tab, "Sign out").first.tap()
    tab.get_by_label("E-mail").fill(player.user.email)
    tab.get_by_label("Password").fill(PASSWORD)
    button(tab, "Sign in").tap()
    expect(tab.get_by_role("heading", name=player.name)).to_be_visible()


@LAPSED
@NO_NETWORK
def test_a_tab_left_open_with_waiting_balls_sends_none_while_another_is_signed_in_and_all_once_its_player_is_back(
    cast, phone, open_play, live_server
):
    cast.mixed(4)
    first = signs_in_by_form(cast.player)
    second = signs_in_by_form(make_player(cast.academy, "Kim Sand", signs_in=True))
    page = open_play(phone, first.user)
    start_block(page)
    expect_all_sent(page)
    phone.route(SYNC, lambda route: route.abort())
    tap_ball(page, 1, "5 long")
    expect(waiting(page)).to_have_text("1 waiting to send")
    tab = phone.new_page()
    hand_over(tab, live_server, second)
    answered = []
    phone.on("response", lambda response: answered.append(response.status) if SYNC.search(response.url) else None)
    phone.unroute(SYNC)
    page.bring_to_front()
    # The first player's tab goes on logging, also after it has heard that somebody else is here.
    tap_ball(page, 2, "thin")
    expect(page.get_by_text("Someone else signed in on this phone.")).to_be_visible()
    tap_ball(page, 3, "fat")
    expect_ball(page, 4)
    button(page, "Send now").tap()
    expect(waiting(page)).to_have_text("3 waiting to send")
    page.evaluate("user => navigator.locks.request(`ledger ${user}`, () => 0)", str(first.user.pk))
    assert set(answered) == {403}
    assert Shot.objects.count() == 0
    # Looked at again it is the other's, as the other tab was all along.
    page.evaluate(LOOKED_AT)
    expect(page.get_by_role("heading", name="This block is not in your plan now")).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    for shown in (page, tab):
        expect(shown.get_by_role("heading", name=second.name)).to_be_visible()
        expect(shown.get_by_text(first.name)).to_have_count(0)
        expect(shown.get_by_text("Mixed targets")).to_have_count(0)
        expect_all_sent(shown)
    assert Shot.objects.count() == 0
    hand_over(tab, live_server, first)
    expect_all_sent(tab)
    assert [(shot.ball.n, shot.contact) for shot in cast.shots()] == [(1, ""), (2, "thin"), (3, "fat")]
    page.evaluate(LOOKED_AT)
    expect(page.get_by_role("heading", name=first.name)).to_be_visible()
    expect(page.get_by_text("3 of 4")).to_be_visible()


SIGNED_OUT_AT_THE_ANSWER = """() => {
    const real = fetch;
    window.fetch = async (...asked) => {
        const answer = await real(...asked);
        if (!String(asked[0]).includes("work.json") || window.interrupted) return answer;
        const json = answer.json.bind(answer);
        answer.json = async () => {
            const told = await json();
            window.interrupted = true;
            document.cookie = "ledger_signed_out=1; path=/";
            document.dispatchEvent(new Event("visibilitychange"));
            return told;
        };
        return answer;
    };
    dispatchEvent(new Event("online"));
    return new Promise((seen) => {
        const look = setInterval(() => {
            if (!window.interrupted || document.cookie.includes("ledger_signed_out")) return;
            clearInterval(look);
            seen();
        }, 20);
    });
}"""


def test_a_sign_out_in_another_tab_while_the_plan_is_taken_over_leaves_it(cast, phone, open_play):
    """The page begins anew, and what was under way goes on with nobody: the browser would complain of it."""
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("0 of 3")).to_be_visible()
    page.evaluate(SIGNED_OUT_AT_THE_ANSWER)
    expect(page.get_by_text("0 of 3")).to_be_visible()
    page.wait_for_load_state("networkidle")
