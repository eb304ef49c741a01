"""Kinds of drill and their parameters."""

import pytest
from django.core.exceptions import ValidationError

from practice.drills.kinds import AIMS_OF_LOG, KINDS, SCORES, SCORES_OF_LOG, check_parameters


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_starts_with_parameters_that_it_takes_itself(kind):
    defaults = check_parameters(kind, {})
    assert defaults == {name: default for name, (_, default) in KINDS[kind].parameters.items()}
    assert check_parameters(kind, defaults) == defaults


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_a_log_a_score_and_something_to_aim_at(kind):
    drill = KINDS[kind]
    assert drill.aims in ("targets", "swings", "spot", "none")
    assert drill.log in SCORES_OF_LOG
    assert drill.score in SCORES
    assert drill.loggings[0] == "every"
    assert 0 < len(drill.cautions) <= 1000
    assert len(drill.title) <= 80


BAD = [
    ("random_target", {"balls": 0}, "balls must be a whole number from 1 to 200"),
    ("random_target", {"balls": 10_000}, "balls must be a whole number from 1 to 200"),
    ("random_target", {"balls": True}, "whole number"),
    ("random_target", {"order": "backwards"}, "order must be one of random, blocked, serial, easing"),
    ("random_target", {"clubs": 3}, "clubs is not a parameter"),
    ("carry_test", {"shuffled": "yes"}, "shuffled must be true or false"),
    ("strike_check", {"balls": 4}, "from 5 to 10"),
    ("strike_check", {"balls": 11}, "from 5 to 10"),
    ("own", {"log": "video"}, "log must be one of"),
    ("own", {"log": "shots", "score": "leave"}, "is scored by “how far from the target each ball landed”"),
    (
        "own",
        {"shot_type": "chip", "score": "best_run"},
        "A chip is scored by “how far from the hole the balls stopped, on average” or",
    ),
    ("own", {"shot_type": "putt"}, "shot_type must be one of pitch, chip, bunker, lob"),
    ("bingo", {}, "no drill kind 'bingo'"),
]


@pytest.mark.parametrize(("kind", "given", "words"), BAD, ids=str)
def test_parameters_that_a_kind_does_not_take_are_named(kind, given, words):
    with pytest.raises(ValidationError, match=words):
        check_parameters(kind, given)


def test_only_pitches_can_be_logged_shot_by_shot_so_that_nothing_else_enters_the_carry_chart():
    for shot_type in ("chip", "bunker", "lob"):
        with pytest.raises(ValidationError):
            check_parameters("own", {"shot_type": shot_type, "log": "shots", "score": "landing_miss"})
        for score in ("leave", "k_of_n"):
            assert check_parameters("own", {"shot_type": shot_type, "score": score})["log"] == "outcome"


@pytest.mark.parametrize("log", SCORES_OF_LOG)
def test_a_drill_of_ones_own_is_drawn_and_logged_by_the_parts_that_were_chosen(log):
    parameters = check_parameters("own", {"log": log, "score": SCORES_OF_LOG[log][0]})
    assert KINDS["own"].parts(parameters) == (AIMS_OF_LOG[log], log, SCORES_OF_LOG[log][0])


def test_the_parts_of_the_other_kinds_are_their_own():
    assert KINDS["crossing"].parts({"number_shown": True}) == ("targets", "shots", "landing_miss")
    assert KINDS["free"].parts({"balls": 5}) == ("none", "outcome", "done")
