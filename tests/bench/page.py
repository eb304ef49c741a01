"""The phone page as a player feels it: what comes over the wire, how soon it takes a tap, how soon a tap is on disk.

Chromium with its processor slowed four times, the site served as in real use. The worker's own thread is not slowed.
"""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from statistics import median, quantiles
from types import SimpleNamespace

from django.conf import settings
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.bench.figure import Figure
from tests.bench.lighthouse import scores
from tests.bench.stage import FACING_PHONES, served, set_stage
from tests.browser.conftest import PHONE
from tests.browser.phone import Cast, expect_ball, sign_in, start_block
from tests.conftest import find_chromium

BALLS, BALLS_IF_QUICK = 60, 12
SLOWER = 4
POOR_SIGNAL = {"offline": False, "latency": 400, "downloadThroughput": 50_000, "uploadThroughput": 50_000}
"""400 ms and 400 kbit/s, in the units of the DevTools protocol."""
REAL = {"DJANGO_SETTINGS_MODULE": "practice.settings"}

READY = """
globalThis.ready_ms = new Promise((done) => {
  const watch = new MutationObserver(() => {
    if (!document.querySelector("#page a.big")) return;
    watch.disconnect();
    // Drawn, and the page is free for a tap.
    requestAnimationFrame(() => setTimeout(() => done(performance.now())));
  });
  watch.observe(document, { childList: true, subtree: true });
});
"""
"""Resolves when the plan is there with its first big link."""

TAPS = """
let tapped, saved_ms;
addEventListener("click", ({ timeStamp }) => { tapped = timeStamp; saved_ms = 0; performance.mark("tap"); }, true);
const begin = IDBDatabase.prototype.transaction;
IDBDatabase.prototype.transaction = function (...given) {
  const begun = begin.apply(this, given);
  const isLogging = begun.mode === "readwrite" && begun.objectStoreNames.contains("numbers");
  if (isLogging) begun.addEventListener("complete", () => { saved_ms = performance.now() - tapped; });
  return begun;
};
new MutationObserver(() => requestAnimationFrame(() => setTimeout(() => {
  performance.mark("drawn");
  console.debug(`tapped ${saved_ms} ${performance.now() - tapped}`);
}))).observe(document.getElementById("said"), { childList: true });
"""
"""Says of each tap how long it took until the disk had the ball, and until the next one was drawn."""


@contextmanager
def site() -> Iterator[SimpleNamespace]:
    """Serve the real settings, static files collected, hashed and compressed; gives the url."""
    # Plotly is on no page of a phone, and takes most of the collecting.
    collect = [sys.executable, settings.ROOT / "manage.py", "collectstatic", "--noinput", "--ignore", "plotly*"]
    subprocess.run(collect, env={**os.environ, **REAL}, check=True, stdout=subprocess.DEVNULL)
    # No proxy stands between, and a browser opens connections before it needs them.
    with served("practice.wsgi", FACING_PHONES, **REAL) as port:
        yield SimpleNamespace(url=f"http://localhost:{port}")


@contextmanager
def phone(browser: Browser, server, player) -> Iterator[BrowserContext]:
    """Open a phone that has never been here, signed in."""
    context = browser.new_context(**PHONE)
    sign_in(context, server, player.user)
    yield context
    context.close()


def slow(page: Page, network: dict | None = None):
    """Slow a page down; gives the session of the DevTools protocol."""
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    session.send("Network.enable")
    if network:
        session.send("Network.emulateNetworkConditions", network)
    return session


def ready_ms(page: Page, server) -> float:
    """Open the page; return when it was ready, since the navigation began."""
    page.add_init_script(READY)
    page.goto(f"{server.url}/play/", wait_until="networkidle")
    return page.evaluate("ready_ms")


def opened_cold(browser: Browser, server, player) -> tuple[float, list[int], list[int]]:
    """Open it for the first time; return when it was ready, the bytes of each request, and of the worker's own."""
    with phone(browser, server, player) as context:
        by_worker, weights = [], []
        context.on("requestfinished", lambda request: request.service_worker and by_worker.append(request.sizes()))
        page = context.new_page()
        session = slow(page, POOR_SIGNAL)
        session.on("Network.loadingFinished", lambda got: weights.append(got["encodedDataLength"]))
        ready = ready_ms(page, server)
        page.evaluate("navigator.serviceWorker.ready")
        sizes = [size["responseHeadersSize"] + size["responseBodySize"] for size in by_worker]
        return ready, weights, sizes


