"""What cannot be drawn stores nothing, and the builder says why."""

from datetime import timedelta

import pytest
from django.urls import reverse

from practice.clubs.models import StatedCarry
from practice.drills.kinds import KINDS
from practice.planner.models import Block, WeekPlan
from practice.venues.models import Target
from tests import make
from tests.practice.planner.kinds import asked
from tests.practice.planner.pages import builder_of, hidden_fields
from tests.practice.planner.plans import MONDAY, assign

pytestmark = pytest.mark.django_db


BAD = [
    ("random_target", {"balls": 0}, "at least one ball"),
    ("random_target", {"balls": 10_000}, "at most 200 balls"),
    ("random_target", {"profile": "forty"}, "“forty” is no distance"),
    ("random_target", {"profile": "40 -1"}, "“40 -1” is no distance"),
    ("random_target", {"profile": "0 1"}, "“0 1” is no distance"),
    ("random_target", {"profile": "nan 1"}, "“nan 1” is no distance"),
    ("random_target", {"profile": "\n".join(["40"] * 21)}, "at most 20 distances"),
    ("random_target", {"profile": "300"}, "No target in reach is near"),
    ("random_target", {"order": "sideways"}, "Select a valid choice"),
    ("random_target", {"order": "easing", "week": 5, "weeks": 4}, "which week this is, and of how many"),
    ("random_target", {"order": "easing", "week": None}, "which week this is, and of how many"),
    ("carry_test", {"balls_each": 0}, "At least one"),
    ("carry_test", {"swings": None}, "Choose at least one swing length"),
    ("carry_test", {"balls_each": 20, "swings": ["7:30", "9:00", "10:30", "full"]}, "on another day"),
    ("crossing", {"targets": None}, "Choose at least one target"),
    ("pick_spot", {"spots": 0}, "At least one"),
    ("pick_spot", {"spots": 10_000}, "at most 100 spots"),
    ("ladder", {"trips": 0}, "At least one"),
    ("one_ball", {"balls": 150}, "different shots, not 150"),
    ("one_ball", {"balls": 10_000}, "at most 200 balls"),
    ("strike_check", {"balls": 4}, "At least 5"),
    ("strike_check", {"balls": 11}, "at most 10 balls"),
    ("strike_check", {"swings": ["9:00", "full"]}, "Choose one swing length"),
    ("strike_bucket", {"clubs": []}, "Choose at least one club"),
    ("turf_brush", {"balls_each": 10_000}, "At most 30"),
    ("free", {"balls": 0}, "at least one ball"),
    ("free", {"balls": 10_000}, "at most 200 balls"),
    ("check_day", {"earlier": None}, "Choose the block that comes again"),
]


@pytest.mark.parametrize(("kind", "changes", "words"), BAD, ids=str)
def test_what_cannot_be_drawn_says_why_and_stores_nothing(coach, player, clubs, kind, changes, words):
    if kind == "check_day":
        assign(player, clubs, monday=MONDAY - timedelta(days=14))
    sent = asked(player, kind, **changes)
    for send in (coach.get, coach.post):
        response = send(builder_of(player), sent)
        assert response.status_code == 422
        assert words in response.content.decode()
    assert not WeekPlan.objects.filter(monday=MONDAY).exists()
    assert not Block.objects.filter(plan__monday=MONDAY).exists()


def test_the_marks_of_two_clubs_are_not_put_on_one_face(coach, player, clubs):
    two = [str(club.pk) for club in clubs[:2]]
    response = coach.get(builder_of(player), asked(player, "strike_check", clubs=two))
    assert response.status_code == 422
    assert "the marks of two would lie on one face" in response.content.decode()


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("ladder", "a ladder needs two steps or more"),
        ("random_target", "only the club changes from ball to ball"),
        ("crossing", "No order can keep all neighbours different"),
        ("one_ball", "make 3 different shots, not 5"),
    ],
)
def test_a_range_with_one_flag_is_told_in_words(coach, player, clubs, kind, words):
    Target.objects.exclude(name="Flag 4").delete()
    response = coach.get(builder_of(player), asked(player, kind, profile=None, order="random"))
    assert words in response.content.decode()
    assert response.status_code == (200 if kind in ("random_target", "crossing") else 422)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind not in ("free", "own", "check_day")])
def test_a_bag_without_wedges_is_told_where_to_enter_them(coach, player, kind):
    make.make_range(player.academy)
    make.make_putter(player)
    response = coach.get(builder_of(player), asked(player, kind))
    assert response.status_code == 422
    page = response.content.decode()
    assert f"{player.name} carries no club for pitching." in page
    assert reverse("clubs:bag", args=[player.pk]) in page
    assert not Block.objects.exists()


def test_irons_alone_hit_the_targets_that_they_reach_and_are_told_where_there_are_none(coach, player):
    make.make_range(player.academy, (30.0, 45.0, 60.0, 75.0))
    for label, full_m in (("9", 116.0), ("7", 136.0)):
        make.make_club(player, label, loft_deg=None, kind="iron", stated_full_m=full_m)
    mixed = asked(player, "random_target", profile=None, order="random")
    assert coach.post(builder_of(player), hidden_fields(coach.get(builder_of(player), mixed))).status_code == 302
    balls = list(Block.objects.get().balls.values_list("club__label", "target_m"))
    assert len(balls) == 12
    assert {label for label, _ in balls} == {"9", "7"}
    # A club is asked for no less than half of its shortest stated carry: 58 m and 68 m.
    assert set(balls) <= {("9", 60.0), ("9", 75.0), ("7", 75.0)}
    WeekPlan.objects.all().delete()
    Target.objects.filter(distance_m__gt=50).delete()
    mixed = asked(player, "random_target", profile=None, order="random")
    for send in (coach.get, coach.post):
        response = send(builder_of(player), mixed)
        assert response.status_code == 422
        assert "No club reaches any of these targets: choose other targets" in response.content.decode()
    assert not WeekPlan.objects.exists()


@pytest.mark.parametrize("kind", ["random_target", "crossing", "ladder", "one_ball"])
def test_a_player_without_data_is_sent_to_a_carry_test(coach, player, clubs, kind):
    StatedCarry.objects.all().delete()
    response = coach.get(builder_of(player), asked(player, kind))
    assert response.status_code == 422
    assert "Plan a carry test first" in response.content.decode()
    assert not Block.objects.exists()


@pytest.mark.parametrize("kind", ["carry_test", "pick_spot", "strike_check", "turf_brush", "smooth_swing", "free"])
def test_a_player_without_data_can_be_given_what_needs_no_distance(coach, player, clubs, kind):
    StatedCarry.objects.all().delete()
    assert coach.get(builder_of(player), asked(player, kind)).status_code == 200


@pytest.mark.parametrize("kind", ["random_target", "crossing", "ladder", "one_ball"])
def test_targets_out_of_reach_are_told_in_words(coach, player, clubs, kind):
    Target.objects.update(distance_m=300.0)
    response = coach.get(builder_of(player), asked(player, kind, profile=None))
    assert response.status_code == 422
    assert "No club reaches any of these targets" in response.content.decode()
