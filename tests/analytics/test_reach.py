"""From stored shots to the reach of each club. How a reach is computed is tested with analytics.metrics.reach."""

from datetime import date

import pytest

from analytics.reach import reach_of_bag
from practice.clubs.models import ClubSetup
from practice.planner.generator import StockSwing
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def player():
    return make.make_player(make.make_academy())


@pytest.fixture
def venue(player):
    return make.make_range(player.academy)


@pytest.fixture
def club(player):
    return make.make_club(player, "56")


def stock(club, venue, *carries_m, swing="9:00", **values):
    for carry_m in carries_m:
        make.make_shot(
            club, venue, **{"target_m": None, "swing": swing, "carry_m": carry_m, "measured_by": "laser", **values}
        )


def the_reach(player, *, full_swings=True):
    (only,) = reach_of_bag(player, full_swings=full_swings)
    return only


def test_the_bag_comes_by_loft_then_label_without_the_putter_and_what_is_not_carried(player):
    make.make_club(player, "60", loft_deg=60.0)
    make.make_club(player, "B", loft_deg=50.0)
    make.make_club(player, "A", loft_deg=50.0)
    make.make_club(player, "?", loft_deg=None)
    make.make_club(player, "old", loft_deg=52.0, carried=False)
    make.make_putter(player)
    assert [bagged.club.label for bagged in reach_of_bag(player, full_swings=True)] == ["A", "B", "60", "?"]


def test_nothing_known_is_no_reach(player, club):
    assert (the_reach(player).reach, the_reach(player).basis) == (None, None)
    assert the_reach(player).basis_words == "no carry known yet"


def test_stock_balls_give_each_swings_mean_and_half_the_shortest_to_the_longest(player, venue, club):
    stock(club, venue, 50.0, 54.0)
    stock(club, venue, 88.0, 92.0, swing="full")
    reach = the_reach(player).reach
    assert (reach.shortest_m, reach.longest_m) == (26.0, 90.0)
    assert reach.stock == (StockSwing("9:00", 52.0), StockSwing("full", 90.0))
    assert the_reach(player).basis == "stock"
    assert the_reach(player, full_swings=False).reach.longest_m == 52.0


def test_the_scatter_of_the_stock_balls_says_how_well_the_longest_carry_is_known(player, venue, club):
    """By hand: the standard deviation of 48, 50 and 52 is 2; t(.975, 2) = 4.303 (any table)."""
    stock(club, venue, 48.0, 50.0, 52.0)
    assert the_reach(player).give_m == pytest.approx(4.303 * 2 / 3**0.5, rel=1e-3)


def test_range_balls_off_a_mat_and_own_balls_off_grass_are_never_averaged(player, venue, club):
    """Of the sets with enough balls of the club, the one hit last counts."""
    on_mat, on_grass = {"ball_type": "range", "surface": "mat"}, {"ball_type": "own", "surface": "grass"}
    stock(club, venue, 50.0, 52.0, 54.0, hit_at=make.local(2026, 5, 1), **on_mat)
    assert the_reach(player).reach.stock == (StockSwing("9:00", 52.0),)
    stock(club, venue, 58.0, 62.0, hit_at=make.local(2026, 5, 2), **on_grass)
    assert the_reach(player).reach.stock == (StockSwing("9:00", 52.0),)
    stock(club, venue, 90.0, hit_at=make.local(2026, 5, 3), swing="full", **on_grass)
    assert the_reach(player).reach.stock == (StockSwing("9:00", 60.0), StockSwing("full", 90.0))
    stock(club, venue, 56.0, hit_at=make.local(2026, 5, 4), **on_mat)
    assert the_reach(player).reach.stock == (StockSwing("9:00", 53.0),)


def test_balls_of_two_kinds_do_not_make_enough_together(player, venue, club):
    stock(club, venue, 50.0, 52.0, surface="mat")
    stock(club, venue, 54.0, surface="grass")
    assert the_reach(player).basis is None


OTHERS = [
    {"measured_by": "eye"},
    {"swing": "feel"},
    {"contact": "fat"},
    {"warm_up": True},
    {"distance_is": "finish"},
    {"setting": "course"},
    {"target_name": "a spot with no distance"},
]


@pytest.mark.parametrize("values", OTHERS, ids=str)
def test_a_ball_that_is_no_measured_stock_ball_of_the_range_makes_no_stock_carry(player, venue, club, values):
    stock(club, venue, 50.0, 54.0, 55.0, **values)
    assert the_reach(player).basis in (None, "targets")


def test_balls_set_aside_make_no_reach(player, venue, club):
    stock(club, venue, 50.0, 54.0, 55.0)
    club.player.shots.update(set_aside_at="2026-01-01T00:00Z", set_aside_reason="wrong club")
    assert the_reach(player).basis is None


def test_without_stock_balls_the_balls_at_targets_count(player, venue, club):
    stock(club, venue, 40.0, 60.0, 80.0, target_m=60.0, swing="feel")
    assert the_reach(player).basis == "targets"
    assert 40.0 <= the_reach(player).reach.shortest_m < the_reach(player).reach.longest_m <= 80.0


def test_measured_and_by_eye_are_never_pooled(player, venue, club):
    stock(club, venue, 40.0, 42.0, 44.0, target_m=42.0, measured_by="eye")
    stock(club, venue, 60.0, 62.0, target_m=60.0)
    assert the_reach(player).reach.longest_m < 45.0
    stock(club, venue, 64.0, target_m=60.0)
    assert the_reach(player).reach.shortest_m > 59.0


def test_a_bend_starts_afresh_and_a_new_grip_does_not(player, venue, club):
    stock(club, venue, 50.0, 52.0, 54.0)
    ClubSetup.objects.create(club=club, loft_deg=56.0, valid_from=date(2026, 6, 1), reason="regripped")
    assert the_reach(player).basis == "stock"
    ClubSetup.objects.create(club=club, loft_deg=58.0, valid_from=date(2026, 7, 1), reason="bent")
    assert the_reach(player).basis is None


def test_stated_carries_count_until_there_are_shots_and_lend_themselves_to_the_other_clubs(player):
    make.make_club(player, "52", loft_deg=52.0, stated_full_m=95.0)
    make.make_club(player, "56", loft_deg=56.0)
    first, second = reach_of_bag(player, full_swings=True)
    assert (first.basis, first.reach.longest_m, second.basis) == ("stated", 95.0, "estimated")
    assert 80.0 < second.reach.longest_m < 90.0


def test_another_players_shots_count_for_nothing(player, venue, club):
    other = make.make_club(make.make_player(player.academy))
    stock(other, venue, 50.0, 54.0, 55.0)
    assert the_reach(player).basis is None


def test_the_queries_do_not_grow_with_clubs_and_shots(player, venue, club, django_assert_num_queries):
    with django_assert_num_queries(5):
        reach_of_bag(player, full_swings=True)
    for label in ("48", "52", "60"):
        stock(make.make_club(player, label, stated_full_m=80.0), venue, 50.0, 51.0, 52.0)
    with django_assert_num_queries(5):
        reach_of_bag(player, full_swings=True)
