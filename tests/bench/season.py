"""Seasons of many players, filled straight into the tables: a million shots by the usual way would take an hour."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from random import Random

from django.db import transaction

from practice.clubs.models import Club
from practice.ids import uuid7
from practice.players.models import Player
from practice.sessions.models import PracticeSession, Shot
from tests.bench.rows import columns_of, insert, opened, rows_of
from tests.bench.stage import Cast, make_bag, on_database
from tests.make import local, make_player, make_shot

DAYS, FIRST_DAY = 40, date(2026, 3, 2)
BALLS_A_DAY = 50
SHOTS_OF_OTHERS = DAYS * BALLS_A_DAY
OWN_TIMES = 2
"""The player whose page is asked for hits twice as many balls as anybody else."""
OWN_SHOTS = OWN_TIMES * SHOTS_OF_OTHERS
SWINGS = ("7:30", "9:00", "10:30", "full")


@dataclass(frozen=True)
class Hitter:
    """A player as the columns of their shots: (club, setup) of each club, and the session of each day."""

    player: str
    clubs: list[tuple[str, int]]
    sessions: list[int]
    times: int = 1


def fill(path: Path, cast: Cast, others: int) -> Path:
    """Give the player a season, and so many shots to other players, ball by ball in turns as they come in a season."""
    with on_database(path):
        # The pattern of all rows is somebody's shot that came in by the usual way, so that no column is left out.
        make_shot(make_bag(make_player(cast.academy))[0], cast.range, hit_at=local(2026, 1, 5))
        with transaction.atomic():
            hitters = [hitter(cast, cast.player, cast.clubs, OWN_TIMES)]
            for n in range(others // SHOTS_OF_OTHERS):
                player = make_player(cast.academy, f"Other {n}")
                hitters.append(hitter(cast, player, make_bag(player)))
    with opened(path) as database:
        pattern = dict(zip(columns_of(database, Shot), rows_of(database, Shot)[0], strict=True))
        database.execute("BEGIN IMMEDIATE")
        insert(database, Shot, season(pattern, hitters))
        database.execute("COMMIT")
        database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


def hitter(cast: Cast, player: Player, clubs: list[Club], times: int = 1) -> Hitter:
    days = [FIRST_DAY + timedelta(days=3 * n) for n in range(DAYS)]
    sessions = PracticeSession.objects.bulk_create(
        PracticeSession(player=player, academy=cast.academy, venue=cast.range, local_date=day) for day in days
    )
    setups = [(club.pk.hex, club.setup_now.pk) for club in clubs]
    return Hitter(player.pk.hex, setups, [session.pk for session in sessions], times)


def season(pattern: dict, hitters: list[Hitter]) -> Iterator[tuple]:
    """Yield the rows of all shots in the order in which they are hit."""
    chance = Random(1)
    moment = int(local(2026, 3, 2).timestamp() * 1000)
    number = pattern["id"]
    for day in range(DAYS):
        for _ in range(BALLS_A_DAY):
            for by in hitters:
                for _ in range(by.times):
                    number += 1
                    yield tuple((pattern | ball(by, day, number, moment, chance)).values())


def ball(by: Hitter, day: int, number: int, moment: int, chance: Random) -> dict:
    """Return what sets one shot apart from the pattern: a stock ball now and then, else one at a target."""
    club, setup = chance.choice(by.clubs)
    asked_m = 20 + 70 * chance.random()
    return {
        "id": number,
        "uid": uuid7(moment + number, chance.getrandbits).hex,
        "player_id": by.player,
        "session_id": by.sessions[day],
        "club_id": club,
        "setup_id": setup,
        "swing": chance.choice(SWINGS),
        "measured_by": "monitor",
        "contact": "fat" if chance.random() < 0.05 else "clean",
        "target_m": None if chance.random() < 0.2 else asked_m,
        "carry_m": asked_m * chance.gauss(1.0, 0.08),
        "lateral_m": chance.gauss(0.0, 3.0),
    }
