"""How a player's shots are read."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from analytics.frames import player_shots
from tests.make import make_academy, make_club, make_player, make_range, make_shot

pytestmark = pytest.mark.django_db


@pytest.fixture
def player():
    academy = make_academy()
    player = make_player(academy)
    make_shot(make_club(player), make_range(academy))
    return player


@pytest.mark.sqlite
def test_shots_are_read_and_counted_in_the_index_alone_so_that_other_shots_cost_nothing(player):
    with CaptureQueriesContext(connection) as ran:
        player_shots(player)
    of_shots = [query["sql"] for query in ran if 'FROM "practice_sessions_shot"' in query["sql"]]
    with connection.cursor() as cursor:
        # The last column of SQLite's plan says how a table is searched (https://sqlite.org/eqp.html).
        plans = [cursor.execute(f"EXPLAIN QUERY PLAN {sql}").fetchall()[0][-1] for sql in of_shots]
    assert len(plans) == 3
    assert all("USING COVERING INDEX" in plan for plan in plans), plans


def test_a_player_without_shots_has_empty_columns():
    found = player_shots(make_player(make_academy()))
    assert (found.cells, found.shots, found.as_of) == ((), 0, None)
    assert found.columns.cell.shape == found.columns.carry_m.shape == (0,)


def test_by_eye_and_measured_are_cells_of_their_own_and_a_mishit_is_marked(player):
    club = player.clubs.get()
    venue = make_range(player.academy, default=False)
    make_shot(club, venue, measured_by="monitor")
    make_shot(club, venue, measured_by="laser", contact="fat")
    found = player_shots(player)
    assert [cell.by for cell in found.cells] == ["measured", "eye"]
    assert sorted(zip(found.columns.cell.tolist(), found.columns.mishit.tolist(), strict=True)) == [
        (0, False),
        (0, True),
        (1, False),
    ]
