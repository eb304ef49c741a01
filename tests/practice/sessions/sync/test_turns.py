"""On SQLite phones take turns by a lock of the system's."""

import fcntl
from pathlib import Path
from threading import Thread

import pytest
from django.db import connection

from practice.sessions.models import Shot
from practice.sessions.turns import own_turn
from tests.practice.sessions.stage import Stage

pytestmark = [pytest.mark.sqlite, pytest.mark.django_db(transaction=True)]


def of_turns() -> Path:
    return Path(f"{connection.settings_dict['NAME']}-turns")


def test_a_phone_waits_until_another_one_is_through(stage: Stage):
    phone, shot = stage.phone, stage.phone.shot(stage.club)
    results = []

    def send():
        try:
            results.extend(phone.results(shot))
        finally:
            connection.close()

    second = Thread(target=send)
    with of_turns().open("w") as turns:
        fcntl.flock(turns, fcntl.LOCK_EX)
        second.start()
        # Alone it takes some milliseconds.
        second.join(timeout=2)
        assert second.is_alive()
        assert not Shot.objects.exists()
    second.join(timeout=30)
    assert results == ["stored"]
    assert Shot.objects.count() == 1


def test_who_fails_lets_the_next_one_go_on():
    with pytest.raises(RuntimeError, match="lost its power"), own_turn():
        raise RuntimeError("lost its power")
    with of_turns().open("w") as turns:
        fcntl.flock(turns, fcntl.LOCK_EX | fcntl.LOCK_NB)
