from datetime import timedelta

import pytest
from django.utils import timezone

from analytics.eye import LATEST, eye_error, eye_sentence
from analytics.metrics.eye_check import EyeError
from practice.sessions.models import EyeGuess
from practice.units import DistanceUnit
from tests import make


def guess(player, guess_m, measured_m, *, minutes=0, **fields):
    at = timezone.now() - timedelta(minutes=minutes)
    return EyeGuess.objects.create(player=player, guess_m=guess_m, measured_m=measured_m, guessed_at=at, **fields)


@pytest.mark.django_db
def test_the_error_is_that_of_the_players_own_checked_guesses():
    academy = make.make_academy()
    player, mate = make.make_player(academy), make.make_player(academy)
    assert eye_error(player) is None
    guess(player, 99, None)
    guess(player, 99, 50, deleted=True)
    guess(mate, 99, 50)
    assert eye_error(player) is None
    guess(player, 45, 50)
    guess(player, 40, 50)
    found = eye_error(player)
    assert (found.n, found.bias_m) == (2, -7.5)


@pytest.mark.django_db
def test_only_the_latest_guesses_count():
    player = make.make_player(make.make_academy())
    guess(player, 400, 1, minutes=LATEST)
    for n in range(LATEST):
        guess(player, 45, 50, minutes=n)
    assert eye_error(player).bias_pct == pytest.approx(-10)


def test_the_sentence_says_which_way_how_far_and_how_sure():
    error = EyeError(10, -8.4, (-14.6, -1.7), 11.6, (8.0, 21.5), -4.572, 6.4008)
    assert eye_sentence(error, DistanceUnit.YARDS) == (
        "Distance by eye: guesses 8 % short (5 yd short; may be 15 % short to 2 % short), scatter 12 % (7 yd; "
        "may be 8 to 22 %). With 10 guesses little is sure."
    )
    assert "guesses 0 % (0 m; may be 3 % short to 3 % long)" in eye_sentence(
        EyeError(10, 0.2, (-3.0, 3.0), 5.0, (4.0, 9.0), 0.1, 2.0), DistanceUnit.METRES
    )


def test_one_guess_says_nothing_about_the_next():
    assert eye_sentence(EyeError(1, bias_pct=10.0, bias_m=5.0), DistanceUnit.METRES) == (
        "Distance by eye: guessed 10 % long, once. One guess says nothing about the next."
    )
