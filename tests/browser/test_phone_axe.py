"""axe finds nothing wrong with any page of the player's phone page, in light and in dark, at 7:1 contrast.

The pages are routes after the `#` of one address. They are listed here, and a test finds a route that is not.
"""

import re

import pytest
from django.conf import settings
from django.utils import timezone
from playwright.sync_api import expect

from practice.clubs.models import Club
from practice.sessions.models import PainStop, Visit
from tests import make
from tests.browser.axe import axe_faults
from tests.browser.phone import AROUND, Cast, button, tap_ball

pytestmark = pytest.mark.django_db(transaction=True)

ROUTES = [
    "#/",
    "#/visit",
    "#/eye-check",
    "#/turf",
    "#/others",
    "#/block/{block}",
    "#/block/{block}/shots",
    "#/block/{block}/shots/{shot}",
    "#/block/{block}/summary",
    "#/block/{block}/tally",
    "#/block/{block}/later",
]
GROUP_ROUTES = ["#/group", "#/group/choose", "#/group/visit", "#/group/{player}/"]
"""A coach's; test_group.py walks them, with axe too."""


def test_every_route_that_the_scripts_lead_to_is_listed():
    scripts = "".join(path.read_text() for path in (settings.ROOT / "static/play").glob("*.js"))
    # A page of a player is written as what follows their day's home, which is "#/" for the player.
    written = re.findall(r'["`](#/[^"`]*)["`]', scripts.replace("${day.home}", "#/"))
    assert {re.sub(r"\$\{[^}]*\}", "{}", route) for route in written} == {
        re.sub(r"\{\w+\}", "{}", route) for route in (*ROUTES, *GROUP_ROUTES)
    }


def a_day(*, measured_by: str = "eye", handed: str = "right", **block):
    """Make a player who is at the range with a block of which two balls are hit; return the cast and route parts."""
    cast = Cast(handed=handed)
    asked = [(cast.clubs[n % 2], cast.flags[n % 2]) for n in range(6)]
    balls = cast.assign(*asked, around=AROUND, **block)
    visit = Visit.objects.create(
        player=cast.player, venue=cast.range, tee_line=cast.line, measured_by=measured_by, started_at=timezone.now()
    )
    for ball, values in zip(
        balls, ({"carry_m": 44.0, "lateral_m": 2.0}, {"carry_m": None, "contact": "fat"}), strict=False
    ):
        hit = {"ball": ball, "target": ball.target, "target_m": ball.target_m, "measured_by": measured_by}
        shot = make.make_shot(ball.club, cast.range, visit=visit, source="phone", **hit, **values)
    return cast, {"block": balls[0].block_id, "shot": shot.uid}


DAYS = {
    "by eye": {},
    "with a laser, left-handed": {"measured_by": "laser", "handed": "left"},
    "number hidden": {"number_shown": False},
    "every third ball": {"logging": "third"},
    "at the end": {"logging": "end"},
}


@pytest.mark.parametrize("day", DAYS.values(), ids=DAYS.keys())
def test_axe_finds_nothing_wrong_with_a_day(day, phone, open_play):
    cast, parts = a_day(**day)
    page = open_play(phone, cast.player.user)
    faults = []
    for route in ROUTES:
        page.goto(f"{page.url.partition('#')[0]}{route.format(**parts)}")
        page.reload()
        expect(page.locator("main h1")).to_be_visible()
        faults += axe_faults(page)
    assert faults == [], "\n".join(faults)


def test_axe_finds_nothing_wrong_with_balls_that_wait(phone, open_play):
    cast, parts = a_day()
    page = open_play(phone, cast.player.user, "#/block/{block}".format(**parts))
    tap_ball(page, 3, "enter later")
    page.get_by_role("link", name="Enter it").tap()
    expect(page.get_by_role("heading", name="Balls to be entered")).to_be_visible()
    assert axe_faults(page) == []


def test_axe_finds_nothing_wrong_with_a_ball_that_was_not_taken(phone, open_play):
    cast, parts = a_day()
    page = open_play(phone, cast.player.user, "#/block/{block}".format(**parts))
    expect(page.get_by_role("heading", name="Ball 3 of")).to_be_visible()
    Club.objects.filter(player=cast.player).update(player=make.make_player(cast.academy))
    tap_ball(page, 3, "5 long")
    expect(page.get_by_text("1 not taken")).to_be_visible()
    page.get_by_role("link", name="Today's plan").tap()
    expect(page.get_by_role("heading", name="Could not be sent")).to_be_visible()
    assert axe_faults(page) == []
    button(page, "Discard").tap()
    expect(button(page, "Undo")).to_be_visible()
    assert axe_faults(page) == []


def test_axe_finds_nothing_wrong_with_a_ball_that_was_deleted(phone, open_play):
    cast, parts = a_day()
    page = open_play(phone, cast.player.user, "#/block/{block}/shots/{shot}".format(**parts))
    button(page, "Delete this ball").tap()
    expect(button(page, "Undo")).to_be_visible()
    assert axe_faults(page) == []


def test_axe_finds_nothing_wrong_with_a_day_that_was_stopped(phone, open_play):
    cast, _ = a_day()
    PainStop.objects.create(player=cast.player, stopped_at=timezone.now(), local_date=cast.academy.today())
    page = open_play(phone, cast.player.user)
    expect(page.get_by_role("heading", name="Stopped for today")).to_be_visible()
    assert axe_faults(page) == []


def test_axe_finds_nothing_wrong_with_a_block_that_is_gone(phone, open_play):
    cast, _ = a_day()
    page = open_play(phone, cast.player.user, "#/block/none")
    expect(page.get_by_role("heading", name="This block is not in your plan now")).to_be_visible()
    assert axe_faults(page) == []


@pytest.mark.console_allows("status of 401")
@pytest.mark.parametrize("who", ["somebody signed out", "a coach"])
def test_axe_finds_nothing_wrong_with_the_page_of(who, phone, open_play, live_server):
    academy = make.make_academy()
    if who == "a coach":
        page = open_play(phone, make.make_staff(academy))
    else:
        page = phone.new_page()
        page.goto(f"{live_server.url}/play/")
    expect(page.locator("main h1")).to_be_visible()
    assert axe_faults(page) == []


@pytest.mark.console_allows("ERR_INTERNET_DISCONNECTED")
def test_axe_finds_nothing_wrong_without_a_connection(phone, open_play):
    cast, parts = a_day()
    page = open_play(phone, cast.player.user, "#/block/{block}".format(**parts))
    expect(button(page, "5 long")).to_be_visible()
    phone.set_offline(True)
    tap_ball(page, 3, "5 long")
    expect(page.get_by_text("No connection.")).to_be_visible()
    # At the end of the page the last ball's bar covers nothing; further up it may cut a button in half, a small target.
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    assert axe_faults(page) == []
