"""The block builder in a browser: the balls are drawn in place, and what is seen is what the player gets."""

import re

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from playwright.sync_api import expect

from practice.planner.models import Block, PlanState
from practice.venues.models import Bay, Target
from tests.practice.litany import make_cast
from tests.practice.planner.plans import MONDAY, equip

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def player():
    cast = make_cast()
    equip(cast.player)
    return cast.player


@pytest.fixture
def page(desk, live_server, player):
    """A page of a coach of the player's academy, at the builder."""
    coach = player.academy.memberships.get(role="coach").user
    client = Client()
    client.force_login(coach)
    cookie = {"name": settings.SESSION_COOKIE_NAME, "value": client.cookies[settings.SESSION_COOKIE_NAME].value}
    desk.add_cookies([{**cookie, "url": live_server.url}])
    page = desk.new_page()
    page.goto(live_server.url + reverse("planner:add_block", args=[player.pk, str(MONDAY)]))
    return page


def rows(page):
    """Return (club, target) of every ball in the table."""
    cells = page.locator("#builder tbody tr").all()
    return [
        (row.locator("td").nth(1).inner_text(), re.sub(r"^\d+ yd ", "", row.locator("td").nth(2).inner_text()))
        for row in cells
    ]


def test_a_coach_draws_again_until_it_pleases_and_assigns_what_was_seen(page):
    builder = page.url
    page.get_by_label("Balls").fill("12")
    page.get_by_role("button", name="Draw the balls").click()
    expect(page.get_by_role("heading", name="12 balls")).to_be_visible()
    seed = page.locator("[name=seed]")
    first = seed.input_value()
    page.get_by_role("button", name="Draw again").click()
    expect(seed).not_to_have_value(first)
    assert page.url == builder
    seen = rows(page)
    page.get_by_role("button", name="Put into the week").click()
    page.get_by_role("button", name="Assign to").click()
    expect(page.get_by_role("heading", name="Assigned")).to_be_visible()
    block = Block.objects.get(plan__state=PlanState.ASSIGNED)
    assert list(block.balls.values_list("club__label", "target_name")) == seen


def test_choosing_a_bay_shows_the_targets_inside_its_arc_at_once(page, player):
    line = Target.objects.first().tee_line
    Bay.objects.create(tee_line=line, name="Bay 3", arc_left_deg=-5, arc_right_deg=5)
    Target.objects.filter(name="Flag 1").update(direction_deg=20)
    page.reload()
    expect(page.get_by_label("Flag 1")).to_be_visible()
    page.get_by_label("Where").select_option(label=f"{line.venue.name}, {line.name}, Bay 3")
    expect(page.get_by_label("Flag 1")).to_have_count(0)
    expect(page.get_by_label("Flag 2")).to_be_checked()


@pytest.mark.console_allows("status of 422")
def test_a_fault_is_shown_beside_its_field_without_losing_the_choices(page):
    page.get_by_label("Balls").evaluate("field => field.removeAttribute('max')")
    page.get_by_label("Balls").fill("10000")
    page.get_by_label("Flag 2").uncheck()
    page.get_by_role("button", name="Draw the balls").click()
    expect(page.get_by_text("A block holds at most 200 balls")).to_be_visible()
    expect(page.get_by_label("Flag 2")).not_to_be_checked()


def test_a_coach_writes_a_drill_of_their_own_and_puts_it_into_the_week(page, player, live_server):
    builder = page.url
    page.goto(live_server.url + reverse("drills:add"))
    page.get_by_label("Title").fill("Up and down")
    page.get_by_label("Instructions").fill("Chip to the far fringe, then hole it.")
    page.get_by_label("Kind of shot").select_option("chip")
    page.get_by_label("It is scored by").select_option("leave")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("link", name="Up and down")).to_be_visible()
    page.goto(builder)
    page.get_by_label("Drill").select_option(label="Up and down")
    expect(page.get_by_text("Chip to the far fringe")).to_be_visible()
    page.get_by_role("button", name="Draw the balls").click()
    expect(page.get_by_role("heading", name="10 balls")).to_be_visible()
    page.get_by_role("button", name="Put into the week").click()
    expect(page.get_by_text("10 balls this week.")).to_be_visible()
    block = Block.objects.get()
    assert (block.kind, block.parameters["score"], block.parameters["shot_type"]) == ("own", "leave", "chip")
