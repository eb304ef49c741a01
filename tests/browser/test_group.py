"""A coach's device that logs for several players: one visit, tiles by name, own blocks or a shared one."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from practice.sessions.models import PainStop, Shot, ShotRevision, SkippedBall, Visit
from tests.browser.axe import axe_faults
from tests.browser.conftest import PHONE
from tests.browser.network import NO_NETWORK, connect, cut_off
from tests.browser.phone import (
    YARD_M,
    Cast,
    button,
    expect_all_sent,
    expect_ball,
    expect_on_disk,
    on_disk,
    sign_in,
    waiting,
)
from tests.browser.test_touch import expect_room
from tests.make import make_club, make_player, make_staff

pytestmark = pytest.mark.django_db(transaction=True)


class Squad(Cast):
    """Robin Vale of the cast with a plan of five balls, and others of the academy with what a test gives them."""

    def __init__(self):
        super().__init__()
        self.coach = make_staff(self.academy)
        self.coach.name = "Kim Coach"
        self.coach.save()

    def add(self, name: str, *labels: tuple[str, float]) -> Cast:
        """Add a player with these clubs, as one for whom a plan can be assigned too."""
        each = Cast.__new__(Cast)
        each.academy, each.range, each.line, each.flags = self.academy, self.range, self.line, self.flags
        each.player = make_player(self.academy, name)
        each.clubs = [make_club(each.player, label, loft_deg=loft) for label, loft in labels]
        return each


@pytest.fixture
def squad():
    return Squad()


@pytest.fixture
def two(squad):
    """Robin and Ada, each with a block of three balls of their own."""
    ada = squad.add("Ada Lund", ("50", 50.0), ("58", 58.0))
    squad.mixed(3)
    ada.mixed(3, title="Ada's targets")
    return squad, ada


def hold(page, *names):
    """Choose players of the squad, and go to where they hit."""
    expect(page.get_by_role("heading", name="Who is in the group?")).to_be_visible()
    for name in names:
        page.get_by_text(name, exact=True).tap()
    button(page, "Hold them on this device").tap()


def begin(page, *names):
    """Hold players and begin their visit."""
    hold(page, *names)
    expect(page.get_by_role("heading", name="Where are you today?")).to_be_visible()
    button(page, "Start").tap()
    expect_tiles(page)


def expect_tiles(page):
    expect(page.get_by_role("heading", name="Who hits?")).to_be_visible()


def tile(page, name):
    return page.get_by_role("link", name=re.compile(rf"^{re.escape(name)} "))


def log(page, name, result):
    """Tap the name, tap the result."""
    tile(page, name).tap()
    button(page, result).tap()
    expect_tiles(page)


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


@NO_NETWORK
def test_the_group_its_visit_and_how_far_each_is_are_there_with_no_network_after_the_page_was_closed(
    two, phone, open_play, live_server
):
    squad, ada = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    page.get_by_label("Which block?").select_option(label="all share: Ada's targets (Ada)")
    log(page, "Robin", "5 long")
    expect_all_sent(page)
    page.evaluate("navigator.serviceWorker.ready")
    cut_off(phone)
    log(page, "Robin", "5 short")
    log(page, "Ada", "fat")
    page.close()
    phone.set_offline(True)
    page = phone.new_page()
    page.goto(f"{live_server.url}/play/")
    expect_tiles(page)
    expect(tile(page, "Robin")).to_contain_text("Ball 3 of 3")
    expect(tile(page, "Ada")).to_contain_text("Ball 2 of 3")
    expect(page.locator("#waiting")).to_have_text("2 waiting to send")
    log(page, "Robin", "on it")
    expect(tile(page, "Robin")).to_contain_text("done")
    phone.set_offline(False)
    connect(phone)
    page.reload()
    expect_tiles(page)
    expect_all_sent(page)
    expect(tile(page, "Robin")).to_contain_text("done")
    assert Shot.objects.filter(player=squad.player).count() == 3
    assert [shot.ball.n for shot in ada.shots()] == [1]


def test_a_shared_block_asks_all_the_same_targets_with_their_own_clubs(squad, phone, open_play):
    """Robin's 52 is asked; Ada has none, and her 50 is nearer in loft than her 58; Ben has a 52."""
    ada = squad.add("Ada Lund", ("50", 50.0), ("58", 58.0))
    ben = squad.add("Ben Oke", ("54", 54.0), ("52", 51.0))
    make_player(squad.academy, "Cy Without")
    squad.mixed(2)
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund", "Ben Oke", "Cy Without")
    expect(tile(page, "Ada")).to_contain_text("nothing planned")
    page.get_by_label("Which block?").select_option(label="all share: Mixed targets (Robin)")
    expect(tile(page, "Cy")).to_contain_text("no clubs in the bag")
    expect(tile(page, "Ben")).to_contain_text("52 Flag 1 44 yd Ball 1 of 2")
    tile(page, "Ada").tap()
    expect(page.get_by_role("heading", name="Ada Ball 1 of 2 50 land it at Flag 1 44 yd")).to_be_visible()
    expect(page.get_by_text("Asked: 52. This is the nearest in the bag.")).to_be_visible()
    button(page, "5 long").tap()
    log(page, "Ben", "5 short")
    log(page, "Robin", "on it")
    expect(tile(page, "Ada")).to_contain_text("58 Flag 2 66 yd Ball 2 of 2")
    log(page, "Ada", "skip")
    expect(tile(page, "Ada")).to_contain_text("done")
    expect_all_sent(page)
    (shot,) = ada.shots()
    assert (shot.ball, shot.target, shot.club.label, shot.swing) == (None, squad.flags[0], "50", "feel")
    assert (shot.target_m, shot.carry_m) == (40.0, pytest.approx(40 + 5 * YARD_M))
    assert [(shot.ball, shot.club.label) for shot in ben.shots()] == [(None, "52")]
    assert [shot.ball.n for shot in squad.shots()] == [1]
    # To skip a ball that was never asked of her is no news to the server.
    assert not SkippedBall.objects.exists()


