"""A player and everything held on them, gone for good."""

from django.contrib.sessions.models import Session
from django.db import connection, transaction

from practice.accounts.models import Membership, Role, SignInLink, User
from practice.players.models import Player


@transaction.atomic
def erase_player(player: Player) -> None:
    """Delete the player, all that belongs to them, and their sign-in unless it serves something else."""
    if connection.vendor == "sqlite":
        _overwrite_what_is_deleted()
    user, academy = player.user, player.academy
    player.delete()
    if user is None:
        return
    SignInLink.objects.filter(user=user, academy=academy).delete()
    Membership.objects.filter(user=user, academy=academy, role=Role.PLAYER).delete()
    if not (user.memberships.exists() or user.players.exists()):
        erase_user(user)


def erase_user(user: User) -> None:
    """Delete a user, their devices, and what keeps these signed in."""
    Session.objects.filter(session_key__in=user.devices.exclude(session_key="").values("session_key")).delete()
    user.delete()


def _overwrite_what_is_deleted() -> None:
    """Have SQLite write zeros over deleted rows, and empty its log once they are gone (PRAGMA secure_delete)."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA secure_delete = ON")
    transaction.on_commit(_empty_log)


def _empty_log() -> None:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
