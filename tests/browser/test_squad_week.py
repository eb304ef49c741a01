"""The coach plans a week and gives it to the squad, with the keyboard alone; the player reads the day on the phone."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from practice.planner.models import Block, WeekPlan, WeekTemplate
from practice.planner.weeks import monday_of
from tests import make
from tests.browser.axe import axe_faults
from tests.browser.phone import sign_in
from tests.practice.litany import make_cast
from tests.practice.planner.plans import equip

pytestmark = pytest.mark.django_db(transaction=True)
MOST_TABS = 120


def tab_to(page, target):
    """Press Tab until the target has the focus, as somebody without a mouse does."""
    for _ in range(MOST_TABS):
        if target.evaluate("node => node === document.activeElement"):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{target} is not reached by the keyboard")


def press(page, name, *, role="button"):
    """Go to a button or link and press Enter there."""
    target = page.get_by_role(role, name=name, exact=True)
    tab_to(page, target)
    page.keyboard.press("Enter")


def fill(page, label, text):
    tab_to(page, page.get_by_label(label, exact=True))
    page.keyboard.type(text)


@pytest.fixture
def squad():
    """A coach with two players who have a bag, and one of whose clubs nothing is known."""
    cast = make_cast()
    equip(cast.player)
    for label, carry_m in (("50", 90.0), ("54", 80.0), ("58", 70.0)):
        make.make_club(cast.team_mate, label, loft_deg=float(label), stated_full_m=carry_m)
    make.make_player(cast.academy, "Nobody Knows")
    return cast


def test_the_coach_plans_a_squads_week_with_the_keyboard_alone(desk, live_server, squad):
    sign_in(desk, live_server, squad.coach)
    page = desk.new_page()
    monday = monday_of(squad.academy.today())
    page.goto(live_server.url + reverse("planner:week", args=[squad.player.pk, str(monday)]))

    # a block, and what goes with it
    press(page, "Add a block", role="link")
    fill(page, "Balls", "12")
    press(page, "Draw the balls")
    expect(page.get_by_role("heading", name="12 balls")).to_be_visible()
    press(page, "Put into the week")
    expect(page.get_by_role("heading", name="Draft")).to_be_visible()
    tab_to(page, page.locator("summary", has_text="Day, cue, pass mark"))
    page.keyboard.press("Enter")
    tab_to(page, page.get_by_label("Day", exact=True))
    page.keyboard.type("Wed")
    fill(page, "One cue", "Brush the grass")
    fill(page, "Pass mark: balls made", "7")
    fill(page, "out of", "10")
    fill(page, "within % of the distance", "10")
    press(page, "Save what goes with block 1")
    expect(page.get_by_text("Pass mark: 7 of 10 within 10 %")).to_be_visible()

    # kept as a template, and given to the others
    fill(page, "Keep this week as a template named", "First week")
    press(page, "Keep")
    expect(page.get_by_role("status")).to_contain_text("First week")
    press(page, "Give a week to the squad", role="link")
    tab_to(page, page.get_by_label("Which week"))
    page.keyboard.type("First")
    tab_to(page, page.get_by_label(squad.player.name, exact=True))
    page.keyboard.press("Space")
    fill(page, f"Balls in the week of {squad.team_mate.name}", "6")
    tab_to(page, page.get_by_label("Assign at once"))
    page.keyboard.press("Space")
    press(page, "Look at the weeks")
    expect(page.get_by_text("Nothing of this week can be hit")).to_be_visible()
    assert axe_faults(page) == []
    assert not WeekPlan.objects.assigned().exists()
    press(page, "Assign these weeks")
    expect(page.get_by_role("status")).to_contain_text("The week stands for 1 of 2 players now, assigned.")

    assert WeekTemplate.objects.get().name == "First week"
    block = Block.objects.get(plan__state="assigned")
    assert block.plan.player == squad.team_mate
    assert (block.day, block.cue, str(block.pass_mark), block.balls.count()) == (
        2,
        "Brush the grass",
        "4 of 5 within 10 %",
        6,
    )
    assert not block.balls.exclude(club__player=squad.team_mate).exists()


def test_the_coach_changes_a_draft_in_place_and_takes_it_back(desk, live_server, squad):
    sign_in(desk, live_server, squad.coach)
    page = desk.new_page()
    monday = monday_of(squad.academy.today())
    page.goto(live_server.url + reverse("planner:add_block", args=[squad.player.pk, str(monday)]))
    page.get_by_role("button", name="Draw the balls").click()
    page.get_by_role("button", name="Put into the week").click()
    before = Block.objects.get().balls.count()
    press(page, "Halve")
    expect(page.locator("h3 .tag").first).to_have_text(f"{before // 2} balls")
    press(page, "Take back: changing “Mixed targets”")
    expect(page.locator("h3 .tag").first).to_have_text(f"{before} balls")
    page.get_by_label("Day", exact=True).evaluate("node => node.closest('details').open = true")
    assert axe_faults(page) == []


def test_the_player_reads_on_the_phone_for_which_day_a_block_is(cast, phone, open_play):
    cast.assign(*[(cast.clubs[0], None)] * 3, day=2)
    page = open_play(phone, cast.player.user)
    expect(page.get_by_text("Wednesday", exact=True)).to_be_visible()
