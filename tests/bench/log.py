"""Logging one shot over HTTP, against a bare WSGI application that runs the same statements."""

from collections.abc import Iterator
from functools import partial

from django.conf import settings
from django.test import Client

from practice.accounts.models import Device
from tests.bench.phone import Phone, check_stored
from tests.bench.ratio import Go, Ratio, side_by_side, timed
from tests.bench.stage import Browser, Cast, browsing, copy_of_database, served, set_stage
from tests.bench.statements import FIRST_SHOT, number_shots_from, recorded, write_script


def record_one(cast: Cast) -> tuple[list, bytes]:
    """Return the statements of logging a shot and what was sent: of the second, because the first makes the session."""
    phone = Phone(cast, str(Device.objects.create(user=cast.player.user, label="bench").pk))
    client = Client()
    client.force_login(cast.player.user)
    post = partial(client.post, "/sync/", content_type="application/json", headers={"Accept": "application/json"})
    number_shots_from(FIRST_SHOT)
    check_stored(post(phone.delivery()).content)
    delivery = phone.delivery()
    with recorded() as statements:
        answer = post(delivery)
    check_stored(answer.content)
    return statements, delivery


def logging(browser: Browser, phone: Phone, **headers: str) -> Go:
    """Return a go that sends one new shot; making it is not timed."""

    def go() -> float:
        body = phone.delivery()
        send = timed(lambda: check_stored(browser.ask("POST", "/sync/", body, **headers)))
        return send()

    return go


def measure(*, quick: bool) -> Iterator[Ratio]:
    cast = set_stage()
    statements, delivery = record_one(cast)
    script = settings.VAR / "script.json"
    write_script(script, statements, database=copy_of_database("bare"), delivery=delivery)
    with (
        served("practice.wsgi") as port,
        browsing(port) as ours,
        served("tests.bench.bare", BENCH_SCRIPT=str(script)) as bare_port,
        browsing(bare_port) as bare,
    ):
        me = ours.sign_in(cast.player.user.email)
        phone = Phone(cast, me["device"])
        headers = {"Content_Type": "application/json", "Accept": "application/json"}
        yield side_by_side(
            f"logging a shot over HTTP : a bare WSGI application, the same {len(statements)} statements",
            logging(ours, phone, X_CSRFToken=me["csrf"], **headers),
            logging(bare, phone, **headers),
            goal=4,
            rounds=200 if quick else 2_000,
            warm_up=20,
        )
