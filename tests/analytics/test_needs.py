"""From stored shots to the need of each club."""

import pytest

from analytics.needs import with_needs
from analytics.reach import reach_of_bag
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def player():
    return make.make_player(make.make_academy())


@pytest.fixture
def venue(player):
    return make.make_range(player.academy)


def hit(club, venue, *errors_m, measured_by="laser"):
    for error_m in errors_m:
        make.make_shot(club, venue, target_m=50.0, carry_m=50.0 + error_m, measured_by=measured_by)


def needs(player):
    bag = with_needs(player, reach_of_bag(player, full_swings=True))
    return {bagged.club.label: bagged.need for bagged in bag}


def test_a_club_that_misses_by_more_needs_more(player, venue):
    hit(make.make_club(player, "54"), venue, *(2 * [1.0, -1.0, 2.0, -2.0, 0.0]))
    hit(make.make_club(player, "58"), venue, *(2 * [6.0, -6.0, 9.0, -7.0, 5.0]))
    found = needs(player)
    assert found["54"] == 1.0 < found["58"] <= 3.0


def test_a_club_of_which_less_is_known_needs_more_though_it_misses_by_the_same(player, venue):
    errors_m = [3.0, -3.0, 2.0, -2.0]
    hit(make.make_club(player, "54"), venue, *(8 * errors_m))
    hit(make.make_club(player, "58"), venue, *errors_m)
    found = needs(player)
    assert found["54"] < found["58"]


def test_a_club_without_a_ball_needs_as_much_as_the_neediest(player, venue):
    hit(make.make_club(player, "54"), venue, *(3 * [1.0, -1.0, 2.0, -2.0]))
    hit(make.make_club(player, "58"), venue, *(3 * [6.0, -6.0, 4.0, -7.0]))
    make.make_club(player, "60")
    found = needs(player)
    assert found["60"] == found["58"] == max(found.values())


def test_balls_by_eye_count_only_where_none_was_measured(player, venue):
    club, other = make.make_club(player, "54"), make.make_club(player, "58")
    hit(club, venue, *(3 * [1.0, -1.0, 2.0, -2.0]), measured_by="eye")
    hit(other, venue, *(3 * [9.0, -9.0, 9.0, -9.0]), measured_by="eye")
    assert needs(player)["58"] > needs(player)["54"]
    hit(club, venue, *(3 * [1.0, -1.0, 2.0, -2.0]))
    assert needs(player)["58"] == needs(player)["54"]


def test_a_player_without_a_ball_needs_all_clubs_alike(player, venue):
    make.make_club(player, "54")
    make.make_club(player, "58")
    assert set(needs(player).values()) == {1.0}
