"""What the phone is told of who is signed in, and whose work somebody may have."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from practice.accounts.models import Device
from tests import make
from tests.practice.sessions.told import ME, WORK


def test_the_handshake_says_who_is_here_on_which_device_and_what_time_it_is(stage):
    session = stage.phone.client.session
    session["device"] = str(stage.phone.device.pk)
    session.save()
    response = stage.phone.client.get(ME)
    me = response.json()
    assert response.headers["Cache-Control"] == "no-store"
    assert me.pop("csrf")
    assert abs(me.pop("server_time_ms") / 1000 - timezone.now().timestamp()) < 60
    assert me == {
        "user": str(stage.player.user.pk),
        "name": stage.player.user.name,
        "device": str(stage.phone.device.pk),
        "players": [
            {
                "id": str(stage.player.pk),
                "name": stage.player.name,
                "academy": stage.player.academy.name,
                "unit": "yd",
                "handed": "right",
                "is_junior": False,
            }
        ],
        "squad": [],
    }


def test_a_device_from_a_real_sign_in_is_one_that_sync_knows(stage):
    user = make.make_user(email="p@example.org", password=make.PASSWORD)
    stage.player.user = user
    stage.player.save()
    stage.phone.client = Client()
    stage.phone.client.post(
        reverse("accounts:sign_in"), {"email": "p@example.org", "username": "p@example.org", "password": make.PASSWORD}
    )
    device = stage.phone.client.get(ME).json()["device"]
    assert Device.objects.get(pk=device).user == user
    assert stage.phone.results(stage.phone.shot(stage.club, item={"device": device})) == ["stored"]


def without_what_changes(me: dict) -> dict:
    """Return a handshake without the time and the masked token, which differ each time it is asked for."""
    return {name: value for name, value in me.items() if name not in ("csrf", "server_time_ms")}


def test_work_brings_the_handshake_along_so_that_opening_is_one_request(stage):
    told = stage.phone.client.get(WORK).json()
    assert told["me"]["csrf"]
    assert without_what_changes(told["me"]) == without_what_changes(stage.phone.client.get(ME).json())
    assert told["player"] == told["me"]["players"][0]


def test_the_token_that_work_brings_is_one_that_sync_takes(stage):
    client = Client(enforce_csrf_checks=True)
    client.force_login(stage.player.user)
    token = client.get(WORK).json()["me"]["csrf"]
    sync = reverse("practice_sessions:sync")
    headers = {"Accept": "application/json", "X-CSRFToken": token}
    assert client.post(sync, {"items": []}, "application/json", headers=headers).status_code == 200


def test_a_player_need_not_be_named_and_somebody_with_two_gets_the_first_unless_the_other_is(stage):
    assert stage.phone.client.get(WORK).json()["player"]["id"] == str(stage.player.pk)
    other = make.make_player(make.make_academy(), "Zoe")
    other.user = stage.player.user
    other.save()
    first = stage.phone.client.get(WORK).json()
    assert first["player"]["id"] == first["me"]["players"][0]["id"] == str(stage.player.pk)
    named = stage.phone.client.get(WORK, {"player": str(other.pk)})
    assert named.json()["player"]["academy"] == other.academy.name


@pytest.mark.parametrize("wanted", ["nonsense", "\0", "01920000-0000-7000-8000-000000000000", "mate"])
def test_work_of_somebody_else_is_not_there(stage, wanted):
    mate = make.make_player(stage.player.academy, signs_in=True)
    response = stage.phone.client.get(WORK, {"player": str(mate.pk) if wanted == "mate" else wanted})
    assert (response.status_code, response.json()["error"]) == (404, "no_player")


def test_a_coach_who_is_no_player_is_told_who_is_in_the_squad(stage):
    client = Client()
    client.force_login(make.make_staff(stage.player.academy))
    make.make_player(make.make_academy(), "Not theirs")
    make.make_player(stage.player.academy, "Left", archived_at=timezone.now())
    told = client.get(WORK).json()
    assert told["player"] is None
    assert told.keys() == {"me", "player"}
    assert told["me"]["players"] == []
    assert told["me"]["squad"] == [{"id": str(stage.player.pk), "name": stage.player.name}]


def test_a_player_who_left_the_academy_gets_no_more_work(stage):
    stage.player.archived_at = timezone.now()
    stage.player.save()
    assert stage.phone.client.get(WORK).json()["player"] is None
    assert stage.phone.client.get(WORK, {"player": str(stage.player.pk)}).status_code == 404