def opened_again(context: BrowserContext, server) -> float:
    page = context.new_page()
    slow(page)
    ready = ready_ms(page, server)
    page.close()
    return ready


def tap(page: Page) -> tuple[float, float]:
    """Finish a ball by one tap; return the milliseconds until it was saved, and until the next was drawn."""
    entry = page.locator(".entry:not([inert])")
    entry.wait_for()
    box = entry.get_by_role("button", name="on it", exact=True).bounding_box()
    with page.expect_console_message(lambda message: message.text.startswith("tapped ")) as told:
        page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    _, saved, drawn = told.value.text.split()
    return float(saved), float(drawn)


def longest_task_ms(trace: bytes) -> float:
    """Return the longest task of a page's main thread that ran between a tap and the drawing of the next ball."""
    events = json.loads(trace)["traceEvents"]
    main = {
        (e["pid"], e["tid"]) for e in events if e["name"] == "thread_name" and e["args"]["name"] == "CrRendererMain"
    }
    marks = {name: sorted(e["ts"] for e in events if e["name"] == name) for name in ("tap", "drawn")}
    # The task that runs while tracing ends has no end.
    whole = [e for e in events if e["name"] == "RunTask" and "dur" in e]
    tasks = [(e["ts"], e["dur"]) for e in whole if (e["pid"], e["tid"]) in main]
    during = [
        length
        for begin, end in zip(marks["tap"], marks["drawn"], strict=True)
        for start, length in tasks
        if start < end and start + length > begin
    ]
    return max(during) / 1000


def tapped(browser: Browser, context: BrowserContext, server, balls: int) -> tuple[list[tuple[float, float]], float]:
    """Log a block; return what each tap took, and the longest task."""
    page = context.new_page()
    page.goto(f"{server.url}/play/")
    start_block(page)
    page.evaluate(TAPS)
    slow(page)
    browser.start_tracing(page=page, categories=["blink.user_timing", "disabled-by-default-devtools.timeline"])
    taps = []
    for n in range(1, balls):
        taps.append(tap(page))
        expect_ball(page, n + 1)
    return taps, longest_task_ms(browser.stop_tracing())


def measure(*, quick: bool) -> Iterator[Figure]:
    set_stage()
    cast, balls, rounds = Cast(), BALLS_IF_QUICK if quick else BALLS, 3 if quick else 9
    cast.mixed(balls)
    with site() as server, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_chromium())
        cold = [opened_cold(browser, server, cast.player) for _ in range(rounds)]
        ready, weights, by_worker = zip(*cold, strict=True)
        yield Figure(f"phone page cold, a block of {balls}: over the wire", max(map(sum, weights)) / 1000, "kB", 25)
        yield Figure("phone page cold: requests", max(map(len, weights)), "", 6)
        yield Figure("after it, the worker's own requests: over the wire", max(map(sum, by_worker)) / 1000, "kB")
        yield Figure("phone page cold, 400 kbit/s and 400 ms: ready for a tap", median(ready), "ms", 2000)
        with phone(browser, server, cast.player) as context:
            opened_again(context, server)
            kept = [opened_again(context, server) for _ in range(rounds)]
            yield Figure("phone page from the worker's cache: ready for a tap", median(kept), "ms", 600)
            taps, longest = tapped(browser, context, server, balls)
            saves, drawings = zip(*taps, strict=True)
        yield Figure(f"tap to durable save, p50 of {len(saves)}", median(saves), "ms", 60)
        yield Figure(f"tap to durable save, p95 of {len(saves)}", quantiles(saves, n=20)[-1], "ms", 300)
        yield Figure(f"tap to the next ball drawn, p50 of {len(drawings)}", median(drawings), "ms")
        yield Figure("longest task between a tap and the next ball", longest, "ms", 50)
        browser.close()
        if not quick:
            yield from scores(playwright, server, cast.player)
