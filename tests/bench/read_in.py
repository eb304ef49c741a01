"""Importing a file of 10,000 shots, against executemany of the same rows."""

import csv
import io
from collections.abc import Iterator
from datetime import timedelta
from random import Random

from django.utils import timezone

from practice.sessions.importing import import_shots
from practice.venues.models import Venue
from tests.bench.mirror import mirrored
from tests.bench.ratio import Ratio, side_by_side, timed
from tests.bench.stage import Cast, set_stage
from tests.make import local

SHOTS = 10_000
A_DAY = 100
SWINGS = ("7:30", "9:00", "10:30", "full", "feel")


def file_of_shots(cast: Cast, chance: Random) -> bytes:
    """Return a CSV of shots of a hundred days that no file before had."""
    text = io.StringIO()
    lines = csv.writer(text)
    lines.writerow(["hit_at", "club", "swing", "target_m", "carry_m", "lateral_m", "contact", "measured_by"])
    first = local(2026, 3, 2)
    for n in range(SHOTS):
        hit_at = first + timedelta(days=n // A_DAY, seconds=30 * (n % A_DAY))
        club, swing = chance.choice(cast.clubs).label, chance.choice(SWINGS)
        target_m = round(20 + 70 * chance.random(), 1)
        carry_m, lateral_m = target_m * chance.gauss(1.0, 0.08), chance.gauss(0.0, 3.0)
        lines.writerow([hit_at.isoformat(), club, swing, target_m, carry_m, lateral_m, "clean", "monitor"])
    return text.getvalue().encode()


def measure(*, quick: bool) -> Iterator[Ratio]:
    cast = set_stage()
    chance = Random(1)

    def read_in() -> float:
        stream = io.BytesIO(file_of_shots(cast, chance))
        report = None

        def go():
            nonlocal report
            report = import_shots(player=cast.player, stream=stream, file_name="shots.csv", now=timezone.now())

        seconds = timed(go)()
        if report.new != SHOTS:
            raise RuntimeError(f"{report.new} shots were imported: {report.faults[:3]}")
        return seconds

    # The place of shots that name none is made with the first import; the copy is to have it too.
    Venue.objects.elsewhere_of(cast.academy)
    with mirrored() as mirror:
        yield side_by_side(
            f"importing a file of {SHOTS:,} shots : executemany of the same rows",
            read_in,
            mirror.catch_up,
            goal=None,
            rounds=2 if quick else 7,
        )