def test_what_was_saved_last_is_taken_back_and_corrected_for_each_in_a_shared_block_too(squad, phone, open_play):
    ada = squad.add("Ada Lund", ("52", 52.0), ("56", 56.0))
    squad.mixed(3)
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    page.get_by_label("Which block?").select_option(label="all share: Mixed targets (Robin)")
    log(page, "Ada", "5 long")
    log(page, "Robin", "thin")
    bar = page.get_by_label("The last ball")
    bar.get_by_role("button", name="Undo").tap()
    expect(tile(page, "Robin")).to_contain_text("Ball 1 of 3")
    expect(bar).to_contain_text("Saved: Ada, 5 long")
    bar.get_by_role("link", name="Correct").tap()
    expect(page.get_by_role("heading", name="Ada 1. 52 Flag 1")).to_be_visible()
    button(page, "10+ short").tap()
    button(page, "Save").tap()
    expect(page.get_by_role("heading", name="Ada Past balls")).to_be_visible()
    page.get_by_role("link", name="Group").tap()
    expect(bar).to_contain_text("Saved: Ada, 10 short")
    log(page, "Ada", "skip")
    expect(bar).to_contain_text("Ada, Skipped.")
    bar.get_by_role("button", name="Undo").tap()
    expect(tile(page, "Ada")).to_contain_text("Ball 2 of 3")
    log(page, "Ada", "on it")
    tile(page, "Ada").tap()
    # On her own page too, and there it is asked again at once.
    bar.get_by_role("button", name="Undo").tap()
    expect(page.get_by_role("heading", name="Ada Ball 2 of 3 56")).to_be_visible()
    expect_all_sent(page)
    told = [(shot.deleted, shot.carry_m and round(shot.carry_m / YARD_M)) for shot in ada.shots()]
    assert told == [(False, round(40 / YARD_M - 10)), (True, round(60 / YARD_M))]


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


