"""What the form of a suggested week starts with, and what it does not take."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from practice.planner.weeks import monday_of
from tests import make
from tests.practice.planner.suggesting.scene import words

pytestmark = pytest.mark.django_db


def test_a_week_starts_with_the_players_own_median_week(scene):
    for weeks_ago, days in enumerate(([20], [30, 10], [24, 24, 2]), 2):
        for n, balls in enumerate(days):
            for _ in range(balls):
                scene.ball(days_ago=(timezone.localdate() - monday_of(timezone.localdate())).days + 7 * weeks_ago - n)
    response = scene.get()
    assert [response.context["form"][name].value() for name in ("balls", "visits")] == [40, 2]
    assert "the median of 3 weeks with practice in the last 8" in words(response)
    assert [scene.get(balls=70, visits=3).context["form"][name].value() for name in ("balls", "visits")] == ["70", "3"]


def test_with_few_weeks_a_week_starts_as_every_players_within_the_limit(scene):
    scene.strikes()
    assert scene.get().context["form"]["balls"].value() == 60
    scene.player.daily_ball_limit = 25
    scene.player.save()
    assert scene.get().context["form"]["balls"].value() == 50


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ({"balls": 0}, "Give a number of balls"),
        ({"balls": "many"}, "Give a number of balls"),
        ({"visits": 8}, "Give 1 to 7 visits"),
        ({"stage": "putting"}, "Choose one of the stages"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(scene, asked, message):
    response = scene.get(**asked)
    assert response.status_code == 422
    assert message in words(response)


@pytest.mark.parametrize("balls", [10, 900, 10_000])
def test_a_number_of_balls_that_makes_no_week_is_answered_with_the_bounds(scene, balls):
    assert "25 to 560 balls" in words(scene.get(balls=balls))


def test_without_clubs_the_bag_comes_first(scene):
    player = make.make_player(scene.academy)
    address = reverse("planner:suggest", args=[player.pk, scene.monday.isoformat()])
    assert "put the player’s clubs into the bag first" in words(scene.client.get(address))
    assert scene.client.post(address, {"seen": "0" * 64}).status_code == 422


def test_a_suggestion_asks_as_often_however_much_was_hit(scene):
    def statements() -> int:
        with CaptureQueriesContext(connection) as asked:
            scene.get()
        return len(asked)

    scene.strikes(fat=2, clean=20)
    scene.hit_stock_balls()
    for _ in range(2):  # the first makes what is read once a process
        few = statements()
    scene.strikes(fat=2, clean=40, days_ago=12)
    scene.hit_stock_balls()
    for days_ago in range(1, 6):  # marks that make no pattern
        scene.ball(days_ago=days_ago, strike_heel_toe_mm=1.0, strike_low_high_mm=2.0)
    assert statements() == few
    assert few <= 60
