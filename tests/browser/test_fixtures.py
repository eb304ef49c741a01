"""The browser is real, is watched, and asks nobody but this machine."""

import re
from urllib.request import urlopen

import pytest
from django.templatetags.static import static

from tests.browser.conftest import Complaints

PAGE_WITH_AN_INLINE_SCRIPT = {
    "headers": {"Content-Security-Policy": "default-src 'none'"},
    "content_type": "text/html",
    "body": "<!doctype html><title>x</title><script>document.title = 'y'</script>",
}


def told_by(new_context, action):
    complaints = Complaints()
    page = complaints.watch(new_context()).new_page()
    action(page)
    # A round trip to the page: everything it said before has arrived.
    page.evaluate("1")
    return complaints


@pytest.mark.parametrize(
    ("script", "told"),
    [
        ("console.error('the flag fell')", "the flag fell"),
        (
            "new Promise(done => setTimeout(() => { setTimeout(done); throw Error('a slip') }))",
            "uncaught: a slip",
        ),
    ],
)
def test_an_error_on_a_page_is_a_complaint(new_context, script, told):
    complaints = told_by(new_context, lambda page: page.evaluate(script))
    assert told in complaints.told[0]
    assert complaints.besides((told,)) == []


def test_a_violation_of_the_content_policy_is_a_complaint(new_context):
    def open_page(page):
        page.route("http://localhost/", lambda route: route.fulfill(**PAGE_WITH_AN_INLINE_SCRIPT))
        page.goto("http://localhost/")

    assert "Content Security Policy" in told_by(new_context, open_page).told[0]


@pytest.mark.console_allows("expected here")
def test_what_a_test_expects_is_no_complaint(desk):
    desk.new_page().evaluate("console.error('expected here')")


def test_the_phone_is_small_and_touched(phone):
    page = phone.new_page()
    assert page.evaluate("[screen.width, devicePixelRatio, navigator.maxTouchPoints > 0]") == [390, 2, True]


def test_the_desk_is_wide_and_has_a_mouse(desk):
    page = desk.new_page()
    assert page.evaluate("[innerWidth, navigator.maxTouchPoints]") == [1280, 0]


def test_other_machines_cannot_be_reached(new_context):
    page = new_context().new_page()
    with pytest.raises(Exception, match="ERR_NAME_NOT_RESOLVED"):
        page.goto("http://host.example/")


def test_static_files_are_served_under_their_hashed_names(live_server):
    address = static("ledger/ledger.css")
    assert re.fullmatch(r"/static/ledger/ledger\.[0-9a-f]{12}\.css", address)
    with urlopen(live_server.url + address) as answer:
        assert answer.headers["Cache-Control"] == "max-age=315360000, public, immutable"


def test_a_page_of_ours_has_nothing_to_complain_of(desk, live_server):
    page = desk.new_page()
    page.goto(live_server.url)
    assert page.url == f"{live_server.url}/sign-in/?next=/"
    assert page.evaluate("document.styleSheets.length") > 0
