"""Nothing is lost and nothing comes twice while everything fails: 200 taps through every fault, browsers killed.

PRACTICE_LEDGER_SOAK gives more (or fewer) than 20 rounds.
"""

import os
from dataclasses import replace
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from zlib import crc32

import pytest
from django.conf import settings
from playwright.sync_api import Error, expect

from practice.ids import uuid7
from practice.sessions.items import in_session, shot
from tests.browser.conftest import PHONE
from tests.browser.phone import sign_in, waiting
from tests.browser.proxy import FAULTS, proxied
from tests.browser.soak import KILLED, KINDS, Network, Phone, Practice, differences

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.console_allows("Failed to load resource", "fetching the script", "status of 401"),
]

ROUNDS = int(os.environ.get("PRACTICE_LEDGER_SOAK") or 20)
EACH = [("shot", number) for number in range(ROUNDS)] + [("turf", number) for number in range(-(-ROUNDS // 5))]


@pytest.fixture
def proxy(live_server):
    with proxied(live_server.url) as proxy:
        yield proxy


@pytest.fixture
def profile():
    """A folder for a browser's profile, where the databases are too: in memory, if the system has such."""
    with TemporaryDirectory(dir=settings.VAR, ignore_cleanup_errors=True) as folder:
        yield Path(folder)


@pytest.fixture
def kept_phone(browser_type, browser_type_launch_args, complaints, cast, proxy, profile):
    """A player's phone whose browser can be killed and opened again."""

    def launch(profile):
        return complaints.watch(browser_type.launch_persistent_context(profile, **browser_type_launch_args | PHONE))

    phone = Phone(launch, profile, lambda context: sign_in(context, proxy, cast.player.user))
    yield phone
    phone.context.close()


@pytest.fixture
def random(request):
    """Random numbers that the test's own name begins, so that nobody chose them."""
    return Random(crc32(request.node.name.encode()))


@pytest.mark.parametrize("tabs", [1, 2])
@pytest.mark.parametrize(("kind", "number"), EACH)
def test_200_logged_through_every_fault_are_200_rows_as_they_were_tapped(
    cast, kept_phone, proxy, random, kind, tabs, number
):
    tapped = KINDS[kind](cast, 200, random)
    practice = Practice(kept_phone, proxy.url, tapped, random, count=200, tabs=tabs)
    practice.begin()
    proxy.choose = network = Network(random)
    practice.run(network)
    assert differences(tapped, cast.player) == []
    assert set(FAULTS) <= proxy.done.keys()
    assert KILLED & practice.done.keys()


@pytest.mark.parametrize("kind", KINDS)
def test_what_was_shown_as_saved_outlives_the_browser_and_goes_out_after_the_next_sign_in(
    cast, kept_phone, proxy, random, kind
):
    tapped = KINDS[kind](cast, 50, random)
    practice = Practice(kept_phone, proxy.url, tapped, random, count=50)
    practice.begin()
    proxy.choose = lambda method, path: "drop_before"
    for _ in range(5):
        practice.tap(0)
        unseen = practice.tap_unseen(0) if random.random() < 0.5 else None
        kept_phone.kill()
        kept_phone.start(signed_in=False)
        page = practice.open(0, tapped.hash(tapped.next()))
        if unseen:
            practice.settle(unseen, 0)
        assert tapped.is_complete(page.evaluate("opened()"))
    proxy.choose = lambda method, path: "pass"
    page.reload()
    expect(page.get_by_text("Your sign-in has lapsed.")).to_be_visible()
    expect(page.locator("#waiting")).not_to_have_text("0 waiting to send")
    kept_phone.sign_in(kept_phone.context)
    practice.send_all(page)
    assert differences(tapped, cast.player) == []


def test_200_logged_with_no_network_at_all_wait_through_a_kill_and_go_out_in_batches(cast, kept_phone, proxy, random):
    tapped = KINDS["shot"](cast, 200, random)
    practice = Practice(kept_phone, proxy.url, tapped, random, count=200, steady=True)
    practice.begin()
    network = Network(random)
    network.now = "dead"
    sent = []

    def choose(method, path):
        becomes = network(method, path)
        if "/sync/" in path:
            sent.append(becomes)
        return becomes

    proxy.choose = choose
    while len(tapped.live) < 100:
        practice.tap(0)
    practice.kill(0)
    while len(tapped.live) < 200:
        practice.tap(0)
    [page] = practice.pages
    expect(waiting(page)).to_have_text("200 waiting to send")
    assert cast.shots() == []
    network.now = "calm"
    practice.send_all(page)
    assert differences(tapped, cast.player) == []
    assert sent.count("pass") == 2  # a hundred at once


# --- the assertions notice: a server and a page that are wrong on purpose


def nothing_wrong(monkeypatch, proxy):
    """Leave all as it is."""


def server_ignores_ids(monkeypatch, proxy):
    """Let the server store every item as a new one."""
    for module, name in ((shot, "store_shots"), (in_session, "store_in_sessions")):
        store = getattr(module, name)

        def store_as_new(*, entries, store=store, **more):
            return store(entries=[replace(entry, uid=uuid7()) for entry in entries], **more)

        monkeypatch.setattr(module, name, store_as_new)


SENDING = b"const answers=await this.send("
DELETING = b'await this.#settle(batch,batch.map((item)=>({...item,result:"stored"})));'


def page_deletes_before_the_reply(monkeypatch, proxy):
    """Let the page take everything for stored as soon as it sends it."""

    def spoil(path: str, content: bytes) -> bytes:
        return content.replace(SENDING, DELETING + SENDING)

    proxy.alter = spoil


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("sabotage", "found"),
    [(nothing_wrong, None), (server_ignores_ids, "more"), (page_deletes_before_the_reply, "fewer")],
)
def test_a_wrong_server_and_a_wrong_page_are_noticed(
    cast, kept_phone, proxy, random, monkeypatch, kind, sabotage, found
):
    sabotage(monkeypatch, proxy)
    tapped = KINDS[kind](cast, 50, random)
    practice = Practice(kept_phone, proxy.url, tapped, random, count=50, steady=True)
    practice.begin()
    network = Network(random, faults=("drop_after", "drop_before"))
    # Each fault has its chance, also where a busy machine lets all the balls go out in a few requests. Twice what the
    # server does not hear: once more by itself a browser sends what a connection swallowed that it had used before.
    first = iter(("drop_before", "drop_before", "drop_after"))
    proxy.choose = lambda method, path: (next(first, None) if "/sync/" in path else None) or network(method, path)
    try:
        practice.run(network)
    except Error as noticed:
        # Told of a day in which they are missing, such a page asks once more for balls that it said were saved.
        if found != "fewer" or "Never saw ball" not in noticed.message:
            raise
        return
    wrong = differences(tapped, cast.player)
    rows = tapped.model.objects.filter(player=cast.player).count()
    assert (wrong == [], rows > 50, rows < 50) == (found is None, found == "more", found == "fewer")
