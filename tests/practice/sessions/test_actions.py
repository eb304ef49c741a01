"""Storing shots: which revision wins, what is a duplicate, and what two requests at once do."""

import threading
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from practice.accounts.models import Device
from practice.clubs.models import ClubSetup
from practice.columns import ROWS_AT_ONCE
from practice.ids import uuid7
from practice.sessions.actions import resettle_setups, set_shot_aside, store_shots, take_shot_back_in
from practice.sessions.models import PracticeSession, Shot, ShotRevision
from tests import make

NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)
RECEIVED = NOON + timedelta(hours=6)


@pytest.fixture
def device(stage) -> Device:
    return stage.phone.device


@pytest.fixture
def entry(stage, device):
    """Make an entry of one and the same shot, on one device, at noon."""
    uid = uuid7()

    def make_one(**fields):
        own = {"uid": uid, "hit_at": NOON, "device": device, "running_number": 1}
        return make.make_entry(stage.club, stage.venue, **own | fields)

    return make_one


def store(stage, *entries, received_at=RECEIVED) -> list[str]:
    answers = store_shots(player=stage.player, entries=entries, source="phone", received_at=received_at)
    return [answer.result for answer in answers]


def test_a_shot_is_stored_with_its_values_session_and_setup(stage, entry):
    assert store(stage, entry(carry_m=47.5, label="morning")) == ["stored"]
    shot = Shot.objects.get()
    assert (shot.carry_m, shot.hit_at, shot.source, shot.academy) == (47.5, NOON, "phone", stage.player.academy)
    assert (shot.session.local_date, shot.session.venue, shot.session.label) == (
        date(2026, 5, 4),
        stage.venue,
        "morning",
    )
    assert shot.setup == stage.club.setups.get()


def test_the_same_sending_again_is_a_duplicate_in_one_batch_and_in_the_next(stage, entry):
    assert store(stage, entry(), entry(carry_m=1.0)) == ["stored", "duplicate"]
    assert store(stage, entry(carry_m=2.0)) == ["duplicate"]
    assert Shot.objects.get().carry_m == 48.0
    assert ShotRevision.objects.count() == 1


def test_a_shot_without_a_running_number_is_stored_once(stage, entry):
    imported = entry(device=None, running_number=None)
    assert store(stage, imported, imported) == ["stored", "duplicate"]
    assert store(stage, imported) == ["duplicate"]


def test_a_higher_revision_replaces_the_values_and_all_are_kept(stage, entry):
    store(stage, entry(carry_m=40.0))
    assert store(stage, entry(carry_m=44.0, revision=2, running_number=2)) == ["stored"]
    shot = Shot.objects.get()
    assert (shot.carry_m, shot.revision, shot.running_number) == (44.0, 2, 2)
    kept = shot.revisions.order_by("revision").values_list("values__carry_m", flat=True)
    assert list(kept) == [40.0, 44.0]


@pytest.mark.parametrize("in_one_batch", [True, False])
def test_a_lower_revision_that_comes_late_is_kept_but_does_not_become_current(stage, entry, in_one_batch):
    late = entry(carry_m=40.0)
    undone = entry(deleted=True, revision=3, running_number=3)
    correction = entry(carry_m=44.0, revision=2, running_number=2)
    if in_one_batch:
        assert store(stage, undone, late, correction) == ["stored"] * 3
    else:
        assert [store(stage, each) for each in (undone, late, correction)] == [["stored"]] * 3
    shot = Shot.objects.get()
    assert (shot.revision, shot.deleted, shot.running_number) == (3, True, 3)
    assert shot.revisions.count() == 3


def test_of_equal_revisions_from_two_phones_the_later_received_wins(stage, entry):
    other = Device.objects.create(user=stage.player.user, label="Tablet")
    store(stage, entry(carry_m=40.0))
    assert store(stage, entry(carry_m=41.0, device=other)) == ["stored"]
    assert Shot.objects.get().carry_m == 41.0
    assert Shot.objects.get().device == other


def test_the_first_phone_sending_again_does_not_win_back(stage, entry):
    other = Device.objects.create(user=stage.player.user, label="Tablet")
    assert store(stage, entry(carry_m=40.0), entry(carry_m=41.0, device=other), entry(carry_m=40.0))[-1] == "duplicate"
    assert Shot.objects.get().carry_m == 41.0


def test_a_correction_keeps_the_source_and_what_a_coach_set_aside(stage, entry):
    store(stage, entry())
    set_shot_aside(shot=Shot.objects.get(), by=make.make_staff(stage.player.academy), reason="other bay")
    store_shots(
        player=stage.player,
        entries=[entry(revision=2, running_number=2, carry_m=50.0)],
        source="api",
        received_at=RECEIVED,
    )
    shot = Shot.objects.get()
    assert (shot.source, shot.set_aside_reason, shot.carry_m) == ("phone", "other bay", 50.0)


def test_a_shot_is_never_hit_later_than_it_was_received(stage, entry):
    store(stage, entry(hit_at=RECEIVED + timedelta(days=400)))
    assert Shot.objects.get().hit_at == RECEIVED


