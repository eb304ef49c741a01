"""Distances guessed by eye."""

from datetime import UTC, datetime

import pytest

from practice.sessions.models import EyeGuess


def test_a_guess_is_kept_at_once_and_the_laser_answers_it_in_a_revision(stage):
    guess = stage.phone.item("eye_check", {"guess_m": 45.72, "measured_m": None})
    read = guess | {"revision": 2, "number": 50, "values": {"guess_m": 45.72, "measured_m": 50.292}}
    assert stage.phone.results(guess) == ["stored"]
    assert list(EyeGuess.objects.values_list("guess_m", "measured_m")) == [(45.72, None)]
    # The laser's answer overtakes nothing, and what comes late or twice changes nothing.
    assert stage.phone.results(guess, read, read, guess) == ["duplicate", "stored", "duplicate", "duplicate"]
    row = EyeGuess.objects.get()
    assert (row.guess_m, row.measured_m, row.revision) == (45.72, 50.292, 2)
    assert row.guessed_at == datetime(2026, 5, 4, 10, 15, tzinfo=UTC)
    assert list(EyeGuess.objects.checked()) == [row]
    undo = read | {"revision": 3, "number": 51, "deleted": True}
    assert stage.phone.results(undo, read) == ["stored", "duplicate"]
    assert EyeGuess.objects.get().deleted
    assert not EyeGuess.objects.checked().exists()


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({}, "'guess_m' is missing"),
        ({"guess_m": 0}, "'guess_m' must be between 0.5 and 400"),
        ({"guess_m": "far"}, "'guess_m' must be a number"),
        ({"guess_m": 50, "measured_m": 401}, "'measured_m' must be between 0.5 and 400"),
        ({"guess_m": 50, "target": "Flag 1"}, "'target' is not a field of this"),
    ],
)
def test_a_wrong_guess_is_rejected_and_the_reason_names_the_field(stage, values, said):
    assert said in stage.phone.reason(stage.phone.item("eye_check", values))
    assert not EyeGuess.objects.exists()
