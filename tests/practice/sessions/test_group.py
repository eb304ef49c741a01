"""A coach's device logs for the players of the squad: what is taken, who entered it, and who may change it again."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from practice.accounts.models import Membership, Role
from practice.ids import uuid7
from practice.planner.models import WeekPlan
from practice.sessions.done import TOLD
from practice.sessions.items import KINDS
from practice.sessions.models import PainStop, Shot, ShotRevision, Visit
from tests import make
from tests.practice.sessions.phone import Phone
from tests.practice.sessions.plan import make_block
from tests.practice.sessions.stage import Stage, make_stage
from tests.practice.sessions.sync.examples import EXAMPLES, corrected, item_of, told

WORK = reverse("practice_sessions:work")
NOT_YOURS = "This is not your player. Sign in as the player who made this entry."
BALL_ELSEWHERE = "This ball was entered on the player's phone. Only there can it be corrected."
ELSEWHERE = "This was entered on the player's phone. Only there can it be changed."

of_every_kind = pytest.mark.parametrize("kind", KINDS)


@pytest.fixture
def coach(stage):
    return make.make_staff(stage.player.academy)


@pytest.fixture
def tablet(stage, coach) -> Phone:
    """The coach's device; what it makes is for the stage's player unless it says otherwise."""
    return Phone(stage.player, user=coach)


def at(phone: Phone, stage: Stage) -> Stage:
    """Return the stage with another device in hand."""
    return Stage(stage.player, stage.club, stage.venue, phone)


def the_row(kind: str, **lookup):
    return EXAMPLES[kind].model.objects.get(**lookup)


def undone(phone: Phone, item: dict, revision: int = 2) -> dict:
    """Return an item undone on a device."""
    return item | {
        "revision": revision,
        "deleted": True,
        "device": str(phone.device.pk),
        "number": next(phone.numbers),
    }


# --- what is taken


@of_every_kind
def test_a_coach_enters_every_kind_of_item_for_a_player(stage, tablet, kind):
    item = item_of(at(tablet, stage), kind)
    assert tablet.results(item, item) == ["stored", "duplicate"]
    row = the_row(kind)
    assert (row.player, row.academy, row.device) == (stage.player, stage.player.academy, tablet.device)
    assert told(row, item["values"]) == item["values"]


def test_who_entered_a_ball_is_kept_with_every_value_of_it(stage, coach, tablet):
    shot = tablet.shot(stage.club)
    tablet.send(shot)
    stage.phone.send(corrected(stage, shot, revision=2, device=str(stage.phone.device.pk)))
    revisions = ShotRevision.objects.order_by("revision").values_list("revision", "made_by", "device")
    assert list(revisions) == [
        (1, coach.pk, tablet.device.pk),
        (2, stage.player.user.pk, stage.phone.device.pk),
    ]


@pytest.mark.parametrize("role", [Role.OWNER, Role.COACH])
def test_a_player_without_a_sign_in_is_logged_by_the_staff(stage, role):
    junior = make.make_player(stage.player.academy)
    device = Phone(junior, user=make.make_staff(stage.player.academy, role=role))
    assert device.results(device.shot(make.make_club(junior))) == ["stored"]
    assert Shot.objects.get().player == junior


def test_eight_players_are_logged_in_one_delivery_each_with_the_own_visit_of_one_id(stage, coach, tablet):
    stages = [stage, *(make_stage(stage.player.academy) for _ in range(7))]
    uid = str(uuid7())
    items = []
    for each in stages:
        player = {"player": str(each.player.pk)}
        items.append(tablet.item("visit", {"venue": str(stage.venue.pk)}, id=uid, **player))
        items.append(tablet.shot(each.club, item=player, visit=uid))
    assert tablet.results(*items) == ["stored"] * 16
    assert {shot.player: shot.visit.player for shot in Shot.objects.all()} == {s.player: s.player for s in stages}
    assert Visit.objects.filter(uid=uid, venue=stage.venue).count() == 8


def test_what_was_hit_by_a_player_who_left_the_roster_meanwhile_is_not_lost(stage, tablet):
    shot = tablet.shot(stage.club)
    stage.player.archive()
    assert tablet.results(shot) == ["stored"]


def test_a_coachs_entry_on_the_players_device_is_not_the_coachs(stage, tablet):
    shot = tablet.shot(stage.club, item={"device": str(stage.phone.device.pk)})
    assert tablet.reason(shot).startswith("This phone is not known under your sign-in.")


# --- what is not theirs


@of_every_kind
def test_the_coach_of_another_academy_touches_nothing(stage, kind):
    item = item_of(stage, kind)
    stage.phone.send(item)
    there = make.make_academy()
    outsider = Phone(stage.player, user=make.make_staff(there))
    for each in (item_of(at(outsider, stage), kind), undone(outsider, item)):
        assert outsider.reason(each) == NOT_YOURS
    row = the_row(kind)
    assert (row.revision, row.deleted, row.device) == (1, False, stage.phone.device)


def test_a_coach_who_left_the_academy_enters_nothing_more(stage, coach, tablet):
    shot = tablet.shot(stage.club)
    coach.memberships.all().delete()
    assert tablet.reason(shot) == NOT_YOURS
    assert not Shot.objects.exists()


def test_a_player_enters_nothing_for_a_team_mate(stage):
    mate = make.make_player(stage.player.academy, signs_in=True)
    phone = Phone(stage.player, user=mate.user)
    assert phone.reason(phone.shot(stage.club)) == NOT_YOURS


def test_of_a_player_at_two_academies_a_coach_reaches_the_one_who_is_theirs(stage, tablet):
    elsewhere = make.make_player(make.make_academy())
    elsewhere.user = stage.player.user
    elsewhere.save()
    club = make.make_club(elsewhere)
    items = [tablet.shot(stage.club), tablet.shot(club, item={"player": str(elsewhere.pk)})]
    assert tablet.results(*items) == ["stored", "rejected"]
    assert [shot.player for shot in Shot.objects.all()] == [stage.player]
    assert [player["id"] for player in tablet.client.get(WORK).json()["me"]["squad"]] == [str(stage.player.pk)]
    assert tablet.client.get(WORK, {"player": str(elsewhere.pk)}).status_code == 404


def test_a_club_of_another_player_is_not_hit_with(stage, tablet):
    mates_club = make.make_club(make.make_player(stage.player.academy))
    assert tablet.reason(tablet.shot(mates_club)).startswith("This club is not in your bag any more.")


# --- who may change it


@of_every_kind
def test_a_coach_corrects_and_undoes_what_was_entered_on_the_coachs_devices(stage, coach, tablet, kind):
    item = item_of(at(tablet, stage), kind)
    tablet.send(item)
    second = Phone(stage.player, user=coach)
    again = corrected(at(tablet, stage), item, revision=2, device=str(second.device.pk))
    assert second.results(again) == ["stored"]
    assert told(the_row(kind), item["values"]) == again["values"]
    assert tablet.results(undone(tablet, again, revision=3)) == ["stored"]
    assert the_row(kind).deleted


@of_every_kind
def test_a_coach_does_not_change_what_was_entered_on_the_players_phone(stage, tablet, kind):
    item = item_of(stage, kind)
    stage.phone.send(item)
    said = BALL_ELSEWHERE if kind == "shot" else ELSEWHERE
    changes = [
        corrected(at(tablet, stage), item, revision=2, device=str(tablet.device.pk)),
        corrected(at(tablet, stage), item, revision=1, device=str(tablet.device.pk), number=10**15),
        undone(tablet, item),
        undone(tablet, item, revision=9),
    ]
    for answer in tablet.send(*changes):
        assert (answer["result"], answer["reason"]) == ("rejected", said)
    row = the_row(kind)
    assert (row.revision, row.deleted, row.device) == (1, False, stage.phone.device)
    assert told(row, item["values"]) == item["values"]


def test_a_rejected_change_leaves_no_trace_in_the_history_of_the_ball(stage, tablet):
    shot = stage.phone.shot(stage.club)
    stage.phone.send(shot)
    tablet.send(undone(tablet, shot), undone(tablet, shot, revision=1))
    assert ShotRevision.objects.get().made_by == stage.player.user


def test_one_coach_does_not_change_what_another_one_entered(stage, tablet):
    shot = tablet.shot(stage.club)
    tablet.send(shot)
    other = Phone(stage.player, user=make.make_staff(stage.player.academy))
    assert other.reason(undone(other, shot)) == BALL_ELSEWHERE


def test_a_coach_does_not_change_what_was_read_in_from_a_file(stage, tablet):
    held = make.make_shot(stage.club, stage.venue)
    again = tablet.shot(stage.club, item={"id": str(held.uid), "revision": 2})
    assert tablet.reason(again) == BALL_ELSEWHERE
    assert stage.phone.results(stage.phone.shot(stage.club, item={"id": str(held.uid), "revision": 2})) == ["stored"]


def test_a_pain_stop_of_the_player_stands_until_the_player_takes_it_back(stage, tablet):
    stop = stage.phone.item("stop", {})
    stage.phone.send(stop)
    assert tablet.reason(undone(tablet, stop)) == ELSEWHERE
    assert not PainStop.objects.get().deleted
    assert stage.phone.results(undone(stage.phone, stop)) == ["stored"]


@of_every_kind
def test_a_player_corrects_what_a_coach_entered_and_from_then_on_it_is_the_players(stage, tablet, kind):
    item = item_of(at(tablet, stage), kind)
    tablet.send(item)
    again = corrected(stage, item, revision=2, device=str(stage.phone.device.pk))
    assert stage.phone.results(again) == ["stored"]
    row = the_row(kind)
    assert (row.revision, row.device) == (2, stage.phone.device)
    assert told(row, item["values"]) == again["values"]
    assert tablet.results(undone(tablet, again, revision=3)) == ["rejected"]


@of_every_kind
def test_what_the_coach_sends_again_after_the_player_corrected_it_is_a_duplicate_as_ever(stage, tablet, kind):
    item = item_of(at(tablet, stage), kind)
    tablet.send(item)
    stage.phone.send(corrected(stage, item, revision=2, device=str(stage.phone.device.pk)))
    assert tablet.results(item) == ["duplicate"]
    assert the_row(kind).revision == 2


@of_every_kind
def test_a_coach_who_is_also_a_player_changes_everything_of_their_own(stage, coach, kind):
    own = make_stage(stage.player.academy)
    own.player.user = coach
    own.player.save()
    first = Phone(own.player, user=coach)
    item = item_of(at(first, own), kind)
    other = Phone(own.player, user=make.make_staff(stage.player.academy))
    entered_for = item_of(at(other, own), kind)
    assert first.results(item) == other.results(entered_for) == ["stored"]
    assert first.results(undone(first, item), undone(first, entered_for)) == ["stored", "stored"]


@pytest.mark.parametrize("kind", [kind for kind, made in KINDS.items() if "visit" in made.schema])
def test_a_visit_that_comes_after_what_was_done_on_it_is_the_coachs_own(stage, tablet, kind):
    visit = tablet.item("visit", {"venue": str(stage.venue.pk)})
    tablet.send(item_of(at(tablet, stage), kind, {"visit": visit["id"]}))
    assert tablet.results(visit) == ["stored"]
    assert Visit.objects.get().revision == 1


# --- what the coach's device is told


def this_week():
    today = timezone.now().date()
    return today - timedelta(days=today.weekday())


def test_the_work_of_a_player_of_the_squad_is_told_to_the_coach(stage, tablet):
    block = make_block(stage, monday=this_week())
    for wanted in (stage.phone, tablet):
        told_to = wanted.client.get(WORK, {"player": str(stage.player.pk)}).json()
        assert told_to["player"]["id"] == str(stage.player.pk)
        assert [each["id"] for each in told_to["blocks"]] == [str(block.pk)]
    assert tablet.client.get(WORK).json()["player"] is None


def test_a_coach_who_is_also_a_player_opens_with_the_own_work_and_names_the_others(stage, coach, tablet):
    own = make.make_player(make.make_academy())
    own.user = coach
    own.save()
    told_to = tablet.client.get(WORK).json()
    assert told_to["player"]["id"] == str(own.pk)
    assert [player["id"] for player in told_to["me"]["players"]] == [str(own.pk)]
    assert [player["id"] for player in told_to["me"]["squad"]] == [str(stage.player.pk)]
    assert tablet.client.get(WORK, {"player": str(stage.player.pk)}).status_code == 200


def test_the_squad_is_that_of_every_academy_where_one_is_on_the_staff_and_of_no_other(stage, coach, tablet):
    second, third = make.make_academy(), make.make_academy()
    Membership.objects.create(academy=second, user=coach, role=Role.OWNER)
    Membership.objects.create(academy=third, user=coach, role=Role.PLAYER)
    theirs = make.make_player(second, "Anna")
    unseen = make.make_player(third, "Bert")
    squad = tablet.client.get(WORK).json()["me"]["squad"]
    assert squad == [
        {"id": str(theirs.pk), "name": "Anna"},
        {"id": str(stage.player.pk), "name": stage.player.name},
    ]
    assert tablet.client.get(WORK, {"player": str(unseen.pk)}).status_code == 404


@pytest.mark.parametrize("who", ["outsider", "team mate", "a coach of a player who left"])
def test_the_work_of_a_player_who_is_not_in_the_squad_is_not_there(stage, coach, who):
    users = {
        "outsider": lambda: make.make_staff(make.make_academy()),
        "team mate": lambda: make.make_player(stage.player.academy, signs_in=True).user,
        "a coach of a player who left": lambda: coach,
    }
    phone = Phone(stage.player, user=users[who]())
    if phone.device.user == coach:
        stage.player.archive()
    response = phone.client.get(WORK, {"player": str(stage.player.pk)})
    assert (response.status_code, response.json()["error"]) == (404, "no_player")


def test_the_device_is_told_which_entries_it_may_correct(stage, coach, tablet):
    balls = [str(ball.pk) for ball in make_block(stage, monday=this_week()).balls.all()]
    entered, own, taken_over = (
        tablet.shot(stage.club, ball=balls[0]),
        stage.phone.shot(stage.club, ball=balls[1]),
        tablet.shot(stage.club, ball=balls[2]),
    )
    tablet.send(entered, taken_over)
    stage.phone.send(own, corrected(stage, taken_over, revision=2, device=str(stage.phone.device.pk)))

    def may_correct(phone: Phone) -> list[bool]:
        shots = phone.client.get(WORK, {"player": str(stage.player.pk)}).json()["shots"]
        return [{shot["id"]: shot["may_correct"] for shot in shots}[each["id"]] for each in (entered, own, taken_over)]

    assert may_correct(tablet) == [True, False, False]
    assert may_correct(Phone(stage.player, user=coach)) == [True, False, False]
    assert may_correct(Phone(stage.player, user=make.make_staff(stage.player.academy))) == [False] * 3
    assert may_correct(stage.phone) == [True] * 3


TOLD_AS = {
    "visit": "visit",
    "shot": "shots",
    "skip": "skips",
    "stop": "stops",
    "eye_check": "guesses",
    **dict.fromkeys(TOLD, "items"),
}
"""Where in work.json each kind comes back."""


@pytest.mark.parametrize("kind", TOLD_AS)
def test_of_every_kind_it_is_told_whether_the_device_may_correct_it(stage, tablet, kind):
    make_block(stage, monday=this_week())
    now = timezone.now().isoformat()
    item = item_of(stage, kind, at=now)
    if kind == "shot":
        item["values"]["ball"] = item_of(stage, "skip")["values"]["ball"]

    def may_correct(phone: Phone) -> bool:
        found = phone.client.get(WORK, {"player": str(stage.player.pk)}).json()[TOLD_AS[kind]]
        found = found[kind] if isinstance(found, dict) and kind in found else found
        (row,) = found if isinstance(found, list) else [found]
        assert row["id"] == item["id"]
        return row["may_correct"]

    tablet.send(item | {"device": str(tablet.device.pk)})
    assert (may_correct(tablet), may_correct(stage.phone)) == (True, True)
    stage.phone.send(corrected(stage, item, revision=2))
    assert (may_correct(tablet), may_correct(stage.phone)) == (False, True)


def test_of_every_kind_work_tells_who_may_correct_it():
    assert TOLD_AS.keys() == KINDS.keys()


# --- what it costs


def statements(phone: Phone, *items) -> int:
    with CaptureQueriesContext(connection) as captured:
        phone.send(*items)
    return len(captured)


@of_every_kind
def test_what_a_coach_may_change_is_asked_once_a_delivery_whatever_is_in_it(stage, tablet, kind):
    phone = {"device": str(stage.phone.device.pk)}

    def sent(count: int) -> list[dict]:
        """Return as many changes of the player's entries, of the coach's own, and of those the player took over."""
        own, taken, theirs = ([item_of(at(tablet, stage), kind) for _ in range(count)] for _ in range(3))
        tablet.send(*own, *taken)
        stage.phone.send(*(item | phone for item in theirs))
        stage.phone.send(*(corrected(stage, item, revision=2, **phone) for item in taken))
        return [corrected(at(tablet, stage), item, revision=3) for item in theirs + own] + taken

    few, many = sent(2), sent(12)
    assert statements(tablet, *many) <= statements(tablet, *few)


def test_the_statements_of_the_handshake_do_not_grow_with_the_squad(stage, coach, tablet):
    def asked() -> int:
        with CaptureQueriesContext(connection) as captured:
            tablet.client.get(WORK, {"player": str(stage.player.pk)})
        return len(captured)

    few = asked()
    for _ in range(10):
        make.make_player(stage.player.academy)
    assert len(tablet.client.get(WORK).json()["me"]["squad"]) == 11
    assert asked() == few


def test_a_week_withdrawn_while_the_coach_was_offline_keeps_what_was_entered(stage, tablet):
    ball = make_block(stage, monday=this_week()).balls.first()
    WeekPlan.objects.update(state="withdrawn", withdrawn_at=timezone.now())
    assert tablet.results(tablet.shot(stage.club, ball=str(ball.pk))) == ["stored"]
    assert Shot.objects.get().ball == ball
