"""A coach's device that logs for several players: one visit, tiles by name, tap the name, tap the result."""

import re

import pytest
from playwright.sync_api import expect

from practice.sessions.models import PainStop, Shot, ShotRevision, Visit
from tests.browser.axe import axe_faults
from tests.browser.conftest import PHONE
from tests.browser.phone import button, expect_all_sent, expect_ball, sign_in
from tests.browser.squad import begin, expect_tiles, log, tile
from tests.browser.test_touch import expect_room

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_coach_chooses_players_begins_one_visit_for_all_and_taps_name_and_result(two, phone, open_play):
    squad, _ = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    expect(page.get_by_text("Logging as Kim Coach for 2 players.")).to_be_visible()
    expect(tile(page, "Ada")).to_contain_text("Ball 1 of 3")
    tile(page, "Ada").tap()
    expect(page.get_by_role("heading", name="Ada Ball 1 of 3 50 land it at Flag 1 44 yd")).to_be_visible()
    button(page, "5 long").tap()
    expect(page.get_by_label("The last ball")).to_contain_text("Saved: Ada, 5 long")
    expect(tile(page, "Ada")).to_contain_text("58 Flag 2 66 yd Ball 2 of 3")
    log(page, "Robin", "thin")
    expect(page.get_by_label("The last ball")).to_contain_text("Saved: Robin, thin")
    log(page, "Ada", "on it")
    expect_all_sent(page)
    shots = Shot.objects.order_by("running_number")
    assert [(shot.player.name, shot.ball.n, shot.contact) for shot in shots] == [
        ("Ada Lund", 1, ""),
        ("Robin Vale", 1, "thin"),
        ("Ada Lund", 2, ""),
    ]
    assert {revision.made_by for revision in ShotRevision.objects.all()} == {squad.coach}
    assert {shot.device.user for shot in shots} == {squad.coach}
    assert {visit.player.name for visit in Visit.objects.all()} == {"Ada Lund", "Robin Vale"}
    assert all(shot.visit.player == shot.player for shot in shots)


def test_a_ball_put_off_is_entered_from_the_players_page(two, phone, open_play):
    squad, ada = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    page.get_by_label("Which block?").select_option(label="all share: Mixed targets (Robin)")
    log(page, "Ada", "enter later")
    expect(tile(page, "Ada")).to_contain_text("Ball 2 of 3 1 to enter")
    tile(page, "Ada").tap()
    page.get_by_role("link", name="Enter it").tap()
    button(page, "topped").tap()
    expect(page.get_by_role("heading", name="Ada Ball 2 of 3")).to_be_visible()
    expect_all_sent(page)
    assert [(shot.ball, shot.contact) for shot in ada.shots()] == [(None, "topped")]


def test_something_hurts_closes_the_balls_of_that_player_only(two, phone, open_play):
    squad, ada = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    tile(page, "Ada").tap()
    button(page, "Ada: something hurts: stop").tap()
    expect(page.get_by_role("heading", name="Ada Stopped for today")).to_be_visible()
    page.get_by_role("link", name="Group").tap()
    expect(tile(page, "Ada")).to_contain_text("stopped: something hurts")
    log(page, "Robin", "on it")
    expect_all_sent(page)
    assert [stop.player for stop in PainStop.objects.all()] == [ada.player]
    tile(page, "Ada").tap()
    button(page, "Tapped by mistake: undo").tap()
    expect(tile(page, "Ada")).to_contain_text("Ball 1 of 3")
    expect_all_sent(page)
    assert PainStop.objects.get().deleted


def test_what_the_server_does_not_take_names_the_player(two, phone, open_play):
    squad, _ = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    expect_all_sent(page)
    page.route(
        re.compile("/sync/"),
        lambda route: route.fulfill(
            json={
                "answers": [
                    {key: item[key] for key in ("id", "kind", "revision", "number")}
                    | {"result": "rejected", "reason": "No club."}
                    for item in route.request.post_data_json["items"]
                ],
                "server_time_ms": 0,
            }
        ),
    )
    log(page, "Ada", "on it")
    expect(page.get_by_text("Ada Lund: No club.")).to_be_visible()
    expect(page.locator("#waiting")).to_have_text("0 waiting to send, 1 not taken")


def test_a_ball_that_the_player_entered_is_not_corrected_by_the_coach(two, phone, open_context, open_play):
    squad, _ = two
    own = open_play(open_context(**PHONE), squad.player.user)
    own.get_by_role("link", name="Start").tap()
    button(own, "Start").tap()
    button(own, "First ball").tap()
    button(own, "5 long").tap()
    expect_ball(own, 2)
    expect_all_sent(own)
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale")
    expect(tile(page, "Robin")).to_contain_text("Ball 2 of 3")
    tile(page, "Robin").tap()
    expect(page.get_by_label("The last ball")).to_have_count(0)
    page.get_by_role("link", name="Past balls").tap()
    page.get_by_role("link", name="1. 52 Flag 1").tap()
    expect(page.get_by_text("This ball was entered elsewhere: it is corrected there.")).to_be_visible()


