"""What the phone holds by itself: opening without a network, nothing lost when the page closes, tabs, who was here."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from practice.planner.actions import assign_plan, start_next_version, withdraw_plan
from practice.planner.models import Ball, WeekPlan
from practice.sessions.models import Shot
from tests.browser.phone import (
    YARD_M,
    button,
    expect_all_sent,
    expect_ball,
    expect_plan_kept,
    on_disk,
    sign_in,
    start_block,
    tap_ball,
)
from tests.make import make_player

pytestmark = pytest.mark.django_db(transaction=True)

DATA = re.compile(r"/play/(me|work)\.json|/sync/")
NO_NETWORK = pytest.mark.console_allows("ERR_FAILED", "ERR_INTERNET_DISCONNECTED")
LAPSED = pytest.mark.console_allows("status of 401", "status of 403")


def cut_off(context):
    """Let no data through, while the page itself and its files can be loaded."""
    context.route(DATA, lambda route: route.abort())


def connect(context):
    context.unroute(DATA)


def hold_first(context, pattern) -> list:
    """Hold the first request of a pattern back, and return the list that it comes into."""
    held = []
    context.route(pattern, lambda route: route.continue_() if held else held.append(route))
    return held


# Headless, no page is ever hidden or put into the back-forward cache: the events are the browser's, sent by hand.
LOOKED_AT = "document.dispatchEvent(new Event('visibilitychange'))"
BACK_AGAIN = "dispatchEvent(new PageTransitionEvent('pageshow', { persisted: true }))"

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


def waiting(page):
    return page.locator("#waiting")


@NO_NETWORK
def test_what_shows_as_saved_is_there_when_the_page_is_closed_at_once_and_opened_without_a_network(
    cast, phone, open_play, live_server
):
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    cut_off(phone)
    tap_ball(page, 1, "5 long")
    expect(page.locator("#said")).to_have_text("Saved on this phone.")
    page.close()
    page = phone.new_page()
    page.goto(f"{live_server.url}/play/")
    expect(page.get_by_text("1 of 3")).to_be_visible()
    expect(page.get_by_text("No connection.")).to_be_visible()
    expect(waiting(page)).to_have_text("1 waiting to send")
    page.get_by_role("link", name="Go on").tap()
    tap_ball(page, 2, "thin")
    expect(waiting(page)).to_have_text("2 waiting to send")
    connect(phone)
    button(page, "Send now").tap()
    expect_all_sent(page)
    expect(button(page, "Send now")).to_have_count(0)
    assert [(shot.ball.n, shot.contact) for shot in cast.shots()] == [(1, ""), (2, "thin")]


@NO_NETWORK
def test_what_was_sent_still_counts_as_hit_after_a_reload_without_a_network(cast, phone, open_play):
    """The plan that the phone holds is from before the ball: what was sent is kept until a later one has it."""
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    expect_all_sent(page)
    cut_off(phone)
    page.reload()
    expect_ball(page, 2)
    expect_all_sent(page)
    connect(phone)
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_text("1 of 3")).to_be_visible()
    # The server's own account has the shot now, so the phone lets go of its copy.
    with page.expect_response(re.compile("work.json")):
        page.reload()
    expect(page.get_by_text("1 of 3")).to_be_visible()
    assert [item["kind"] for item in on_disk(page, "items")] == []


@NO_NETWORK
def test_a_page_that_was_never_opened_with_a_signal_says_so(cast, phone, open_play):
    cast.mixed(1)
    cut_off(phone)
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("this phone holds no plan yet")).to_be_visible()
    expect(waiting(page)).to_have_text("0 waiting to send")
    connect(phone)
    button(page, "Try again").tap()
    expect(page.get_by_text("0 of 1")).to_be_visible()


def test_opening_shows_the_held_plan_before_any_reply_and_is_one_request_for_data(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("0 of 2")).to_be_visible()
    asked = []
    phone.on("request", lambda request: asked.append(request.url) if DATA.search(request.url) else None)
    held = hold_first(phone, DATA)
    page.reload()
    expect(page.get_by_text("0 of 2")).to_be_visible()
    expect(page.get_by_role("link", name="Start")).to_be_visible()
    with page.expect_response(DATA):
        held[0].continue_()
    assert [re.sub(r".*/play/", "", url) for url in asked] == ["work.json"]


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
def test_another_player_on_the_same_phone_sees_and_sends_only_their_own(cast, phone, open_play, live_server):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    phone.clear_cookies()
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


def test_of_two_tabs_that_log_the_same_ball_one_does(cast, phone, open_play):
    """The second tab hears nothing of the first: only the phone's disk can tell it."""
    cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    twin = phone.new_page()
    twin.add_init_script(SILENT)
    twin.goto(page.url)
    button(twin, "First ball").tap()
    expect_ball(twin, 1)
    tap_ball(twin, 1, "5 long")
    expect_ball(twin, 2)
    expect_all_sent(twin)
    tap_ball(page, 1, "fat")
    expect(page.locator("#said")).to_have_text("Another tab of this phone has this ball already.")
    tap_ball(page, 2, "thin")
    expect_ball(page, 3)
    expect_all_sent(page)
    assert [(shot.ball.n, shot.contact) for shot in cast.shots()] == [(1, ""), (2, "thin")]


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


