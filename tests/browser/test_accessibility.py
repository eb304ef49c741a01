"""axe finds nothing wrong with any page of the site, in light and in dark, and no page breaks the content policy.

The pages are those of the litany, so that a new one is visited too: every view that answers GET, about somebody of
whom there is something to show, and every page that answers a POST. The phone's own pages are in test_phone_axe.py.
"""

from dataclasses import dataclass, replace

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from practice.accounts.actions import make_sign_in_link, redeem_sign_in_link
from practice.accounts.models import Academy, Device, Role, User
from practice.clubs.models import ClubSetup
from practice.drills.actions import drills_of
from practice.drills.kinds import KINDS
from practice.ids import uuid7
from practice.planner.actions import start_next_version
from practice.planner.feeds import make_feed
from practice.planner.models import Block
from practice.planner.weeks import monday_of
from practice.players.models import Player
from practice.sessions.demo import people
from practice.sessions.demo.load import load_demo
from practice.sessions.models import Shot
from practice.venues.models import Bay
from tests.browser.axe import axe_faults
from tests.browser.conftest import DESK, PHONE
from tests.browser.phone import sign_in
from tests.practice.litany import Row, all_rows, make_cast, nothing, views

pytestmark = [
    pytest.mark.django_db(transaction=True),
    # what the browser says of every page of an answer that is no success
    pytest.mark.console_allows("status of 4", "status of 500"),
]

ROWS = all_rows()
PATTERNS = dict(views())


@dataclass(frozen=True)
class House:
    """The demonstration with one player's season."""

    people: dict[str, User]
    parts: dict
    """What each part of an address stands for."""

    def address(self, view: str) -> str:
        """Return where the view is about the player, their academy, or what is theirs."""
        return reverse(view, kwargs={part: self.parts[part] for part in PATTERNS[view].pattern.converters})

    def is_page(self, role: str, address: str) -> bool:
        """Tell whether this role gets a page there, and neither JSON nor a script."""
        client = Client()
        if role in self.people:
            client.force_login(self.people[role])
        return client.get(address)["Content-Type"].startswith("text/html")


@pytest.fixture
def house(monkeypatch) -> House:
    golfer = next(golfer for golfer in people.GOLFERS if golfer.bent_in_week)
    monkeypatch.setattr(people, "GOLFERS", [replace(golfer, email="golfer@example.org", balls_a_visit=30)])
    load_demo(today=timezone.now().date())
    player = Player.objects.get()
    staff = {role: User.objects.get(memberships__role=role) for role in (Role.OWNER.value, Role.COACH.value)}
    return House(staff | {"player": player.user}, parts_of(player, staff["coach"]))


def parts_of(player: Player, coach: User) -> dict:
    """Return what each part of an address stands for: of each kind one of which there is much to show."""
    monday = monday_of(timezone.now().date())
    draft = start_next_version(player=player, monday=monday, made_by=coach)
    bent = ClubSetup.objects.exclude(valid_from=None).get()
    bay = Bay.objects.first()
    assigned = Block.objects.to_do().filter(plan__player=player).exclude(balls=None).last()
    Device.objects.create(user=player.user, label="Phone")
    return {
        "player": player.pk,
        "monday": monday.isoformat(),
        "plan": draft.pk,
        "block": draft.blocks.first().pk,
        "shot": Shot.objects.live().first().uid,
        "club": bent.club_id,
        "valid_from": bent.valid_from.isoformat(),
        "venue": bay.tee_line.venue_id,
        "line": bay.tee_line_id,
        "bay": bay.pk,
        "target": bay.tee_line.targets.first().pk,
        "drill": drills_of(player.academy)[0].pk,
        "academy": player.academy_id,
        "user": coach.pk,
        "week": assigned.plan_id,
        "asked": assigned.pk,
        "secret": make_feed(player=player, made_by=coach)[1],
        "token": make_sign_in_link(academy=player.academy, user=player.user, made_by=coach)[1],
    }


# --- which pages


def shown_to(role: str) -> set[str]:
    """Return the views that show this role something."""
    return {row.view for row in ROWS if row.method == "get" and row.status_for(role) == 200}


VISITS = {
    "coach": shown_to("coach"),
    # the other pages are the same for both
    "owner": shown_to("owner") - shown_to("coach") | {"players:roster"},
    "player": shown_to("player"),
    "signed_out": shown_to("signed_out") | {"accounts:enter"},
}
DEVICES = {"coach": DESK, "owner": DESK, "player": PHONE, "signed_out": PHONE}


