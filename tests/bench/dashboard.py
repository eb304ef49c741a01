"""A coach's page of a player with 4,000 shots, alone and beside the shots of many other players."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.bench.ratio import Ratio, side_by_side, timed
from tests.bench.season import OWN_SHOTS, fill
from tests.bench.stage import Browser, Cast, browsing, copy_of_database, served, set_stage

FEW, MANY, MANY_IF_QUICK = 10_000, 1_000_000, 200_000
"""Shots of other players in the database."""


@contextmanager
def signed_in(path: Path, cast: Cast) -> Iterator[Browser]:
    """Serve a database and sign its coach in."""
    with served("practice.wsgi", DATABASE_URL=f"sqlite:///{path}") as port, browsing(port) as browser:
        browser.sign_in(cast.coach.email)
        yield browser


def measure(*, quick: bool) -> Iterator[Ratio]:
    cast = set_stage()
    many = MANY_IF_QUICK if quick else MANY
    few_path, many_path = (fill(copy_of_database(str(others)), cast, others) for others in (FEW, many))
    page = f"/players/{cast.player.pk}/dashboard/"
    rounds = {"rounds": 60 if quick else 300, "warm_up": 10}
    with signed_in(few_path, cast) as few, signed_in(many_path, cast) as beside_many:
        yield side_by_side(
            f"page of a player with {OWN_SHOTS:,} shots : a signed-in JSON answer",
            timed(lambda: few.ask("GET", page)),
            timed(lambda: few.ask("GET", "/play/me.json")),
            goal=8,
            **rounds,
        )
        yield side_by_side(
            f"the page beside {many:,} shots of others : beside {FEW:,}",
            timed(lambda: beside_many.ask("GET", page)),
            timed(lambda: few.ask("GET", page)),
            goal=1.1,
            **rounds,
        )
