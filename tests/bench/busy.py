"""Logging while others log too: eight phones at once, and single shots while a backlog streams in."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from math import ceil
from threading import Event, Thread

from tests.bench.log import both_served, logging, sign_in
from tests.bench.ratio import Go, Ratio, side_by_side, timed
from tests.bench.stage import BEHIND_PROXY, FACING_PHONES, Cast, browsing, served, set_stage

CLIENTS = 8
BATCH = 200
SHOTS_A_ROUND = 20


def all_at_once(goes: list[Go], pool: ThreadPoolExecutor) -> Go:
    """Return a go in which every client sends its shots, one after the other, beside all the others.

    The clients share the machine with the server and cost both sides alike, which draws the ratio towards 1.
    """

    def send_all(go: Go) -> None:
        for _ in range(SHOTS_A_ROUND):
            go()

    return timed(lambda: list(pool.map(send_all, goes)))


def p95_of(go: Go) -> Go:
    """Return a go that does another many times and gives its 95th percentile (nearest rank)."""
    return lambda: sorted(go() for _ in range(SHOTS_A_ROUND))[ceil(0.95 * SHOTS_A_ROUND) - 1]


@contextmanager
def over_and_over(action: Callable[[], object]) -> Iterator[None]:
    """Do something again and again in a thread, from before this is entered until it is left."""
    begun, enough, failed = Event(), Event(), []

    def run() -> None:
        try:
            while not enough.is_set():
                begun.set()
                action()
        except Exception as fault:
            failed.append(fault)

    thread = Thread(target=run)
    thread.start()
    begun.wait()
    try:
        yield
    finally:
        enough.set()
        thread.join()
    if failed:
        raise failed[0]


def eight_phones(cast: Cast, server: Sequence[str], how: str, rounds: int) -> Ratio:
    """Let every phone log shots at once, at ours and at the bare application, both served alike."""
    with both_served(cast, server) as (port, bare_port, _), ExitStack() as stack:
        ours, bare = ([stack.enter_context(browsing(at)) for _ in range(CLIENTS)] for at in (port, bare_port))
        phones = [sign_in(browser, cast) for browser in ours]
        pool = stack.enter_context(ThreadPoolExecutor(CLIENTS))
        sides = (
            [logging(browser, phone, **headers) for browser, (phone, headers) in zip(side, phones, strict=True)]
            for side in (ours, bare)
        )
        what = f"{CLIENTS} phones log {SHOTS_A_ROUND} shots each, {how} : the same, bare WSGI application"
        return side_by_side(what, *(all_at_once(goes, pool) for goes in sides), goal=2, rounds=rounds)


def single_beside_batches(cast: Cast, rounds: int) -> Ratio:
    """Let one phone log shot after shot while another one sends its backlog."""
    with served("practice.wsgi") as port, browsing(port) as browser, browsing(port) as other:
        (phone, headers), (other_phone, other_headers) = (sign_in(each, cast) for each in (browser, other))
        single = p95_of(logging(browser, phone, **headers))
        backlog = logging(other, other_phone, BATCH, **other_headers)

        def while_batches_stream() -> float:
            with over_and_over(backlog):
                return single()

        what = f"p95 of a shot while another phone sends batches of {BATCH} : p95 alone"
        return side_by_side(what, while_batches_stream, single, goal=None, rounds=rounds)


def measure(*, quick: bool) -> Iterator[Ratio]:
    cast = set_stage()
    rounds = 5 if quick else 40
    yield eight_phones(cast, BEHIND_PROXY, "as behind a proxy", rounds)
    yield eight_phones(cast, FACING_PHONES, "in threads", rounds)
    yield single_beside_batches(cast, rounds)
