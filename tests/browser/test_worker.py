"""The phone page without a signal: the worker that keeps it, what it weighs, and what else the browser does for it."""

import struct
from contextlib import contextmanager

import pytest
from django.conf import settings
from django.test import override_settings
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.phone import expect_all_sent, expect_ball, sign_in, start_block, tap_ball
from tests.browser.proxy import proxied

pytestmark = pytest.mark.django_db(transaction=True)

WORKING = "navigator.serviceWorker.ready.then(() => caches.keys())"
"""Resolves to the names of the caches once a worker has installed itself."""
MOST_BYTES, MOST_REQUESTS = 25_000, 6
UPDATED = """new Promise((done) => {
  navigator.serviceWorker.oncontrollerchange = ({ target: { controller } }) => {
    const look = () => controller.state === "activated" && done(caches.keys());
    controller.onstatechange = look;
    look();
  };
  navigator.serviceWorker.ready.then((worker) => worker.update());
})"""
"""Asks for a newer worker; resolves to the names of the caches once it has taken over."""
offline = pytest.mark.console_allows("ERR_INTERNET_DISCONNECTED")


def expect_plan(page):
    expect(page.get_by_role("heading", name="Robin Vale")).to_be_visible()


@contextmanager
def deployed(tmp_path, **changes: str):
    """Deploy a page that says something else in some places."""
    text = (settings.ROOT / "templates/sessions/play.html").read_text()
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    (tmp_path / "sessions").mkdir()
    (tmp_path / "sessions/play.html").write_text(text)
    [engine] = settings.TEMPLATES
    with override_settings(TEMPLATES=[engine | {"DIRS": [tmp_path, *engine["DIRS"]]}]):
        yield


@offline
def test_a_page_opened_once_opens_without_network_and_server_and_goes_into_the_block(cast, phone, live_server):
    cast.mixed(2)
    with proxied(live_server.url) as proxy:
        sign_in(phone, live_server, cast.player.user)
        page = phone.new_page()
        page.goto(f"{proxy.url}/play/")
        expect_plan(page)
        page.evaluate(WORKING)
    # The proxy is gone, so that not even a worker of the browser's own could reach anything.
    phone.set_offline(True)
    page.reload()
    expect_plan(page)
    start_block(page)
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    expect(page.locator("#waiting")).to_have_text("2 waiting to send")


@offline
def test_the_root_leads_to_the_page_when_there_is_no_network(cast, phone, open_play, live_server):
    page = open_play(phone, cast.player.user)
    page.evaluate(WORKING)
    phone.set_offline(True)
    page.goto(f"{live_server.url}/")
    assert page.url == f"{live_server.url}/play/"
    expect_plan(page)


