"""Logging one shot over HTTP, against a bare WSGI application that runs the same statements."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import partial

from django.conf import settings
from django.test import Client

from practice.accounts.models import Device
from tests.bench.phone import Phone, check_stored
from tests.bench.ratio import Go, Ratio, side_by_side, timed
from tests.bench.stage import BEHIND_PROXY, Browser, Cast, browsing, copy_of_database, served, set_stage
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


def logging(browser: Browser, phone: Phone, shots: int = 1, **headers: str) -> Go:
    """Return a go that sends new shots in one request; making them is not timed."""

    def go() -> float:
        body = phone.delivery(shots)
        send = timed(lambda: check_stored(browser.ask("POST", "/sync/", body, **headers)))
        return send()

    return go


@contextmanager
def both_served(cast: Cast, server: Sequence[str] = BEHIND_PROXY) -> Iterator[tuple[int, int, int]]:
    """Serve ours and the bare application alike; gives both ports and how many statements a shot takes."""
    statements, delivery = record_one(cast)
    script = settings.VAR / "script.json"
    write_script(script, statements, database=copy_of_database("bare"), delivery=delivery)
    bare = served("tests.bench.bare", server, BENCH_SCRIPT=str(script))
    with served("practice.wsgi", server) as port, bare as bare_port:
        yield port, bare_port, len(statements)


def sign_in(browser: Browser, cast: Cast) -> tuple[Phone, dict[str, str]]:
    """Sign the player in; return their phone and the headers with which it sends."""
    me = browser.sign_in(cast.player.user.email)
    headers = {"Content_Type": "application/json", "Accept": "application/json", "X_CSRFToken": me["csrf"]}
    return Phone(cast, me["device"]), headers


def measure(*, quick: bool) -> Iterator[Ratio]:
    cast = set_stage()
    with both_served(cast) as (port, bare_port, statements), browsing(port) as ours, browsing(bare_port) as bare:
        phone, headers = sign_in(ours, cast)
        yield side_by_side(
            f"logging a shot over HTTP : a bare WSGI application, the same {statements} statements",
            logging(ours, phone, **headers),
            logging(bare, phone, **headers),
            goal=4,
            rounds=200 if quick else 2_000,
            warm_up=20,
        )
