"""A player's one-ball tests, each ball hit once and scored by the strokes to expect from where it ended."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

import numpy as np

from analytics.metrics.one_ball import strokes_to_hole_out
from analytics.metrics.putting import PuttingTable
from practice.planner.models import Block
from practice.players.models import Player
from practice.sessions.models import Shot
from practice.sessions.words import MISHITS

TESTS_SHOWN = 5


@dataclass(frozen=True)
class OneBallTest:
    """One test: strokes of each ball that was hit and seen, and of how many of these the sideways miss is unknown."""

    day: date
    title: str
    asked: int
    strokes: np.ndarray
    no_lateral: int


def one_ball_tests(player: Player, table: PuttingTable) -> list[OneBallTest]:
    """Return the newest tests, the last day's first."""
    shots = Shot.objects.live().filter(player=player, ball__block__kind="one_ball").in_order()
    columns = ("ball__block", "ball", "session__local_date", "target_m", "carry_m", "error_m", "lateral_m", "contact")
    balls: dict = defaultdict(dict)
    days = {}
    for block, ball, day, target_m, carry_m, error_m, lateral_m, contact in shots.values_list(*columns):
        days[block] = day
        mishit = contact in MISHITS
        if error_m is None and carry_m is not None and target_m is not None:
            error_m = carry_m - target_m
        # There is no second try: what was hit first counts.
        if mishit or error_m is not None:
            balls[block].setdefault(ball, (error_m, lateral_m, mishit))
    newest = sorted(balls, key=lambda block: days[block], reverse=True)[:TESTS_SHOWN]
    held = Block.objects.prefetch_related("balls").in_bulk(newest)
    return [_test(held[block], days[block], list(balls[block].values()), table) for block in newest]


def _test(block: Block, day: date, balls: list[tuple], table: PuttingTable) -> OneBallTest:
    error_m, lateral_m, mishit = np.array(balls, dtype=float).T
    strokes = strokes_to_hole_out(error_m, lateral_m, mishit.astype(bool), table)
    no_lateral = int((np.isnan(lateral_m) & (mishit == 0)).sum())
    return OneBallTest(day, block.title, block.balls_asked, strokes, no_lateral)
