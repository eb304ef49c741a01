"""A network that fails by hand, what the browser says of it, and what it tells a page that comes back."""

import re

import pytest

DATA = re.compile(r"/play/(me|work)\.json|/sync/")
NO_NETWORK = pytest.mark.console_allows("ERR_FAILED", "ERR_INTERNET_DISCONNECTED")
LAPSED = pytest.mark.console_allows("status of 401", "status of 403")

# Headless, no page is ever hidden or put into the back-forward cache: the events are the browser's, sent by hand.
LOOKED_AT = "document.dispatchEvent(new Event('visibilitychange'))"
BACK_AGAIN = "dispatchEvent(new PageTransitionEvent('pageshow', { persisted: true }))"


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
