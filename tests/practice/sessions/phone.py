"""A phone for tests: makes items as the page does and posts them."""

from datetime import UTC, datetime
from itertools import count

from django.test import Client
from django.urls import reverse

from practice.accounts.models import Device, User
from practice.ids import uuid7
from practice.players.models import Player


class Phone:
    """One device, signed in as the player or as somebody who logs for the player."""

    def __init__(self, player: Player, *, user: User | None = None):
        user = user or player.user
        self.player = player
        self.device = Device.objects.create(user=user, label="Phone")
        self.client = Client()
        self.client.force_login(user)
        self.numbers = count(1)

    def item(self, kind: str, values: dict, /, **fields) -> dict:
        """Return an item as the page would make it; fields given replace its own."""
        own = {
            "kind": kind,
            "id": str(uuid7()),
            "player": str(self.player.pk),
            "revision": 1,
            "deleted": False,
            "device": str(self.device.pk),
            "number": next(self.numbers),
            "at": datetime(2026, 5, 4, 10, 15, tzinfo=UTC).isoformat(),
            "offset_ms": 0,
            "values": values,
        }
        return own | fields

    def shot(self, club, /, *, item: dict | None = None, **values) -> dict:
        """Return a shot at 50 m that carried 48 m, unless the values say otherwise."""
        own = {"club": str(club.pk), "swing": "feel", "target_m": 50.0, "carry_m": 48.0}
        return self.item("shot", own | values) | (item or {})

    def post(self, body):
        """Post a body to sync."""
        return self.client.post(
            reverse("practice_sessions:sync"), body, "application/json", headers={"Accept": "application/json"}
        )

    def send(self, *items) -> list[dict]:
        """Send items and return the answers."""
        response = self.post({"items": list(items)})
        assert response.status_code == 200, response.content
        return response.json()["answers"]

    def results(self, *items) -> list[str]:
        """Send items and return what became of each."""
        return [answer["result"] for answer in self.send(*items)]

    def reason(self, item) -> str:
        """Send an item that must be rejected, and return why it was."""
        (answer,) = self.send(item)
        assert answer["result"] == "rejected"
        return answer["reason"]
