"""A phone that sends shots nobody has sent before."""

import json
from itertools import count

from django.utils import timezone

from practice.ids import uuid7
from practice.sessions.models import Visit
from tests.bench.stage import Cast

FIRST_NUMBER = 9_000_000
"""Where the running numbers begin: so high that no other number in a statement is taken for one."""


class Phone:
    """Makes the bodies of POSTs to /sync/."""

    def __init__(self, cast: Cast, device: str):
        visit = Visit.objects.create(player=cast.player, venue=cast.range, started_at=timezone.now())
        target = cast.range.tee_lines.get().targets.first()
        self.numbers = count(FIRST_NUMBER)
        self.known = {"kind": "shot", "player": str(cast.player.pk), "revision": 1, "deleted": False, "device": device}
        self.known["values"] = {
            "visit": str(visit.uid),
            "club": str(cast.clubs[0].pk),
            "target": str(target.pk),
            "target_name": target.name,
            "target_m": target.distance_m,
            "swing": "feel",
            "carry_m": 28.5,
            "lateral_m": -2.0,
            "measured_by": "eye",
            "contact": "clean",
        }

    def delivery(self, shots: int = 1) -> bytes:
        at = timezone.now().isoformat()
        items = [self.known | {"id": str(uuid7()), "number": next(self.numbers), "at": at} for _ in range(shots)]
        return json.dumps({"items": items}).encode()


def check_stored(answer: bytes) -> None:
    """Raise RuntimeError where the answer does not say of every shot that it is stored."""
    results = {answer["result"] for answer in json.loads(answer)["answers"]}
    if results != {"stored"}:
        raise RuntimeError(f"a shot was not stored: {answer!r}")