@offline
def test_no_other_page_and_no_answer_is_kept(cast, phone, open_play, live_server):
    cast.mixed(1)
    page = open_play(phone, cast.player.user)
    [name] = page.evaluate(WORKING)
    page.reload()
    start_block(page)
    tap_ball(page, 1, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    kept = page.evaluate(
        "name => caches.open(name).then(c => c.keys()).then(all => all.map(r => new URL(r.url).pathname))", name
    )
    assert "/play/" in kept
    assert all(path.startswith("/static/") for path in kept if path != "/play/")
    phone.set_offline(True)
    for path in ("devices/", "play/me.json"):
        with pytest.raises(Exception, match="ERR_INTERNET_DISCONNECTED"):
            page.goto(f"{live_server.url}/{path}")


def test_a_new_version_is_there_at_the_next_opening_and_an_open_page_goes_on(cast, phone, open_play, tmp_path):
    cast.mixed(2)
    page = open_play(phone, cast.player.user)
    [old] = page.evaluate(WORKING)
    page.reload()  # from now on the page is the worker's
    start_block(page)
    with deployed(tmp_path, **{"Today's plan": "The plan of today"}):
        [new] = page.evaluate(UPDATED)
        assert new != old
        tap_ball(page, 1, "on it")
        expect_ball(page, 2)
        expect(page.get_by_role("link", name="Today's plan", exact=True)).to_be_visible()
        page.reload()
        expect_ball(page, 2)
        expect(page.get_by_role("link", name="The plan of today", exact=True)).to_be_visible()
    expect_all_sent(page)


def test_the_page_cold_is_light(cast, phone, live_server):
    """A goal of ours: 6 requests and 25 kB over the wire, headers included, with a block of 60 balls."""
    cast.mixed(60)
    sign_in(phone, live_server, cast.player.user)
    page = phone.new_page()
    asked, weights = {}, {}
    network = phone.new_cdp_session(page)
    network.on("Network.requestWillBeSent", lambda sent: asked.update({sent["requestId"]: sent["request"]["url"]}))
    network.on("Network.loadingFinished", lambda got: weights.update({got["requestId"]: got["encodedDataLength"]}))
    network.send("Network.enable")
    page.goto(f"{live_server.url}/play/", wait_until="networkidle")
    expect_plan(page)
    told = {url: weights.get(request) for request, url in asked.items()}
    assert all(url.startswith(live_server.url) for url in told), told
    assert len(asked) <= MOST_REQUESTS, told
    assert sum(weights.values()) <= MOST_BYTES, told


def test_the_page_can_be_installed(cast, browser_type, browser_type_launch_args, open_play, tmp_path):
    # In a private window, as tests' contexts are, nothing can be installed.
    with browser_type.launch_persistent_context(tmp_path, **browser_type_launch_args, **PHONE) as phone:
        page = open_play(phone, cast.player.user)
        page.evaluate(WORKING)
        browser = phone.new_cdp_session(page)
        assert browser.send("Page.getAppManifest")["errors"] == []
        assert browser.send("Page.getInstallabilityErrors")["installabilityErrors"] == []


@pytest.mark.parametrize("name", ["icon-192.png", "icon-512.png", "icon-maskable-512.png"])
def test_an_icon_is_as_wide_and_as_high_as_its_name_says(name):
    """PNG (W3C), section 11.2.2: width and height are the first two fields of IHDR, at byte 16."""
    png = (settings.ROOT / "static/play" / name).read_bytes()
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    assert struct.unpack(">2I", png[16:24]) == (int(name.removesuffix(".png").split("-")[-1]),) * 2


# --- what the browser is asked for, seen at its own interface

OBSERVED = """
globalThis.seen = [];
function note(kind, method, word) {
  const real = kind?.prototype[method];
  if (real) kind.prototype[method] = function (...given) { seen.push(word); return real.apply(this, given); };
}
const ask = globalThis.WakeLock?.prototype.request;
if (ask) WakeLock.prototype.request = async function (type) {
  seen.push("lit");
  return globalThis.lock = await ask.call(this, type);
};
note(globalThis.WakeLockSentinel, "release", "let go");
note(globalThis.StorageManager, "persist", "keep");
"""


@pytest.fixture
def observed(phone):
    """A phone whose page notes in `seen` what it asks of the browser; what it asks for still happens."""
    phone.grant_permissions(["screen-wake-lock"])
    phone.add_init_script(OBSERVED)
    return phone


def seen(page, *words) -> list[str]:
    """Return which of these the page asked for, in order."""
    return [word for word in page.evaluate("seen") if word in words]


def test_the_screen_stays_lit_while_a_block_is_open(cast, observed, open_play):
    cast.mixed(2)
    page = open_play(observed, cast.player.user)
    expect_plan(page)
    assert seen(page, "lit", "let go") == []
    start_block(page)
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    assert seen(page, "lit", "let go") == ["lit"]
    page.get_by_role("link", name="Today's plan").first.tap()
    expect_plan(page)
    assert seen(page, "lit", "let go") == ["lit", "let go"]
    page.get_by_role("link", name="Go on").tap()
    expect_ball(page, 2)
    assert seen(page, "lit", "let go") == ["lit", "let go", "lit"]


def test_the_screen_is_lit_again_when_a_hidden_page_comes_back(cast, observed, open_play):
    cast.mixed(2)
    page = open_play(observed, cast.player.user)
    start_block(page)
    # No page is ever hidden in a browser without a window: the lock is taken away, and the page shown, by hand.
    page.evaluate("lock.release().then(() => document.dispatchEvent(new Event('visibilitychange')))")
    assert seen(page, "lit", "let go") == ["lit", "let go", "lit"]


def test_storage_is_asked_for_once_when_something_was_logged(cast, observed, open_play):
    cast.mixed(2)
    page = open_play(observed, cast.player.user)
    expect_plan(page)
    assert seen(page, "keep") == []
    start_block(page)
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    expect_all_sent(page)
    assert seen(page, "keep") == ["keep"]


LACKING = """
delete Navigator.prototype.serviceWorker;
delete Navigator.prototype.wakeLock;
delete Navigator.prototype.storage;
"""


def test_a_browser_that_lacks_all_of_it_logs_as_well(cast, open_context, open_play):
    cast.mixed(1)
    phone = open_context(**PHONE)
    phone.add_init_script(LACKING)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "on it")
    expect(page.get_by_role("heading", name="Mixed targets: done")).to_be_visible()
    expect_all_sent(page)
    assert len(cast.shots()) == 1


def listened(page) -> list[str]:
    """Return a list that grows with every question for the day."""
    asked = []
    page.on("request", lambda request: request.url.endswith("work.json") and asked.append(request.url))
    return asked


def opened_without_its_script(page, live_server):
    """Open the page cold, its script held back until the day has come; return the held script."""
    held = []
    page.route("**/play.*.js", lambda route: held.append(route))
    with page.expect_response("**/work.json"):
        page.goto(f"{live_server.url}/play/", wait_until="commit")
    [script] = held
    return script


def test_a_cold_opening_asks_for_its_day_before_its_script_has_come_and_once(cast, phone, live_server):
    cast.mixed(1)
    sign_in(phone, live_server, cast.player.user)
    page = phone.new_page()
    asked = listened(page)
    opened_without_its_script(page, live_server).continue_()
    expect_plan(page)
    page.evaluate(WORKING)
    assert len(asked) == 1
    page.unroute("**/play.*.js")
    page.reload(wait_until="networkidle")
    expect_plan(page)
    assert len(asked) == 2


def test_an_early_answer_is_not_taken_where_another_tab_has_been_here_meanwhile(cast, phone, live_server, open_play):
    cast.mixed(2)
    sign_in(phone, live_server, cast.player.user)
    late = phone.new_page()
    asked = listened(late)
    script = opened_without_its_script(late, live_server)
    page = open_play(phone, cast.player.user)
    start_block(page)
    tap_ball(page, 1, "on it")
    expect_ball(page, 2)
    expect_all_sent(page)
    script.continue_()
    expect(late.get_by_text("1 of 2")).to_be_visible()
    late.wait_for_load_state("networkidle")
    expect(late.get_by_text("1 of 2")).to_be_visible()
    assert len(asked) == 2


@pytest.mark.console_allows("401 (Unauthorized)")
def test_a_cold_opening_of_a_stranger_asks_once(phone, live_server):
    page = phone.new_page()
    asked = listened(page)
    page.goto(f"{live_server.url}/play/", wait_until="networkidle")
    expect(page.get_by_role("link", name="Sign in")).to_be_visible()
    assert len(asked) == 1
