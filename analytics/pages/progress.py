"""What the page on a player's progress says: ready sentences and rows."""

from dataclasses import dataclass
from datetime import date

from django import forms
from django.http import QueryDict

from analytics.frames import BY_EYE
from analytics.metrics.progress import Change
from analytics.progress import Effort, PlayerProgress, SeriesProgress, WatchedSeries, effort, player_progress
from analytics.target_balls import Series
from practice.clubs.swings import FEEL, swing_name
from practice.drills.kinds import KINDS
from practice.players.models import Player
from practice.units import DistanceUnit

USUAL_BALLS, USUAL_VISITS = 60, 2
"""What the form starts from: a week's work of a player who practises often; common practice, no source."""


class EffortForm(forms.Form):
    """So much work a week, all of it optional: an empty field asks about the usual week."""

    balls = forms.IntegerField(label="Balls at targets a week", min_value=1, max_value=1000, required=False)
    visits = forms.IntegerField(label="Visits a week", min_value=1, max_value=7, required=False)

    @classmethod
    def of(cls, given: QueryDict) -> "EffortForm":
        """Return the form of what was given, with the usual week in what was not."""
        return cls({"balls": USUAL_BALLS, "visits": USUAL_VISITS, **given.dict()})

    def asked(self) -> dict:
        """Return what to work out: what was given where it is valid, else the usual."""
        given = self.cleaned_data if self.is_valid() else {}
        return {
            "balls_a_week": given.get("balls") or USUAL_BALLS,
            "visits_a_week": given.get("visits") or USUAL_VISITS,
        }


@dataclass(frozen=True)
class ProgressLine:
    """One kind of work in words."""

    name: str
    sentence: str
    certainty: str
    details: str


@dataclass(frozen=True)
class ProgressPage:
    """All that the template needs."""

    player: Player
    headline: str
    lines: tuple[ProgressLine, ...]
    watch_sentence: str
    alarms: tuple[str, ...]
    effort: Effort
    effort_sentence: str
    effort_rows: tuple[tuple[str, str], ...]


def progress_page(player: Player, *, balls_a_week: int, visits_a_week: int) -> ProgressPage:
    """Return the page of a player whose academy is fetched with them."""
    found = player_progress(player)
    unit = player.shown_unit
    lines = tuple(_line(one, found.reference_m, unit) for one in found.series)
    work = effort(found, balls_a_week=balls_a_week, visits_a_week=visits_a_week)
    return ProgressPage(
        player=player,
        headline=_headline(lines),
        lines=lines,
        watch_sentence=_watch_sentence(found),
        alarms=tuple(_alarm(one) for one in found.alarms),
        effort=work,
        effort_sentence=_effort_sentence(work),
        effort_rows=tuple((f"{weeks} weeks", _smallest(pct)) for weeks, pct in work.smallest_pct),
    )


def _headline(lines: tuple[ProgressLine, ...]) -> str:
    if not lines:
        return "No visit has five fresh balls at known targets yet: there is nothing to follow so far."
    return f"{lines[0].name}: {lines[0].sentence}"


def series_name(series: Series) -> str:
    """Return what was practised, e.g. "Mixed targets, by eye, since 19 October 2026"."""
    kind = KINDS[series.kind].title if series.kind else "Balls of the player's own choice"
    parts = [kind] + (["by eye"] if series.by == BY_EYE else [])
    if series.since:
        parts.append(f"since the clubs changed on {said_day(series.since)}")
    return ", ".join(parts)


def said_day(day: date) -> str:
    """Return a date as it is said, e.g. "19 October 2026"."""
    return f"{day.day} {day:%B %Y}"


def _line(one: SeriesProgress, reference_m: float, unit: DistanceUnit) -> ProgressLine:
    progress = one.progress
    details = f"{progress.sessions} visits with {progress.balls} balls"
    if progress.thin_sessions:
        details += f"; {progress.thin_sessions} more with fewer than five balls are left out"
    if progress.floored_sessions:
        details += f"; on {progress.floored_sessions} the balls were nearer than the measurement can tell"
    sentence = _sentence(progress.change, progress.certainty, progress.sessions, reference_m, unit)
    return ProgressLine(series_name(one.series), sentence, progress.certainty, details)


def _sentence(change: Change | None, certainty: str, sessions: int, reference_m: float, unit: DistanceUnit) -> str:
    if change is None or certainty == "can't tell":
        return "can't tell yet whether this is changing."
    low, high = (unit.from_m(end) for end in change.to_ci95_m)
    verdict = "This is sure" if certainty == "sure" else "It leans that way, no more"
    return (
        f"the typical error went from {unit.from_m(change.from_m):.1f} to {unit.from_m(change.to_m):.1f} "
        f"{unit.value} at {unit.from_m(reference_m):.0f} {unit.value}, over {sessions} visits "
        f"(now between {low:.1f} and {high:.1f}). {verdict}: {change.direction}."
    )


def _watch_sentence(found: PlayerProgress) -> str:
    if not found.watched:
        return (
            "Nothing is watched yet: a club and swing needs five visits with five measured balls each, "
            "the player as a whole eight."
        )
    charts = f"{len(found.watched)} chart{'s are' if len(found.watched) > 1 else ' is'} watched from visit to visit"
    if not found.alarms:
        return f"{charts}; none has left its limits."
    return f"{charts}; {len(found.alarms)} left the limits:"


def _alarm(one: WatchedSeries) -> str:
    series, chart = one.series, one.chart
    swing = "feel" if series.swing == FEEL else swing_name(series.swing)
    what = f"{series.club}, {swing}, " if series.club else ""
    return (
        f"{what}{series_name(series)}: {chart.verdict} since {said_day(date.fromordinal(chart.alarm_day))} "
        f"(usual before: {chart.baseline_pct:.0f} % of the target)."
    )


DAY_SD_WORDS = {
    "own": "this player's own day-to-day variation",
    "least": "the least day-to-day variation that is reckoned with,",
    "assumed": "an assumed day-to-day variation",
}


def _effort_sentence(work: Effort) -> str:
    whose = DAY_SD_WORDS[work.day_sd_is]
    return (
        f"With {work.balls_a_week} balls at targets a week in {work.visits_a_week} "
        f"visit{'s' if work.visits_a_week > 1 else ''}, and {whose} of {100 * work.day_sd:.0f} %, "
        "an improvement smaller than this would most likely not be seen:"
    )


def _smallest(pct: float | None) -> str:
    return "none can be seen: too few balls a visit" if pct is None else f"{pct:.0f} % smaller errors"