def test_a_revision_that_loses_makes_no_session(stage, entry):
    store(stage, entry(revision=2))
    store(stage, entry(revision=1, running_number=2, hit_at=NOON - timedelta(days=3)))
    assert PracticeSession.objects.count() == 1


def test_the_local_date_is_that_of_the_venues_zone(stage, entry):
    east = make.make_range(stage.player.academy, default=False, time_zone="Pacific/Auckland")
    late = datetime(2026, 5, 4, 23, tzinfo=UTC)
    store_shots(
        player=stage.player,
        entries=[make.make_entry(stage.club, east, hit_at=late)],
        source="csv",
        received_at=RECEIVED + timedelta(days=1),
    )
    assert PracticeSession.objects.get().local_date == date(2026, 5, 5)


def test_a_shot_points_to_the_setup_that_held_on_its_day(stage, entry):
    bent = ClubSetup.objects.create(club=stage.club, loft_deg=54.0, valid_from=date(2026, 5, 4), reason="bent")
    store(stage, entry(), entry(uid=uuid7(), hit_at=NOON - timedelta(days=1)))
    assert [shot.setup == bent for shot in Shot.objects.in_order()] == [False, True]


def test_setups_that_change_later_take_their_shots_along(stage, entry):
    days = [NOON - timedelta(days=n) for n in range(4)]
    store(stage, *[entry(uid=uuid7(), hit_at=day) for day in days])
    first = stage.club.setups.get()
    bent = ClubSetup.objects.create(club=stage.club, loft_deg=54.0, valid_from=date(2026, 5, 2))
    again = ClubSetup.objects.create(club=stage.club, loft_deg=53.0, valid_from=date(2026, 5, 4))
    assert resettle_setups(club=stage.club) == 3
    assert [shot.setup for shot in Shot.objects.in_order()] == [first, bent, bent, again]
    assert resettle_setups(club=stage.club) == 0


def test_setting_aside_again_changes_nothing_and_back_in_undoes_it(stage, entry):
    store(stage, entry())
    coach = make.make_staff(stage.player.academy)
    set_shot_aside(shot=Shot.objects.get(), by=coach, reason="first")
    before = Shot.objects.get()
    set_shot_aside(shot=before, by=coach, reason="second")
    assert Shot.objects.get().set_aside_reason == "first"
    assert not Shot.objects.live().exists()
    for _ in range(2):
        take_shot_back_in(shot=before)
        assert Shot.objects.live().get().set_aside_by is None


@pytest.mark.parametrize("held", [False, True], ids=["new", "corrections"])
def test_the_statements_for_a_batch_grow_only_with_what_one_statement_holds(stage, entry, held):
    uids = [uuid7() for _ in range(200)]
    store(stage, entry(uid=uuid7()))  # its session is there from now on
    if held:
        store(stage, *[entry(uid=uid) for uid in uids])

    def statements(n: int, revision: int) -> int:
        entries = [entry(uid=uid, revision=revision, running_number=revision) for uid in uids[:n]]
        with CaptureQueriesContext(connection) as captured:
            assert store(stage, *entries) == ["stored"] * n
        Shot.objects.filter(player=stage.player).exclude(uid__in=uids if held else []).delete()
        return len(captured)

    extra = 2 * (200 // ROWS_AT_ONCE - 1)  # inserts into two tables, so many rows in each
    assert statements(200, 3) <= statements(2, 4) + extra


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("stored_before", [False, True])
def test_two_requests_with_the_same_shots_at_once_store_each_once(stage, entry, stored_before):
    uids = [uuid7() for _ in range(10)]
    if stored_before:
        store(stage, *[entry(uid=uid) for uid in uids])
    entries = [entry(uid=uid, revision=2, running_number=2) for uid in uids]
    start, results = threading.Barrier(2), []

    def send():
        try:
            start.wait(timeout=30)
            results.append(store(stage, *entries))
        finally:
            connection.close()

    threads = [threading.Thread(target=send) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(results) == [["duplicate"] * 10, ["stored"] * 10]
    assert Shot.objects.count() == 10


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_a_second_request_for_a_player_waits_until_the_first_is_through(stage, entry):
    results = []

    def send():
        try:
            results.extend(store(stage, entry()))
        finally:
            connection.close()

    second = threading.Thread(target=send)
    with transaction.atomic():
        store(stage, entry())
        second.start()
        while not waiting_for_a_lock():
            assert second.is_alive()
    second.join()
    assert results == ["duplicate"]


def waiting_for_a_lock() -> bool:
    # not pg_stat_activity: inside a transaction it shows the same picture again and again
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM pg_locks WHERE NOT granted")
        return cursor.fetchone()[0] > 0


def test_what_is_stored_was_received_now(stage, entry):
    now = timezone.now()
    store(stage, entry(), received_at=now)
    shot = Shot.objects.get()
    assert (shot.received_at, shot.changed_at, shot.revisions.get().received_at) == (now, now, now)
