"""A coach's device that logs for several players: one visit, tiles by name, own blocks or a shared one."""

import re

import pytest
from playwright.sync_api import expect

from practice.planner.models import Ball
from practice.sessions.models import PainStop, Shot, ShotRevision, SkippedBall, Visit
from tests.browser.axe import axe_faults
from tests.browser.conftest import PHONE
from tests.browser.phone import YARD_M, Cast, button, expect_all_sent, expect_ball, sign_in
from tests.make import make_academy, make_club, make_player, make_staff

pytestmark = pytest.mark.django_db(transaction=True)

NO_NETWORK = pytest.mark.console_allows("ERR_FAILED", "ERR_INTERNET_DISCONNECTED")
DATA = re.compile(r"/play/(me|work)\.json|/sync/")
STORED = """(store) => new Promise((resolve) => {
    indexedDB.open("practice-ledger").onsuccess = ({ target }) => {
        const all = target.result.transaction(store).objectStore(store).getAll();
        all.onsuccess = () => { target.result.close(); resolve(all.result); };
    };
})"""


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


def cut_off(context):
    context.route(DATA, lambda route: route.abort())


def connect(context):
    context.unroute(DATA)


def test_a_coach_chooses_players_begins_one_visit_for_all_and_taps_name_and_result(two, phone, open_play):
    squad, ada = two
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
