"""A read whose SQL is made once gives what its queryset gives."""

from datetime import date

import pytest
from django.db import connection

from practice.clubs.models import Club
from practice.ids import uuid7
from practice.players.models import Player
from practice.sessions.models import PracticeSession
from practice.statements import Statement
from tests.make import make_academy, make_club, make_player, make_range

pytestmark = pytest.mark.django_db


@pytest.fixture
def player() -> Player:
    return make_player(make_academy(), "Ada Brook")


@pytest.fixture
def clubs(player) -> list[Club]:
    other = make_player(player.academy, "Kim Sand")
    return [*(make_club(player, label) for label in ("46", "50", "54", "58", "60")), make_club(other, "56")]


CLUBS = Statement(lambda player, clubs: Club.objects.filter(player=player, pk__in=clubs).exclude(kind="putter"))


@pytest.mark.parametrize("count", [1, 2, 3, 5, 6])
def test_it_reads_what_the_queryset_reads(player, clubs, count):
    some = clubs[-count:]
    asked = [club.pk for club in some]
    for _ in range(2):
        assert CLUBS.by_key(player.pk, asked) == CLUBS.build(player.pk, asked).in_bulk()
    assert CLUBS.by_key(player.pk, set(asked)).keys() == {club.pk for club in some if club.player_id == player.pk}


def test_each_reading_has_the_rows_of_its_own_time(player, clubs):
    pk = clubs[0].pk
    assert CLUBS.by_key(player.pk, [pk])[pk].carried
    Club.objects.filter(pk=pk).update(carried=False)
    assert not CLUBS.by_key(player.pk, [pk])[pk].carried
    assert CLUBS.rows(player.pk, [uuid7()]) == []
    assert CLUBS.rows(uuid7(), [pk]) == []


def told(row: Club | Player | None) -> dict | None:
    """Return all that a row holds, also of the rows that came with it and of its standing in the database."""
    if row is None:
        return None
    held = {name: value for name, value in vars(row).items() if name != "_state"}
    came_with_it = {name: told(other) for name, other in row._state.fields_cache.items()}
    return held | {"adding": row._state.adding, "db": row._state.db, "came with it": came_with_it}


@pytest.mark.parametrize("left_out", [["kind"], ["player__name", "player__user__email", "label"]])
def test_a_row_holds_what_djangos_own_holds(clubs, left_out):
    """With a user that came with some rows and that others have none of."""
    signed_in = make_club(make_player(clubs[0].academy, "Rob Bank", signs_in=True), "60")
    read = Statement(
        lambda clubs: (
            Club.objects.filter(pk__in=clubs)
            .select_related("player__user", "player__academy")
            .defer(*left_out)
            .order_by("label", "pk")
        )
    )
    asked = [*(club.pk for club in clubs), signed_in.pk]
    rows = read.rows(asked)
    assert [told(row) for row in rows] == [told(row) for row in read.build(asked)]
    assert [row.player.user for row in rows].count(None) == len(clubs)


def test_what_was_not_read_is_read_when_it_is_asked_for_and_a_row_can_be_saved(clubs, django_assert_num_queries):
    read = Statement(lambda club: Club.objects.filter(pk=club).only("label"))
    [club] = read.rows(clubs[0].pk)
    with django_assert_num_queries(1):
        assert club.carried
    club.label = "Other"
    club.save()
    assert Club.objects.get(pk=club.pk).label == "Other"


def test_related_rows_come_with_it(player, clubs, django_assert_num_queries):
    read = Statement(lambda clubs: Club.objects.filter(pk__in=clubs).select_related("player__academy"))
    with django_assert_num_queries(1):
        assert {club.player.academy for club in read.rows([club.pk for club in clubs])} == {player.academy}


def test_days_and_lists_of_values(player):
    venue = make_range(player.academy)
    days = [date(2026, 5, day) for day in (4, 5, 6)]
    for day in days:
        PracticeSession.objects.create(player=player, venue=venue, local_date=day)
    read = Statement(
        lambda player, days: (
            PracticeSession.objects.filter(player=player, local_date__in=days)
            .values_list("local_date", "venue")
            .order_by("local_date")
        )
    )
    assert read.rows(player.pk, days[1:]) == [(day, venue.pk) for day in days[1:]]


def test_it_is_made_once_for_lists_up_to_the_same_power_of_two(player, clubs):
    made = []

    def build(clubs):
        made.append(clubs)
        return Club.objects.filter(pk__in=clubs)

    read = Statement(build)
    pks = [club.pk for club in clubs]
    assert [len(read.rows(pks[:count])) for count in (3, 4, 4, 3)] == [3, 4, 4, 3]
    assert len(made) == 1
    assert len(read.rows(pks)) == 6
    assert len(made) == 2


def test_for_an_empty_list_nothing_is_asked(player, django_assert_num_queries):
    with django_assert_num_queries(0):
        assert CLUBS.rows(player.pk, []) == []


def test_a_statement_that_forgets_what_it_is_asked_for_by_is_refused(player, clubs):
    forgetful = Statement(lambda player, clubs: Club.objects.filter(pk__in=clubs))
    with pytest.raises(ValueError, match="makes no use"):
        forgetful.rows(player.pk, [clubs[0].pk])


def test_words(player, clubs):
    read = Statement(lambda player, labels: Club.objects.filter(player=player, label__in=labels).order_by("label"))
    for labels in (["50", "46"], ["58"], ["58", "50"], ["?"]):
        assert [club.label for club in read.rows(player.pk, labels)] == sorted({*labels} - {"?"})


@pytest.mark.django_db(transaction=True)
def test_it_reads_over_the_connection_that_there_is_and_is_seen_in_its_log(player, clubs, django_assert_num_queries):
    asked = [club.pk for club in clubs[:2]]
    for _ in range(2):
        assert len(CLUBS.rows(player.pk, asked)) == 2
        with django_assert_num_queries(1):
            CLUBS.rows(player.pk, asked)
        connection.close()
