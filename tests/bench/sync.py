"""A phone's backlog of 200 and of 500 shots in one POST, against executemany of the same rows."""

from collections.abc import Iterator
from functools import partial

from django.test import Client

from practice.accounts.models import Device
from tests.bench.mirror import mirrored
from tests.bench.phone import Phone, check_stored
from tests.bench.ratio import Ratio, side_by_side, timed
from tests.bench.stage import set_stage

BATCHES = (200, 500)
"""The larger is the most that one POST may hold."""


def measure(*, quick: bool) -> Iterator[Ratio]:
    cast = set_stage()
    phone = Phone(cast, str(Device.objects.create(user=cast.player.user, label="bench").pk))
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.player.user)
    headers = {"Accept": "application/json", "X-CSRFToken": client.get("/play/me.json").json()["csrf"]}

    def send(shots: int) -> float:
        body = phone.delivery(shots)
        post = timed(
            lambda: check_stored(client.post("/sync/", body, content_type="application/json", headers=headers).content)
        )
        return post()

    send(1)
    with mirrored() as mirror:
        for shots in BATCHES:
            yield side_by_side(
                f"a batch of {shots} shots through the whole view : executemany of the same rows",
                partial(send, shots),
                mirror.catch_up,
                goal=3,
                rounds=20 if quick else 100,
                warm_up=2,
            )
