"""The score of a one-ball test: from stored balls to the coach's page, against the published putting table by hand."""

from datetime import date

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse

from analytics.metrics.one_ball import strokes_to_hole_out
from analytics.metrics.putting import M_PER_FT, TOUR_PUTTS
from analytics.one_ball import one_ball_tests
from practice.clubs.models import PuttingTable
from practice.planner.models import Ball, Block, WeekPlan
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def player():
    return make.make_player(make.make_academy())


@pytest.fixture
def balls(player) -> list[Ball]:
    """Four balls of a one-ball test, of which the last is not hit in these tests."""
    plan = WeekPlan.objects.create(player=player, monday=date(2026, 5, 4))
    block = Block.objects.create(plan=plan, position=1, kind="one_ball", title="One-ball test", seed=1)
    club = make.make_club(player)
    return [Ball.objects.create(block=block, n=n, club=club, swing="feel", target_m=40.0 + n) for n in range(1, 5)]


@pytest.fixture
def venue(player):
    return make.make_range(player.academy)


def hit(ball, venue, feet, sideways_feet=0.0, **values):
    """Log a shot at a ball that carried so many feet too far."""
    miss = {"carry_m": ball.target_m + feet * M_PER_FT, "lateral_m": sideways_feet * M_PER_FT}
    return make.make_shot(ball.club, venue, ball=ball, target_m=ball.target_m, **miss | values)


def test_each_ball_is_one_stroke_and_the_published_putts_from_its_miss():
    # M. Broadie, Every Shot Counts (2014), as TOUR_PUTTS has it: 10 ft 1.61, 30 ft 1.98; 2.5 after a mishit
    error_m = np.array([10.0, -8.0, 18.0, np.nan]) * M_PER_FT
    lateral_m = np.array([0.0, 6.0, -24.0, np.nan]) * M_PER_FT
    found = strokes_to_hole_out(error_m, lateral_m, np.array([False, False, False, True]), TOUR_PUTTS)
    assert found == pytest.approx([2.61, 2.61, 2.98, 3.5])


def test_a_test_is_scored_by_what_was_hit_first_at_each_ball_and_seen(player, balls, venue):
    hit(balls[0], venue, 10.0)
    hit(balls[0], venue, 1.0)
    hit(balls[1], venue, 0.0, carry_m=None, contact="fat", lateral_m=None)
    hit(balls[2], venue, 0.0, carry_m=None, seen=False, lateral_m=None)
    hit(balls[3], venue, 30.0, lateral_m=None)
    (test,) = one_ball_tests(player, TOUR_PUTTS)
    assert test.strokes.tolist() == pytest.approx([2.61, 3.5, 2.98])
    assert (test.asked, test.no_lateral) == (4, 1)


def test_balls_of_other_blocks_of_others_and_undone_ones_make_no_test(player, balls, venue):
    hit(balls[0], venue, 10.0, deleted=True)
    make.make_shot(balls[0].club, venue, target_m=40.0, carry_m=40.0)
    mate = make.make_player(player.academy)
    make.make_shot(make.make_club(mate), venue, ball=balls[1], target_m=40.0, carry_m=40.0)
    assert one_ball_tests(player, TOUR_PUTTS) == []


def test_the_coach_sees_the_strokes_by_the_academys_own_table_with_its_source(player, balls, venue):
    hit(balls[0], venue, 10.0)
    hit(balls[1], venue, 20.0)
    PuttingTable.objects.create(academy=player.academy, source="Our greens", rows=[[0, 1.0], [10, 2.0], [20, 3.0]])
    client = Client()
    client.force_login(make.make_staff(player.academy))
    page = client.get(reverse("analytics:shots_for_targets", args=[player.pk])).content.decode()
    assert ": 7.0 strokes over 2 of 4 balls, 3.50 a ball." in page
    assert "Putts from: Our greens." in page