def test_of_several_blocks_one_is_chosen_and_the_first_that_is_not_done_comes_by_itself(squad, phone, open_play):
    flag = squad.flags[0]
    squad.assign_blocks(
        ([(squad.clubs[0], flag)], {"title": "First"}),
        ([(squad.clubs[1], flag)] * 2, {"title": "Counted", "logging": "end"}),
        ([(squad.clubs[0], flag)] * 3, {"title": "Third", "logging": "third"}),
    )
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale")
    expect(page.get_by_role("option")).to_have_text(
        ["each their own", "all share: First (Robin)", "all share: Third (Robin), every third ball logged"]
    )
    log(page, "Robin", "on it")
    expect(tile(page, "Robin")).to_contain_text("Ball 1 of 2")
    log(page, "Robin", "Hit: next ball")
    expect(tile(page, "Robin")).to_contain_text("Ball 2 of 2")
    tile(page, "Robin").tap()
    page.get_by_role("link", name="Robin's blocks").tap()
    page.get_by_role("link", name="Start").tap()
    expect(page.get_by_role("heading", name="Robin Balls 1 to 3 of 3")).to_be_visible()
    button(page, "on it").tap()
    expect_tiles(page)
    log(page, "Robin", "Hit: next ball")
    expect(tile(page, "Robin")).to_contain_text("to be counted")
    tile(page, "Robin").tap()
    button(page, "Save").tap()
    expect(tile(page, "Robin")).to_contain_text("done")
    expect_all_sent(page)
    assert [shot.ball.n for shot in squad.shots()] == [1, 3]


def test_a_coach_with_a_plan_of_their_own_has_both(squad, phone, open_play):
    squad.mixed(1)
    squad.player.user = squad.coach
    squad.player.save()
    squad.add("Ada Lund", ("56", 56.0))
    page = open_play(phone, squad.coach)
    expect(page.get_by_role("heading", name="Robin Vale")).to_be_visible()
    page.get_by_role("link", name="Log for a group").tap()
    begin(page, "Ada Lund", "Robin Vale")
    log(page, "Robin", "on it")
    page.goto(page.url.split("#")[0] + "#/")
    expect(page.get_by_text("1 of 1")).to_be_visible()


def test_the_roster_leads_to_the_group(squad, desk, live_server):
    sign_in(desk, live_server, squad.coach)
    page = desk.new_page()
    page.goto(f"{live_server.url}/players/")
    page.get_by_role("link", name="Log for a group").click()
    expect(page.get_by_role("heading", name="Who is in the group?")).to_be_visible()


@pytest.mark.parametrize("size", [(320, 568), (390, 844), (844, 390), (820, 1180)])
def test_axe_finds_nothing_wrong_and_every_control_has_room(two, open_context, open_play, size):
    squad, _ = two
    phone = open_context(**{**PHONE, "viewport": {"width": size[0], "height": size[1]}})
    page = open_play(phone, squad.coach)
    faults = []

    def look():
        expect_room(page)
        faults.extend(axe_faults(page))

    expect(page.get_by_role("heading", name="Who is in the group?")).to_be_visible()
    look()
    begin(page, "Robin Vale", "Ada Lund")
    log(page, "Ada", "on it")
    look()
    assert tile(page, "Ada").bounding_box()["height"] >= 64
    tile(page, "Robin").tap()
    expect(button(page, "on it")).to_be_visible()
    look()
    assert faults == []


def test_a_group_is_logged_with_the_keyboard_alone(two, desk, open_play):
    squad, _ = two
    page = open_play(desk, squad.coach)

    def press(name, role="button", key="Enter"):
        target = page.get_by_role(role, name=name)
        expect(target).to_be_visible()
        for _ in range(40):
            if target.evaluate("node => node === document.activeElement"):
                break
            page.keyboard.press("Tab")
        expect(target).to_be_focused()
        page.keyboard.press(key)

    press("Ada Lund", "checkbox", "Space")
    press("Hold them on this device")
    press("Start")
    press(re.compile("^Ada "), "link")
    press(re.compile("^5 long$"))
    expect(page.locator("#said")).to_have_text("Ada: Saved on this phone.")
    expect_tiles(page)
    expect(page.get_by_role("heading", name="Who hits?")).to_be_focused()
    expect_all_sent(page)
    assert Shot.objects.get().player.name == "Ada Lund"
