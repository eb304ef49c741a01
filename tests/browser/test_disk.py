"""The phone's disk: full, put aside by the browser, or not there at all."""

import pytest
from playwright.sync_api import expect

from tests.browser.network import NO_NETWORK, connect, cut_off
from tests.browser.phone import YARD_M, button, expect_all_sent, expect_ball, start_block, tap_ball, waiting

pytestmark = pytest.mark.django_db(transaction=True)

# With noise: the disk would make little of what repeats, and take gigabytes until it is full.
FILL = """async () => {
    const noise = (size) => {
        const bytes = new Uint8Array(size);
        for (let at = 0; at < size; at += 2 ** 16) crypto.getRandomValues(bytes.subarray(at, at + 2 ** 16));
        return bytes;
    };
    const open = indexedDB.open("practice-ledger");
    await new Promise((resolve) => { open.onsuccess = resolve; });
    const put = (size) => new Promise((resolve) => {
        const writing = open.result.transaction("kept", "readwrite");
        writing.objectStore("kept").put({ user: "filler", name: String(Math.random()), value: noise(size) });
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


OLDER = """() => new Promise((resolve) => {
    indexedDB.open("practice-ledger").onsuccess = ({ target }) => {
        const writing = target.result.transaction("days", "readwrite");
        const days = writing.objectStore("days");
        days.getAll().onsuccess = ({ target }) => {
            for (const { user, player } of target.result) days.put({ user, player, work: { server_time_ms: 0 } });
        };
        writing.oncomplete = () => { target.result.close(); resolve(); };
    };
})"""


@NO_NETWORK
def test_a_plan_that_an_older_version_kept_in_another_form_is_asked_for_anew_and_what_waits_goes_out(
    cast, phone, open_play
):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    start_block(page)
    expect_all_sent(page)
    cut_off(phone)
    tap_ball(page, 1, "5 long")
    expect_ball(page, 2)
    page.evaluate(OLDER)
    page.reload()
    expect(page.get_by_text("this phone holds no plan yet")).to_be_visible()
    expect(waiting(page)).to_have_text("1 waiting to send")
    connect(phone)
    button(page, "Try again").tap()
    expect_ball(page, 2)
    expect_all_sent(page)
    assert len(cast.shots()) == 1