def test_players_of_one_first_name_are_told_apart(squad, phone, open_play):
    for name in ("Ada Lund", "Ada Berg", "Ben Oke"):
        squad.add(name, ("56", 56.0))
    make_player(squad.academy, "Ben Oke", slug="ben-oke-2")
    page = open_play(phone, squad.coach)
    hold(page, "Ada Lund", "Ada Berg")
    button(page, "Start").tap()
    expect_tiles(page)
    expect(tile(page, "Ada Lund")).to_be_visible()
    expect(tile(page, "Ada Berg")).to_be_visible()
    page.get_by_role("link", name="Choose players").tap()
    for i in range(2):
        page.get_by_text("Ben Oke", exact=True).nth(i).tap()
    button(page, "Hold them on this device").tap()
    # Who comes later is on the visit of the others.
    expect(tile(page, "Ben Oke (1)")).to_be_visible()
    expect(tile(page, "Ben Oke (2)")).to_be_visible()
    expect_all_sent(page)
    assert Visit.objects.count() == 4


def test_eight_players_are_held_and_no_name_of_another_stays_on_the_device(squad, phone, open_play):
    names = [f"Player {letter}" for letter in "ABCDEFGHIJ"]
    for name in names:
        make_player(squad.academy, name)
    page = open_play(phone, squad.coach)
    for name in names[:8]:
        page.get_by_text(name, exact=True).tap()
    expect(page.get_by_text("8 of 8 chosen. To choose another, take somebody off.")).to_be_visible()
    expect(page.get_by_label("Player I")).to_be_disabled()
    button(page, "Hold them on this device").tap()
    expect(page.get_by_role("heading", name="Where are you today?")).to_be_visible()
    assert len(on_disk(page, "days")) == 8
    kept = str(on_disk(page, "days")) + str(on_disk(page, "kept"))
    assert "Player A" in kept
    assert not any(name in kept for name in ("Player I", "Player J", "Robin Vale"))


@NO_NETWORK
def test_who_is_taken_off_leaves_nothing_behind_once_all_of_theirs_is_sent(two, phone, open_play):
    squad, ada = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    expect_all_sent(page)
    cut_off(phone)
    log(page, "Ada", "on it")
    page.get_by_role("link", name="Choose players").tap()
    page.get_by_text("Ada Lund", exact=True).tap()
    button(page, "Hold them on this device").tap()
    expect_tiles(page)
    expect(tile(page, "Ada")).to_have_count(0)
    assert len(on_disk(page, "days")) == 2
    connect(phone)
    page.reload()
    expect_all_sent(page)
    page.reload()
    expect_tiles(page)
    expect(page.get_by_text("for 1 player.")).to_be_visible()
    expect_on_disk(page, "days", lambda days: len(days) == 1)
    held = [*on_disk(page, "days"), *on_disk(page, "kept")]
    assert [row for row in held if "Ada" in str(row)] == []
    assert not any(item["player"] == str(ada.player.pk) for item in on_disk(page, "items"))
    assert len(ada.shots()) == 1


@pytest.mark.console_allows("status of 404", "status of 503")
def test_a_player_whom_the_coach_loses_is_held_no_longer_and_what_waits_for_them_still_goes_out(two, phone, open_play):
    squad, ada = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    expect_all_sent(page)
    sync = re.compile("/sync/")
    phone.route(sync, lambda route: route.fulfill(status=503, json={"error": "resting"}))
    log(page, "Ada", "on it")
    log(page, "Robin", "on it")
    expect(waiting(page)).to_have_text("2 waiting to send")
    ada.player.archived_at = timezone.now()
    ada.player.save()
    page.reload()
    expect(page.get_by_text("for 1 player.")).to_be_visible()
    expect(tile(page, "Ada")).to_have_count(0)
    expect_on_disk(page, "days", lambda days: [day["player"] for day in days] == [str(squad.player.pk)])
    assert "Ada" not in str(on_disk(page, "kept"))
    expect(waiting(page)).to_have_text("2 waiting to send")
    phone.unroute(sync)
    page.reload()
    expect_all_sent(page)
    assert (len(squad.shots()), len(ada.shots())) == (1, 1)


@pytest.mark.console_allows("status of 404")
def test_who_is_a_coach_no_longer_holds_nobodys_day(two, phone, open_play):
    squad, _ = two
    page = open_play(phone, squad.coach)
    begin(page, "Robin Vale", "Ada Lund")
    expect_all_sent(page)
    squad.coach.memberships.all().delete()
    page.reload()
    expect(page.get_by_role("heading", name="Nobody to log for")).to_be_visible()
    expect_on_disk(page, "days", lambda days: days == [])


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
