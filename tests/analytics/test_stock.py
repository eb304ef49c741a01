"""Which balls make a carry chart, and which are kept apart or out."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from analytics.stock import StockCell, player_stock
from practice.clubs.models import ClubSetup, SwingLength
from tests import make
from tests.analytics.stock_balls import hit

pytestmark = pytest.mark.django_db
THREE = [50.0, 52.0, 54.0]


@pytest.fixture
def player():
    return make.make_player(make.make_academy())


@pytest.fixture
def venue(player):
    return make.make_range(player.academy)


@pytest.fixture
def club(player):
    return make.make_club(player)


def cells_of(player) -> list[StockCell]:
    sets = player_stock(player).sets
    return list(sets[0].cells) if sets else []


def test_stock_balls_are_gathered_by_club_and_swing_in_order_of_loft_then_swing(player, venue, club):
    SwingLength.objects.create(academy=player.academy, code="choked")
    hit(club, venue, [80.0], swing="full")
    hit(club, venue, [60.0], swing="choked")
    hit(club, venue, THREE)
    hit(make.make_club(player, "50", loft_deg=50.0), venue, [70.0])
    hit(make.make_club(player, "?", loft_deg=None), venue, [90.0])
    found = [(cell.club, cell.loft_deg, cell.swing, cell.carries_m) for cell in cells_of(player)]
    assert found == [
        ("50", 50.0, "9:00", [70.0]),
        ("56", 56.0, "9:00", THREE),
        ("56", 56.0, "full", [80.0]),
        ("56", 56.0, "choked", [60.0]),
        ("?", None, "9:00", [90.0]),
    ]
    assert player_stock(player).sets[0].swings == ("9:00", "full", "choked")


NO_STOCK = [
    {"target_m": 50.0},
    {"target_name": "a spot"},
    {"swing": "feel"},
    {"measured_by": "eye"},
    {"setting": "course"},
    {"distance_is": "finish"},
    {"warm_up": True},
    {"contact": "thin"},
    {"strike_heel_toe_mm": 3.0, "strike_low_high_mm": 0.0},
    {"days_ago": 121},
]


@pytest.mark.parametrize("values", NO_STOCK, ids=str)
def test_a_ball_that_is_no_stock_ball_or_had_its_face_marked_makes_no_set(player, venue, club, values):
    hit(club, venue, THREE, **values)
    assert player_stock(player).sets == ()


def test_balls_undone_set_aside_or_of_a_club_left_at_home_make_no_set(player, venue, club):
    hit(club, venue, THREE)
    player.shots.update(set_aside_at=timezone.now(), set_aside_reason="wrong club")
    hit(club, venue, THREE)
    player.shots.filter(set_aside_at=None).update(deleted=True)
    hit(make.make_club(player, "old", carried=False), venue, THREE)
    hit(make.make_club(make.make_player(player.academy), "56"), venue, THREE)
    assert player_stock(player).sets == ()


def test_the_coach_says_how_many_days_count(player, venue, club):
    hit(club, venue, [40.0], days_ago=20)
    hit(club, venue, [50.0], days_ago=2)
    player.academy.carry_chart_days = 7
    assert [cell.carries_m for cell in cells_of(player)] == [[50.0]]
    assert player_stock(player).since == player.academy.today() - timedelta(days=7)


def test_a_bend_starts_afresh_and_a_new_grip_does_not(player, venue, club):
    hit(club, venue, THREE, days_ago=30)
    ClubSetup.objects.create(
        club=club, loft_deg=56.0, valid_from=player.academy.today() - timedelta(days=20), reason="regripped"
    )
    hit(club, venue, [55.0])
    assert [cell.carries_m for cell in cells_of(player)] == [[*THREE, 55.0]]
    ClubSetup.objects.create(
        club=club, loft_deg=58.0, valid_from=player.academy.today() - timedelta(days=1), reason="bent"
    )
    assert player_stock(player).sets == ()
    assert player_stock(player).last_test is None


def test_ball_types_and_surfaces_are_never_mixed_and_the_set_with_most_balls_comes_first(player, venue, club):
    hit(club, venue, [50.0], surface="mat")
    hit(club, venue, [51.0, 52.0], ball_type="own")
    hit(club, venue, [53.0], ball_type="", surface="")
    hit(club, venue, THREE)
    found = {each.key: [cell.carries_m for cell in each.cells] for each in player_stock(player).sets}
    assert found == {
        "range-grass": [THREE],
        "own-grass": [[51.0, 52.0]],
        "any-any": [[53.0]],
        "range-mat": [[50.0]],
    }
    assert next(iter(found)) == "range-grass"
    assert player_stock(player).chosen("own-grass").ball_type == "own"
    assert player_stock(player).chosen("no-such").key == "range-grass"


def test_balls_in_a_strong_wind_are_apart_and_not_dropped(player, venue, club):
    hit(club, venue, THREE, wind="windy")
    hit(club, venue, [51.0], wind="breeze")
    (found,) = player_stock(player).sets
    assert [cell.carries_m for cell in found.cells] == [[51.0]]
    assert [cell.carries_m for cell in found.windy] == [THREE]
    assert found.stock_balls == 4


def test_the_last_carry_test_is_the_last_day_with_three_stock_balls_of_one_kind(player, venue, club):
    today = player.academy.today()
    hit(club, venue, THREE, days_ago=200)
    hit(club, venue, [50.0, 52.0], days_ago=3)
    hit(club, venue, [52.0], days_ago=3, surface="mat")
    stock = player_stock(player)
    assert stock.chosen("range-grass").last_test == today - timedelta(days=200)
    assert stock.chosen("range-mat").last_test is None
    hit(club, venue, [50.0], days_ago=3)
    assert player_stock(player).last_test == today - timedelta(days=3)


def test_mishits_and_lateral_errors_are_counted_at_targets_too_and_carries_are_not(player, venue, club):
    hit(club, venue, THREE, lateral_m=1.0)
    hit(club, venue, [48.0], target_m=50.0, lateral_m=-2.0)
    hit(club, venue, [20.0], target_m=50.0, lateral_m=9.0, contact="fat")
    hit(club, venue, [None], contact="topped")
    (cell,) = cells_of(player)
    assert (cell.balls, cell.mishits) == (6, 2)
    assert cell.carries_m == THREE
    assert sorted(cell.laterals_m) == [-2.0, 1.0, 1.0, 1.0]


def test_the_day_that_counts_is_the_ranges_own(player, club):
    """23:30 in UTC is the next day already in Auckland (IANA zone; UTC+12 in June)."""
    venue = make.make_range(player.academy, time_zone="Pacific/Auckland")
    for carry_m in THREE:
        make.make_shot(
            club,
            venue,
            hit_at=make.local(2026, 6, 1, 23),
            target_m=None,
            swing="9:00",
            carry_m=carry_m,
            measured_by="laser",
        )
    assert player_stock(player).last_test == date(2026, 6, 2)


def test_the_queries_do_not_grow_with_clubs_and_shots(player, venue, club, django_assert_num_queries):
    hit(club, venue, THREE)
    with django_assert_num_queries(5):
        player_stock(player)
    for label in ("48", "52", "60"):
        hit(make.make_club(player, label), venue, THREE, surface="mat")
    with django_assert_num_queries(5):
        player_stock(player)
