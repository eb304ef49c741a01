"""erase_player: nothing that leads to the player is left, and nothing else is touched."""

import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.management import CommandError, call_command
from django.db import connection

from practice.accounts.models import Device, Membership, Role, SignInLink, User
from practice.players.models import Player
from practice.sessions.erasing import erase_player
from practice.sessions.models import Shot
from tests.make import make_academy, make_player
from tests.practice.sessions.held import make_full_player, rows_leading_to

pytestmark = pytest.mark.django_db


def every_row():
    """Return the keys of every row of every model."""
    return {model: set(model._base_manager.values_list("pk", flat=True)) for model in apps.get_models()}


def test_the_walk_reaches_a_row_in_every_table_that_can_lead_to_a_player():
    player = make_full_player(make_academy(), "Ada Brook")
    found = rows_leading_to(player, player.user)
    assert {model.__name__ for model, keys in found.items() if not keys} == set()
    assert {"Player", "ClubSetup", "LoftReading", "Ball", "Visit", "ShotRevision", "PainStop"} <= {
        model.__name__ for model in found
    }


def test_no_row_that_leads_to_the_player_is_left():
    player = make_full_player(make_academy(), "Ada Brook")
    before = rows_leading_to(player, player.user)
    session_key = player.user.devices.get().session_key
    call_command("erase_player", player.slug, stdout=StringIO())
    left = {model: set(model._base_manager.filter(pk__in=keys)) for model, keys in before.items()}
    assert {model: rows for model, rows in left.items() if rows} == {}
    assert not Session.objects.filter(session_key=session_key).exists()


def test_no_row_anywhere_names_the_player_or_their_user_any_more():
    player = make_full_player(make_academy(), "Ada Brook")
    gone = {Player: player.pk, User: player.user_id}
    erase_player(player)
    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            if field.related_model in gone:
                assert not model._base_manager.filter(**{field.name: gone[field.related_model]}).exists(), field


def test_another_players_rows_and_the_academys_own_stay():
    academy = make_academy()
    player = make_full_player(academy, "Ada Brook")
    make_full_player(academy, "Ben Hill")
    make_full_player(make_academy(), "Ada Brook")
    before, theirs = every_row(), rows_leading_to(player, player.user)
    theirs[Session] = {player.user.devices.get().session_key}
    erase_player(player)
    assert every_row() == {model: keys - theirs.get(model, set()) for model, keys in before.items()}


def test_a_player_without_a_sign_in_is_erased():
    player = make_player(make_academy())
    erase_player(player)
    assert not Player.objects.exists()


@pytest.mark.parametrize("also", ["coaches here", "plays elsewhere", "coaches elsewhere"])
def test_a_sign_in_that_serves_something_else_stays(also):
    academy, other = make_academy(), make_academy()
    player = make_full_player(academy, "Ada Brook")
    user = player.user
    if also == "plays elsewhere":
        Player.objects.create(academy=other, name="Ada Brook", slug="ada", user=user)
        Membership.objects.create(academy=other, user=user, role=Role.PLAYER)
    else:
        Membership.objects.create(academy=academy if also == "coaches here" else other, user=user, role=Role.COACH)
    erase_player(player)
    assert User.objects.filter(pk=user.pk).exists()
    assert Device.objects.filter(user=user).count() == Session.objects.count() == 1
    assert not user.memberships.filter(academy=academy, role=Role.PLAYER).exists()
    assert not SignInLink.objects.filter(user=user).exists()
    assert not Shot.objects.exists()


def test_nothing_is_erased_where_something_fails(monkeypatch):
    player = make_full_player(make_academy(), "Ada Brook")
    before = every_row()

    def fail(user):
        raise RuntimeError("the disk is full")

    monkeypatch.setattr("practice.sessions.erasing.erase_user", fail)
    with pytest.raises(RuntimeError):
        erase_player(player)
    assert every_row() == before


class Terminal(StringIO):
    def isatty(self):
        return True


@pytest.mark.parametrize(
    ("answer", "options", "erased"), [("no", {}, False), ("ada", {}, True), ("", {"yes": True}, True)]
)
def test_at_a_terminal_the_slug_is_asked_for(monkeypatch, answer, options, erased):
    make_player(make_academy(), "Ada", slug="ada")
    monkeypatch.setattr(sys, "stdin", Terminal(f"{answer}\n"))
    if erased:
        call_command("erase_player", "ada", stdout=StringIO(), **options)
    else:
        with pytest.raises(CommandError, match=r"Nothing was erased\."):
            call_command("erase_player", "ada", stdout=StringIO(), **options)
    assert Player.objects.exists() is not erased


def test_a_script_is_not_asked_and_is_told_what_may_still_hold_the_player():
    make_player(make_academy(), "Ada", slug="ada")
    out = StringIO()
    call_command("erase_player", "ada", stdout=out)
    assert out.getvalue() == "ada and everything held on them is gone; backups and exports made before still hold it\n"


def test_an_unknown_slug_erases_nobody():
    make_player(make_academy(), "Ada", slug="ada")
    with pytest.raises(CommandError, match=r"There is no player 'eda'\. Did you mean ada\?"):
        call_command("erase_player", "eda")
    assert Player.objects.exists()


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_the_database_file_holds_no_trace_of_the_name():
    player = make_full_player(make_academy(), "Zebedee Quillfeather")
    database = Path(connection.settings_dict["NAME"])
    files = [str(database), f"{database}-wal"]
    traces = "Zebedee Quillfeather|zebedee-quillfeather"

    def found() -> bool:
        # By another process: closing a file in this one would drop the locks that SQLite holds on it here.
        return subprocess.run(["grep", "-aEq", traces, *files], check=False).returncode == 0

    assert found()
    erase_player(player)
    assert not found()
