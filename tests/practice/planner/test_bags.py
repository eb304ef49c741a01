"""The bags of a squad: what reading them costs where a recipe shares by need."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from analytics.needs import with_needs
from analytics.reach import reach_of_bag
from practice.planner.repeats import BlockRecipe
from practice.planner.views.copies import bags_of
from tests import make

pytestmark = pytest.mark.django_db


def recipe(**parameters) -> BlockRecipe:
    return BlockRecipe("", "Mixed targets", parameters, "every", [], {})


BY_NEED = [recipe(weights="need", full_swings=True), recipe(weights="need", full_swings=False)]


def make_players(n: int) -> list:
    academy = make.make_academy()
    venue = make.make_range(academy)
    players = [make.make_player(academy) for _ in range(n)]
    for player in players:
        for label, miss_m in (("54", 1.0), ("58", 8.0)):
            club = make.make_club(player, label, loft_deg=float(label), stated_full_m=140.0 - float(label))
            for error_m in (miss_m, -miss_m, 0.5 * miss_m, -0.5 * miss_m):
                make.make_shot(club, venue, target_m=50.0, carry_m=50.0 + error_m, measured_by="laser")
    return players


def statements(players, recipes, settings) -> int:
    """How many are asked for the bags at these settings."""
    bags = bags_of(players, recipes)
    with CaptureQueriesContext(connection) as asked:
        for full_swings in settings:
            bags(full_swings)
    return len(asked)


def test_the_needs_of_a_squad_take_as_many_statements_as_those_of_one():
    assert statements(make_players(5), BY_NEED, [True]) == statements(make_players(1), BY_NEED, [True])


def test_needs_are_asked_once_though_both_settings_of_swings_occur():
    players = make_players(3)
    reach = statements(players, [recipe()], [True])
    assert statements(players, [recipe()], [True, False]) == 2 * reach
    one, both = (statements(players, BY_NEED, settings) for settings in ([True], [True, False]))
    assert one > reach
    assert both - one == reach


def test_needs_are_the_clubs_own_at_either_setting():
    players = make_players(2)
    bags = bags_of(players, BY_NEED)
    for full_swings in (True, False):
        known = bags(full_swings)
        for player in players:
            alone = with_needs(player, reach_of_bag(player, full_swings=full_swings))
            assert known[player.pk] == alone
            assert alone[0].need < alone[1].need
