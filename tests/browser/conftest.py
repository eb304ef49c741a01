"""A real Chromium against a live server that serves hashed static files, as in production.

`phone` and `desk` are browser contexts: `phone.new_page().goto(live_server.url)` opens a page. Whatever a page
complains of (console errors, uncaught exceptions, violations of the content policy) fails the test at its end,
unless `@pytest.mark.console_allows("status of 422")` says that it is expected.
"""

import fcntl
import os

import pytest
from django.conf import settings
from django.core.management import call_command
from django.test import override_settings
from playwright.sync_api import expect
from pytest_django.live_server_helper import LiveServer
from whitenoise.compress import main as compress

from practice.settings import STORAGES
from tests.browser.phone import Cast, sign_in
from tests.browser.squad import Squad
from tests.conftest import find_chromium

# Synchronous Playwright leaves an event loop in the tests' thread, and Django would refuse to query there.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

# What needs a few requests takes long where other work keeps the processors busy: that must not decide.
expect.set_options(timeout=15_000)

# As in production, but for compressing all scripts: plotly's takes seconds, and only the phone page's are weighed.
SERVED_AS_IN_PRODUCTION = {"STORAGES": STORAGES, "WHITENOISE_SKIP_COMPRESS_EXTENSIONS": ("js",)}
PHONE = {
    "viewport": {"width": 390, "height": 844},
    "device_scale_factor": 2,
    "is_mobile": True,
    "has_touch": True,
}
DESK = {"viewport": {"width": 1280, "height": 900}}


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    """Take the system's Chromium; the browser asks nobody but this machine for anything."""
    return {
        **browser_type_launch_args,
        "executable_path": find_chromium(),
        "args": ["--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE localhost , EXCLUDE 127.0.0.1"],
    }


@pytest.fixture(scope="session")
def collected_static():
    """Collect the static files once a run, whichever worker comes first."""
    with (settings.VAR / "static.lock").open("w") as lock, override_settings(**SERVED_AS_IN_PRODUCTION):
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (settings.STATIC_ROOT / "staticfiles.json").exists():
            call_command("collectstatic", interactive=False, verbosity=0)
            compress([str(settings.STATIC_ROOT / "play"), "--quiet"])


@pytest.fixture(scope="session")
def live_server(collected_static, django_db_setup, request):
    """Serve the application itself: pytest-django's handler would answer 404 for hashed static files."""
    with pytest.MonkeyPatch.context() as patch, override_settings(**SERVED_AS_IN_PRODUCTION):
        patch.setattr("django.contrib.staticfiles.handlers.StaticFilesHandler", lambda handler: handler)
        server = LiveServer("localhost")
    yield server
    server.stop()


@pytest.fixture(autouse=True)
def _hashed_static_files(collected_static):
    """Let pages name the collected files."""
    with override_settings(**SERVED_AS_IN_PRODUCTION):
        yield


NO_WORKER = "An unknown error occurred when fetching the script."
"""What the browser says where a test goes offline before the worker is there: it tries again at the next opening."""


class Complaints:
    """Collects what the pages of some contexts complain of."""

    def __init__(self):
        self.told: list[str] = []

    def watch(self, context):
        """Note console errors and uncaught exceptions of every page that the context opens."""
        context.on("console", self._note_console)
        context.on("weberror", lambda error: self.told.append(f"uncaught: {error.error}"))
        return context

    def _note_console(self, message):
        if message.type == "error" and message.text != NO_WORKER:
            self.told.append(f"{message.text} ({message.location.get('url', '')})")

    def besides(self, allowed: tuple[str, ...]) -> list[str]:
        """Return what holds none of the allowed fragments."""
        return [text for text in self.told if not any(fragment in text for fragment in allowed)]


@pytest.fixture
def complaints(request):
    """Collect complaints, and fail the test at its end if one was not expected."""
    complaints = Complaints()
    yield complaints
    allowed = tuple(arg for marker in request.node.iter_markers("console_allows") for arg in marker.args)
    unexpected = complaints.besides(allowed)
    assert unexpected == [], "The browser complained:\n" + "\n".join(unexpected)


@pytest.fixture
def open_context(complaints, new_context):
    """Return a function that opens one more watched context: `open_context(**PHONE)` is a second phone."""
    return lambda **device: complaints.watch(new_context(**device))


@pytest.fixture
def phone(open_context):
    """A player's phone: small, touched, with a dense screen."""
    return open_context(**PHONE)


@pytest.fixture
def desk(open_context):
    """A coach's desk: a wide window and a mouse."""
    return open_context(**DESK)


@pytest.fixture
def cast():
    """A player with two wedges, a range with two flags, and no plan yet."""
    return Cast()


@pytest.fixture
def squad():
    """A coach and a player of an academy with no plan yet; more players can be added."""
    return Squad()


@pytest.fixture
def two(squad):
    """Robin and Ada, each with a block of three balls of their own."""
    ada = squad.add("Ada Lund", ("50", 50.0), ("58", 58.0))
    squad.mixed(3)
    ada.mixed(3, title="Ada's targets")
    return squad, ada


@pytest.fixture
def open_play(live_server):
    """Return a function that signs a phone in and opens its page, at a route where one is given."""

    def open_play(context, user, route=""):
        sign_in(context, live_server, user)
        page = context.new_page()
        page.goto(f"{live_server.url}/play/{route}")
        return page

    return open_play
