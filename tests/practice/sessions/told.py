"""What a phone asks the server for, and what the server tells of a player's work."""

from datetime import UTC, datetime

from django.urls import reverse

from practice.sessions.work import work_json

WORK = reverse("practice_sessions:work")
ME = reverse("practice_sessions:me")
TUESDAY = datetime(2026, 5, 5, 12, tzinfo=UTC)


def work(stage, now: datetime = TUESDAY) -> dict:
    return work_json(stage.player, now, by=stage.player.user)
