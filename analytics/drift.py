"""Which clubs' stock carries have drifted since the last bend, and in which order to look for why."""

from collections import Counter
from dataclasses import dataclass
from datetime import timedelta

from analytics.metrics.drift import Drift, carry_drift
from analytics.stock import AT_NO_TARGET, FLEW, hit_as_lofted_now, with_stock_swing
from practice.clubs.models import Club
from practice.players.models import Player
from practice.sessions.words import Wind

LATEST_DAYS = 30
"""Visits of so many days are the latest ones; where there are none, the last visit is. Common practice, no source."""


@dataclass(frozen=True)
class ClubDrift:
    club: str
    drift: Drift


def bag_drift(player: Player) -> list[ClubDrift]:
    """Judge the carried clubs of a player, by loft; the academy is fetched with the player.

    Stock balls as in the carry chart, in no strong wind, since the last bend and with no other limit in time; of one
    ball type and surface, the one with most balls. Clubs without any are left out.
    """
    clubs = sorted(Club.objects.filter(player=player).for_pitching().with_setups(), key=Club.loft_key)
    balls = with_stock_swing(hit_as_lofted_now(clubs)).filter(AT_NO_TARGET, FLEW).exclude(wind=Wind.WINDY)
    balls = balls.filter(strike_heel_toe_mm=None, strike_low_high_mm=None)
    columns = ("ball_type", "surface", "club", "swing", "session__local_date", "carry_m")
    rows = list(balls.values_list(*columns))
    if not rows:
        return []
    kinds = Counter(row[:2] for row in rows)
    most = min(kinds, key=lambda kind: (-kinds[kind], kind))
    of_club = {club.pk: [row[3:] for row in rows if row[:2] == most and row[2] == club.pk] for club in clubs}
    seen = [club for club in clubs if of_club[club.pk]]
    since = player.academy.today() - timedelta(days=LATEST_DAYS)
    return [ClubDrift(club.label, _drift(of_club[club.pk], since, len(seen))) for club in seen]


def _drift(rows: list[tuple], since, clubs: int) -> Drift:
    """Judge one club by rows of (swing, day, carry)."""
    swings = {swing: n for n, swing in enumerate(sorted({row[0] for row in rows}))}
    last = max(day for _, day, _ in rows)
    return carry_drift(
        [day.toordinal() for _, day, _ in rows],
        [swings[swing] for swing, _, _ in rows],
        [carry_m for _, _, carry_m in rows],
        [day > min(since, last - timedelta(days=1)) for _, day, _ in rows],
        clubs=clubs,
    )


def drift_words(found: list[ClubDrift]) -> list[str]:
    """Say of each club whose stock carries have drifted by how much, and over which visits."""
    return [
        f"The stock carries of {each.club} have drifted {each.drift.pct:+.0f} % "
        f"({each.drift.ci95_pct[0]:+.0f} to {each.drift.ci95_pct[1]:+.0f} %): the latest {each.drift.visits_now} of "
        f"{each.drift.visits_now + each.drift.visits_before} visits beside those before.".replace("-", "−")
        for each in found
        if each.drift.verdict == "drifted"
    ]


def suspects(player: Player) -> list[str]:
    """Return where to look for the reason, the likeliest first; common practice, no source."""
    growth = ["growth: a junior hits farther every season"] if player.is_junior else []
    return ["the tee line: laser it again", "the ball", "the wind", *growth, "the loft: read it"]