@NO_NETWORK
def test_a_wrong_phone_clock_is_put_right_by_the_last_handshake(cast, phone, open_play):
    """Also after the page was opened anew without a network."""
    cast.mixed(2)
    phone.clock.set_system_time(timezone.now() - timedelta(hours=30))
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    cut_off(phone)
    page.reload()
    button(page, "First ball").tap()
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    connect(phone)
    page.reload()
    expect_all_sent(page)
    (shot,) = cast.shots()
    assert timedelta(hours=29) < timezone.now() - shot.phone_at < timedelta(hours=31)
    assert abs(timezone.now() - shot.hit_at) < timedelta(minutes=5)


def test_an_answer_that_takes_long_does_not_move_what_is_known_of_the_phones_clock(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    expect_all_sent(page)
    held = hold_first(phone, re.compile("work.json"))
    with page.expect_request(re.compile("work.json")):
        page.reload()
    expect_ball(page, 2)
    phone.clock.set_system_time(timezone.now() + timedelta(seconds=10))
    with page.expect_response(re.compile("work.json")) as came:
        held[0].continue_()
    came.value.finished()
    page.evaluate("() => new Promise((done) => setTimeout(done))")
    tap_ball(page, 2, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    first, second = cast.shots()
    assert second.clock_offset_ms == first.clock_offset_ms


FILL = """async () => {
    const open = indexedDB.open("practice-ledger");
    await new Promise((resolve) => { open.onsuccess = resolve; });
    const put = (size) => new Promise((resolve) => {
        const writing = open.result.transaction("kept", "readwrite");
        writing.objectStore("kept").put({ user: "filler", name: String(Math.random()), value: "x".repeat(size) });
        writing.oncomplete = () => resolve(true);
        writing.onabort = () => resolve(false);
    });
    for (let size = 2 ** 20; size >= 1; size /= 2) while (await put(size)) {}
    open.result.close();
}"""


def test_a_full_phone_says_loudly_that_a_ball_was_not_saved_and_keeps_it_on_the_screen(
    cast, phone, open_play, live_server
):
    cast.mixed(2)
    disk = phone.new_cdp_session(phone.new_page())
    disk.send("Storage.overrideQuotaForOrigin", {"origin": live_server.url, "quotaSize": 4_000_000})
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    page.evaluate(FILL)
    page.get_by_text("Type it instead").tap()
    page.get_by_label("Carry, yd", exact=True).fill("47")
    button(page, "Save").tap()
    expect(page.get_by_role("alert")).to_contain_text("Not saved: this phone's storage is full.")
    expect_ball(page, 1)
    expect(page.get_by_label("Carry, yd", exact=True)).to_have_value("47")
    expect_all_sent(page)
    disk.send("Storage.overrideQuotaForOrigin", {"origin": live_server.url})
    button(page, "Save").tap()
    expect_ball(page, 2)
    expect(page.locator("#alarm")).to_be_empty()
    expect_all_sent(page)
    assert cast.shots()[0].carry_m == pytest.approx(47 * YARD_M)


@NO_NETWORK
def test_a_week_that_is_withdrawn_meanwhile_keeps_what_was_hit_in_it(cast, phone, open_play):
    balls = cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    cut_off(phone)
    withdraw_plan(plan=WeekPlan.objects.get())
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    connect(phone)
    page.reload()
    expect_all_sent(page)
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    assert [shot.ball for shot in cast.shots()] == [Ball.objects.get(pk=balls[0].pk)]


@NO_NETWORK
@pytest.mark.parametrize(("other_target", "done"), [(False, "2 of 3"), (True, "0 of 3")])
def test_a_week_that_is_edited_meanwhile_keeps_what_was_hit_with_the_balls_that_were_asked(
    cast, phone, open_play, other_target, done
):
    """A block that stayed as it was goes on where the player is; one that asks for something else starts anew."""
    balls = cast.mixed(3)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    expect_all_sent(page)
    cut_off(phone)
    week = WeekPlan.objects.get()
    draft = start_next_version(player=cast.player, monday=week.monday, made_by=None)
    if other_target:
        draft.blocks.get().balls.filter(n=3).update(target_m=33.0)
    assign_plan(plan=draft)
    tap_ball(page, 2, "thin")
    expect_ball(page, 3)
    expect(waiting(page)).to_have_text("1 waiting to send")
    connect(phone)
    page.reload()
    expect_all_sent(page)
    expect(page.get_by_role("heading", name="This block is not in your plan now")).to_be_visible()
    page.get_by_role("link", name="Today's plan").first.tap()
    expect(page.get_by_text(done)).to_be_visible()
    assert [(shot.ball, shot.contact) for shot in cast.shots()] == [(balls[0], ""), (balls[1], "thin")]


def test_a_connection_to_the_disk_that_was_dropped_is_opened_anew(cast, phone, open_play):
    cast.mixed(2)
    phone.add_init_script("""
        const { open } = IDBFactory.prototype;
        IDBFactory.prototype.open = function (...args) {
            const request = open.apply(this, args);
            request.addEventListener("success", () => { window.connection = request.result; });
            return request;
        };
    """)
    page = open_play(phone, cast.player.user)
    start_block(page)
    page.evaluate("window.connection.close()")  # as iOS does with a page that was put aside
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    expect_all_sent(page)
    assert len(cast.shots()) == 1


@pytest.mark.console_allows("no room here")
def test_a_browser_that_keeps_nothing_says_so_before_a_ball_is_hit(cast, phone, open_play):
    phone.add_init_script("IDBFactory.prototype.open = () => { throw new DOMException('no room here') }")
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    expect(page.get_by_role("heading", name="This browser keeps nothing")).to_be_visible()


def test_an_answer_to_a_ball_that_was_taken_back_meanwhile_does_not_settle_it(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    held = hold_first(phone, re.compile("/sync/"))
    with page.expect_request(re.compile("/sync/")):
        tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    button(page, "Undo").tap()
    expect_ball(page, 1)
    held[0].continue_()
    expect_all_sent(page)
    assert [(shot.deleted, shot.revision) for shot in cast.shots()] == [(True, 2)]


@NO_NETWORK
def test_a_plan_that_was_asked_for_earlier_and_comes_later_is_not_taken(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("0 of 2")).to_be_visible()
    late = hold_first(phone, DATA)
    with page.expect_request(DATA):
        page.reload()
    expect(page.get_by_text("0 of 2")).to_be_visible()
    answer = late[0].fetch()
    withdraw_plan(plan=WeekPlan.objects.get())
    page.evaluate(LOOKED_AT)
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    with page.expect_response(DATA) as came:
        late[0].fulfill(response=answer)
    came.value.finished()
    page.evaluate("() => new Promise((done) => setTimeout(done))")
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()
    # Nor is it what the phone holds.
    connect(phone)
    cut_off(phone)
    page.reload()
    expect(page.get_by_text("No connection.")).to_be_visible()
    expect(page.get_by_text("Nothing is planned for you now.")).to_be_visible()


@NO_NETWORK
def test_a_page_of_the_second_script_that_has_not_come_says_so_and_comes_later(cast, phone, open_play):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    second = re.compile(r"/more\.\w+\.js")
    phone.route(second, lambda route: route.abort())
    page.get_by_role("link", name="Check your eye").tap()
    expect(page.get_by_text("This page is not on the phone yet.")).to_be_visible()
    phone.unroute(second)
    page.get_by_role("link", name="Today's plan").tap()
    page.get_by_role("link", name="Check your eye").tap()
    expect(page.get_by_text("Guess 1 of 10.")).to_be_visible()
