"""A phone's backlog of 200 shots in one POST, against executemany of the same rows."""

from collections.abc import Iterator

from django.test import Client

from practice.accounts.models import Device
from tests.bench.mirror import mirrored
from tests.bench.phone import Phone, check_stored
from tests.bench.ratio import Ratio, side_by_side, timed
from tests.bench.stage import set_stage

BATCH = 200


def measure(*, quick: bool) -> Iterator[Ratio]:
    cast = set_stage()
    phone = Phone(cast, str(Device.objects.create(user=cast.player.user, label="bench").pk))
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.player.user)
    headers = {"Accept": "application/json", "X-CSRFToken": client.get("/play/me.json").json()["csrf"]}

    def send() -> float:
        body = phone.delivery(BATCH)
        post = timed(
            lambda: check_stored(client.post("/sync/", body, content_type="application/json", headers=headers).content)
        )
        return post()

    send()
    with mirrored() as mirror:
        yield side_by_side(
            f"a batch of {BATCH} shots through the whole view : executemany of the same rows",
            send,
            mirror.catch_up,
            goal=3,
            rounds=20 if quick else 100,
            warm_up=2,
        )
