"""Rows written as columns stand in the table as if Django had saved each."""

from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from practice.accounts.access import insert_of
from practice.columns import ROWS_AT_ONCE, insert_columns, update_columns
from practice.ids import uuid7
from practice.sessions.models import Shot, ShotRevision
from tests import make

NOW = timezone.now()


@pytest.fixture
def shot(db) -> Shot:
    player = make.make_player(make.make_academy())
    return make.make_shot(make.make_club(player), make.make_range(player.academy), carry_m=48.0, hit_at=NOW)


def columns_like(shot: Shot, count: int) -> dict[str, list]:
    """Return the columns of so many shots that are like this one but for their id."""
    names = {field.attname for field in Shot._meta.concrete_fields} - {"id", "uid"}
    columns = {name: [getattr(shot, name)] * count for name in names}
    return columns | {"uid": [uuid7() for _ in range(count)]}


def test_a_row_given_as_columns_is_read_back_like_one_that_was_saved(shot):
    insert_columns(Shot, columns_like(shot, 1))
    saved, inserted = Shot.objects.order_by("pk").values()
    assert inserted | {"id": saved["id"], "uid": saved["uid"]} == saved


def test_the_keys_come_back_in_the_order_of_the_rows_however_many_there_are(shot):
    columns = columns_like(shot, 2 * ROWS_AT_ONCE + 1)
    pks = insert_columns(Shot, columns)
    assert [Shot.objects.get(pk=pk).uid for pk in pks] == columns["uid"]


def test_what_is_not_given_has_its_default(shot):
    columns = columns_like(shot, 2)
    del columns["seen"], columns["contact"], columns["set_aside_at"], columns["changed_at"]
    rows = Shot.objects.filter(pk__in=insert_columns(Shot, columns))
    assert {(row.seen, row.contact, row.set_aside_at) for row in rows} == {(True, "", None)}
    assert all(row.changed_at >= NOW for row in rows)


def test_objects_of_json_are_kept(shot):
    columns = {"shot_id": [shot.pk] * 2, "revision": [7, 8], "values": [{"carry_m": 1.5}, {"swing": "9:00"}]}
    insert_of(ShotRevision, shot, columns)
    kept = shot.revisions.filter(revision__gte=7).order_by("revision")
    assert [row.values for row in kept] == columns["values"]


def test_rows_take_the_academy_of_their_owner(shot):
    columns = columns_like(shot, 1) | {"academy_id": [make.make_academy("Other").pk]}
    [pk] = insert_of(Shot, shot.player, columns)
    assert Shot.objects.get(pk=pk).academy == shot.player.academy


def test_the_database_refuses_what_it_would_refuse_of_a_saved_row(shot, transactional_db):
    with pytest.raises(IntegrityError):
        insert_columns(Shot, columns_like(shot, 1) | {"carry_m": [-1.0]})


def test_columns_of_rows_that_are_there_are_set_and_nothing_else(shot):
    pks = insert_columns(Shot, columns_like(shot, 2))
    update_columns(Shot, pks, {"carry_m": [10.0, 20.0], "contact": ["", "fat"]})
    rows = Shot.objects.order_by("pk").values_list("carry_m", "contact", "swing")
    assert list(rows) == [(48.0, "", shot.swing), (10.0, "", shot.swing), (20.0, "fat", shot.swing)]


def test_a_moment_without_its_zone_is_refused(shot):
    with pytest.raises(ValueError, match="has no time zone"):
        insert_columns(Shot, columns_like(shot, 1) | {"hit_at": [NOW.replace(tzinfo=None)]})


def test_a_moment_of_any_zone_is_kept(shot):
    there = NOW.astimezone(ZoneInfo("Pacific/Auckland"))
    [pk] = insert_columns(Shot, columns_like(shot, 1) | {"hit_at": [there]})
    assert Shot.objects.get(pk=pk).hit_at == NOW


def test_fifty_rows_take_one_statement(shot):
    with CaptureQueriesContext(connection) as queries:
        insert_columns(Shot, columns_like(shot, ROWS_AT_ONCE))
    assert len(queries) == 1