def test_every_view_that_shows_something_is_visited():
    shown = {row.view for row in ROWS if row.method == "get" and row.works < 300}
    assert shown - set.union(*VISITS.values()) == set()


ANSWERED_BY_A_PAGE = (200, 404, 409, 410, 422)


def posts(role: str) -> list[tuple[Row, bool]]:
    """Return the rows whose POST this role gets a page from, and whether with the row's data or with an empty form."""
    rows = [row for row in ROWS if row.method == "post" and not row.headers]
    if role == "owner":
        rows = [row for row in rows if row.status_for("coach") == 403]
    empty = [row for row in rows if row.status_for(role) == 302 and row.data is not nothing and role != "signed_out"]
    return [(row, True) for row in rows if row.status_for(role) in ANSWERED_BY_A_PAGE] + [(row, False) for row in empty]


# --- the walk

SEND = """([address, fields]) => {
  const form = document.createElement("form");
  Object.assign(form, { method: "post", action: address, hidden: true });
  for (const [name, value] of Object.entries(fields)) {
    form.append(Object.assign(document.createElement("input"), { name, value }));
  }
  document.body.append(form);
  form.submit();
}"""


@pytest.fixture
def enter(open_context, live_server, house):
    """Return a function that signs a role in on its device and opens a page there."""

    def enter(role: str):
        context = open_context(**DEVICES[role])
        if role in house.people:
            sign_in(context, live_server, house.people[role])
        page = context.new_page()
        page.goto(f"{live_server.url}/sign-in/")
        return page

    return enter


def send(page, address: str, fields: dict) -> int:
    """Post a form to an address of the site and return the status of the answer."""
    tokens = [cookie["value"] for cookie in page.context.cookies() if cookie["name"] == settings.CSRF_COOKIE_NAME]
    fields = {"csrfmiddlewaretoken": tokens[0]} | {name: str(value) for name, value in fields.items()}
    with page.expect_navigation() as navigation:
        page.evaluate(SEND, [address, fields])
    return navigation.value.status


@pytest.mark.parametrize("role", VISITS)
def test_axe_finds_nothing_wrong_with_what_is_shown_to(role, house, enter, live_server):
    page = enter(role)
    faults = []
    for view in sorted(VISITS[role]):
        address = house.address(view)
        if house.is_page(role, address):
            assert page.goto(live_server.url + address).status == 200, view
            faults += axe_faults(page)
    assert faults == [], "\n".join(faults)


@pytest.mark.parametrize("role", ["coach", "owner", "signed_out"])
def test_axe_finds_nothing_wrong_with_what_answers_a_form_of(role, open_context, live_server):
    context = open_context(**DEVICES[role])
    page = context.new_page()
    faults = []
    for row, whole in posts(role):
        # a row's makers count on a database with nobody else in it
        Academy.objects.all().delete()
        cast = make_cast()
        if role != "signed_out":
            sign_in(context, live_server, getattr(cast, role))
        page.goto(f"{live_server.url}/devices/")
        address = reverse(row.view, kwargs=row.address(cast))
        status = send(page, address, row.data(cast) if whole else {})
        assert status == row.status_for(role) or not whole, row
        faults += axe_faults(page)
    assert faults == [], "\n".join(faults)


def test_axe_finds_nothing_wrong_with_drawn_balls(house, enter, live_server):
    page, faults = enter("coach"), []
    for kind in ("random_target", "strike_check", "check_day", "free"):
        page.goto(live_server.url + house.address("planner:add_block"))
        if kind != "random_target":  # which is chosen already
            page.get_by_label("Drill").select_option(label=KINDS[kind].title)
        page.get_by_text(KINDS[kind].instructions).wait_for()
        page.get_by_role("button", name="Draw the balls").click()
        page.get_by_role("button", name="Put into the week").wait_for()
        faults += axe_faults(page)
    assert faults == [], "\n".join(faults)


def test_axe_finds_nothing_wrong_with_pages_that_say_no(house, enter, live_server, monkeypatch):
    at_desk, at_range = enter("coach"), enter("player")
    faults = []

    def look(page, view, status, **parts):
        assert page.goto(live_server.url + reverse(view, kwargs=parts)).status == status
        faults.extend(axe_faults(page))

    look(at_range, "players:roster", 403)
    look(at_desk, "players:player", 404, player=uuid7())
    redeem_sign_in_link(token=house.parts["token"], nonce="x" * 43, label="Phone")
    look(at_desk, "accounts:enter", 410, token=house.parts["token"])
    monkeypatch.setattr("practice.players.views.roster_lines", None)
    look(at_desk, "players:roster", 500)
    assert faults == [], "\n".join(faults)
