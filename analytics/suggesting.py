"""A player's figures as the plain values that a suggested week is made of."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from django.db.models import Count

from analytics.frames import BY_EYE, MEASURED, PlayerShots, player_shots
from analytics.metrics.form import SessionForms
from analytics.metrics.intervals import mean_interval
from analytics.metrics.mishit_rate import mishit_rate
from analytics.metrics.mishits import relative_errors_pct, suggested_mishits
from analytics.metrics.relative_scatter import shrunk_cv
from analytics.metrics.scatter_cost import putts_after_spread, strokes_per_m
from analytics.metrics.strike import FEWEST_MARKS, StrikePattern, strike_pattern
from analytics.metrics.wider import wider_scatter
from analytics.putting_table import table_of
from analytics.stock import AT_NO_TARGET, FLEW, TEST_BALLS, hit_as_lofted_now, with_stock_swing
from analytics.strikes import mark_columns, mark_sessions, marks_of
from analytics.target_balls import COURSE, FRESH, REPEAT, forms_by_kind
from practice.clubs.actions import asked_clubs, unread_clubs
from practice.clubs.models import Club, SwingLength
from practice.clubs.swings import FEEL, swing_position
from practice.planner.allocation import Need
from practice.planner.generator import ClubOption, GeneratorError, TargetOption, in_play
from practice.planner.stages import CoachValues, Figure, Figures, StockShot, Strike, Wider
from practice.planner.weights import faced_at
from practice.players.models import Player
from practice.sessions.models import Shot
from practice.sessions.words import Contact, MeasuredBy, Setting

USUAL_SWINGS = ("7:30", "9:00", "10:30")
"""Swing lengths of which a pitching club's carries are asked for, where the player has hit no other."""
BALLS_OF_A_VISIT = 2
"""Balls from which a visit has an average of its own."""
FACED_BALLS = 20
"""Balls on a course from which they say which distances the player faces."""
USUAL_M = 50.0
"""Where nothing was hit with a club yet, its scatter is reckoned at this distance."""
MISHIT_CV = 0.4
"""By what share of the distance a mishit misses: engineering estimate (fat 0.3 to 0.8 of it, thin 1.1 to 1.5)."""
NEAR_STEP = 0.15
"""In the logarithm of the distance: a ball counts 0.6 at 16 % from its own, 0.3 at 26 %. Engineering estimate."""
BANDS = {1: ("",), 2: ("short", "long"), 3: ("short", "middle", "long")}
TARGETS_OF_A_BAND = 3


def values_of(player: Player) -> CoachValues:
    """Return what the player's academy, which is fetched with them, lets pass."""
    academy = player.academy
    return CoachValues(
        mishit_pct=academy.passing_mishit_pct,
        strike_mm=academy.passing_strike_mm,
        fresh_pct=academy.passing_fresh_pct,
        course_pct=academy.passing_course_pct,
    )


def player_figures(player: Player, found: PlayerShots | None = None) -> Figures:
    """Read what decides the stage of a player whose academy is fetched with them.

    What counts is what was hit in the last days that the academy's carry charts count; `found` are the player's shots,
    where they were read before.
    """
    found = found or player_shots(player)
    today = player.academy.today()
    since = today - timedelta(days=player.academy.carry_chart_days)
    clubs = asked_clubs(player)
    unread = unread_clubs(clubs, today=today, days=player.academy.bag_review_days)
    forms = forms_by_kind(player, since)
    return Figures(
        clubs=tuple(club.label for club in clubs),
        unchecked=tuple(club.label for club in unread),
        loft_days=player.academy.bag_review_days,
        strike=_strike(player, found, since),
        stock=_stock(player, clubs, today, since),
        stock_days=player.academy.carry_chart_days,
        fresh=_wider(forms, REPEAT, FRESH),
        course=_wider(forms, FRESH, COURSE),
    )


# The strike


def _strike(player: Player, found: PlayerShots, since: date) -> Strike:
    columns = found.columns
    lately = columns.day >= since.toordinal()
    group, errors_pct = relative_errors_pct(columns, len(found.cells))
    short = suggested_mishits(group, errors_pct, columns.mishit) & (np.nan_to_num(errors_pct) < 0)
    sessions = int(columns.session.max(initial=-1)) + 1
    rate = mishit_rate(
        np.bincount(columns.session[lately & columns.mishit], minlength=sessions),
        np.bincount(columns.session[lately], minlength=sessions),
    )
    counted = Shot.objects.live().filter(player=player, session__setting=Setting.RANGE, warm_up=False)
    marks = _newest_marks(player, since)
    strike = Strike(
        balls=rate.shots,
        mishits=rate.mishits,
        fat=counted.filter(contact=Contact.FAT, session__local_date__gte=since).count(),
        short=int((short & lately).sum()),
        mishit_pct=None if rate.pct is None else Figure(rate.pct, *rate.ci95_pct),
    )
    if marks is None:
        return strike
    return replace(strike, marks=marks.n, scatter_mm=Figure(marks.consistency_mm, *marks.consistency_ci95_mm))


def _newest_marks(player: Player, since: date) -> StrikePattern | None:
    """Return the pattern of the last marks with one club that make one."""
    for session in reversed(mark_sessions(player)):
        if session.day < since:
            break
        if session.marks < FEWEST_MARKS:
            continue
        club = Club.objects.get(pk=session.club)
        pattern = strike_pattern(*mark_columns(marks_of(player, club, [session.session])[session.session]))
        if isinstance(pattern, StrikePattern):
            return pattern
    return None


# The stock carries


def _stock(player: Player, clubs: Sequence[Club], today: date, since: date) -> tuple[StockShot, ...]:
    """Return the swings of each club, in order of loft and swing: those hit so far, else those usually asked for."""
    tested = _last_tests(clubs)
    averages = _averages_by_visit(clubs, since)
    own = dict(SwingLength.objects.filter(academy=player.academy_id).values_list("code", "position"))
    shots = []
    for club in clubs:
        swings = {swing for pk, swing in (*tested, *averages) if pk == club.pk} or USUAL_SWINGS
        for swing in sorted(swings, key=lambda swing: swing_position(swing, own)):
            last = tested.get((club.pk, swing))
            shot = StockShot(club.label, swing, (today - last).days if last else None)
            bias_m, target_m, visits = averages.get((club.pk, swing), (None, 0.0, 0))
            shots.append(replace(shot, bias_m=bias_m, target_m=target_m, visits=visits))
    return tuple(shots)


def _last_tests(clubs: Sequence[Club]) -> dict[tuple, date]:
    """Return the day since when there were enough stock balls of each club, as it is lofted now, and swing."""
    unmarked = hit_as_lofted_now(list(clubs)).filter(strike_heel_toe_mm=None, strike_low_high_mm=None)
    balls = with_stock_swing(unmarked).filter(AT_NO_TARGET, FLEW)
    newest = defaultdict(list)
    for club, swing, day, n in balls.values_list("club", "swing", "session__local_date").annotate(n=Count("pk")):
        newest[club, swing] += n * [day]
    enough = {shot: sorted(days, reverse=True) for shot, days in newest.items() if len(days) >= TEST_BALLS}
    return {shot: days[TEST_BALLS - 1] for shot, days in enough.items()}


def _averages_by_visit(clubs: Sequence[Club], since: date) -> dict[tuple, tuple[Figure | None, float, int]]:
    """Return how far the named swings of each club land from their targets on average, with the mean target (m) and
    the number of visits: measured or by eye, whichever has more visits.

    A visit is one observation, for its balls share the day; under two there is no figure.
    """
    balls = hit_as_lofted_now(list(clubs)).filter(FLEW, session__local_date__gte=since, target_m__isnull=False)
    balls = balls.filter(helped=False).exclude(swing=FEEL)
    visits = defaultdict(lambda: defaultdict(list))
    for club, swing, measured_by, session, carry_m, target_m in balls.values_list(
        "club", "swing", "measured_by", "session", "carry_m", "target_m"
    ):
        by = BY_EYE if measured_by == MeasuredBy.EYE else MEASURED
        visits[club, swing, by][session].append((carry_m - target_m, target_m))
    found = {}
    for club, swing, by in sorted(visits, key=lambda key: key[2] == BY_EYE):
        enough = [np.array(rows) for rows in visits[club, swing, by].values() if len(rows) >= BALLS_OF_A_VISIT]
        if len(enough) > found.get((club, swing), (None, 0.0, 0))[2]:
            found[club, swing] = (*_average([rows.mean(axis=0) for rows in enough]), len(enough))
    return found


def _average(visits: list[np.ndarray]) -> tuple[Figure | None, float]:
    errors_m, targets_m = np.array(visits).T
    if len(visits) < 2:
        return None, float(targets_m.mean())
    ends = mean_interval(len(visits), float(errors_m.mean()), float(errors_m.std(ddof=1)))
    return Figure(float(errors_m.mean()), *ends), float(targets_m.mean())


# Fresh and repeat, course and practice


def _wider(forms: dict[tuple[str, str], SessionForms], first: str, second: str) -> Wider:
    """Compare two kinds of balls, measured or by eye: whichever has more visits of the kind that has fewer."""
    best = Wider()
    for by in (MEASURED, BY_EYE):
        pair = [forms.get((kind, by)) for kind in (first, second)]
        visits = tuple(len(kind.counted().n) if kind else 0 for kind in pair)
        if min(visits) > min(best.visits) or by == MEASURED:
            found = wider_scatter(*pair) if all(pair) else None
            best = Wider(visits, found and Figure(found.pct, *found.ci95_pct))
    return best


# What the balls can go to


def target_needs(
    player: Player,
    found: PlayerShots,
    clubs: Sequence[ClubOption],
    targets: Sequence[TargetOption],
    faced_m: Sequence[tuple[float, float]],
) -> tuple[Need, ...]:
    """Return the targets in reach as needs, nearest first: the scatter there as judged from the balls near it.

    `faced_m` are distances that the player faces, each with how often; empty is all alike.
    """
    field = _in_reach(clubs, targets)
    if not field:
        return ()
    field = sorted(field, key=lambda target: (target.distance_m, target.name))
    distances_m = np.array([target.distance_m for target in field])
    faced = _faced(clubs, field, faced_m)
    errors, steps = _errors_and_steps(found, distances_m)
    n, cv = _relative_rms(errors, np.abs(steps).argmin(axis=1), len(field))
    scatter_m = shrunk_cv(n, cv) * distances_m
    per_m = strokes_per_m(table_of(player.academy), scatter_m)
    # A ball counts in part at the distances beside its own, as practice there helps here too.
    hit = np.exp(-((steps / NEAR_STEP) ** 2) / 2).sum(axis=0)
    bands = BANDS[min(3, 1 + (len(field) - 1) // TARGETS_OF_A_BAND)]
    return tuple(
        Need(
            name=target.name,
            theme=bands[k * len(bands) // len(field)],
            faced=faced[target.name] / sum(faced.values()),
            strokes_per_m=float(per_m[k]),
            scatter_m=float(scatter_m[k]),
            hit=round(float(hit[k])),
        )
        for k, target in enumerate(field)
    )


def _in_reach(clubs: Sequence[ClubOption], targets: Sequence[TargetOption]) -> list[TargetOption]:
    try:
        return in_play(clubs, targets)[1]
    except GeneratorError:
        return []


def _faced(
    clubs: Sequence[ClubOption], field: Sequence[TargetOption], faced_m: Sequence[tuple[float, float]]
) -> dict[str, float]:
    """Return how often each target stands for a distance that is faced; all alike where none does."""
    try:
        return faced_at(clubs, field, faced_m)[0]
    except GeneratorError:
        return dict.fromkeys((target.name for target in field), 1.0)


def _errors_and_steps(found: PlayerShots, distances_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the relative errors of good balls, shape (balls,), and the logarithms of their targets over each distance,
    shape (balls, distances): of the measured balls or those by eye, whichever are more."""
    columns = found.columns
    errors = (columns.carry_m - columns.target_m) / columns.target_m
    by_eye = np.array([cell.by == BY_EYE for cell in found.cells], dtype=bool)[columns.cell]
    good = ~(columns.mishit | np.isnan(errors))
    chosen = good & by_eye if (good & by_eye).sum() > (good & ~by_eye).sum() else good & ~by_eye
    return errors[chosen], np.log(columns.target_m[chosen, None] / distances_m)


def _relative_rms(errors: np.ndarray, group: np.ndarray, groups: int) -> tuple[np.ndarray, np.ndarray]:
    n = np.bincount(group, minlength=groups)
    return n, np.sqrt(np.bincount(group, errors**2, minlength=groups) / np.maximum(n, 1))


def club_needs(player: Player, found: PlayerShots, labels: Sequence[str]) -> tuple[Need, ...]:
    """Return clubs as needs for work on the strike: at stake is what mishits cost beside good balls.

    A club's share of mishits is reckoned as if one of ten more balls had been one, so that few balls tell little.
    """
    columns = found.columns
    place = {label: n for n, label in enumerate(labels)}
    of_cell = np.array([place.get(cell.club, -1) for cell in found.cells], dtype=np.intp)
    club = of_cell[columns.cell] if len(found.cells) else np.zeros(0, dtype=np.intp)
    errors = (columns.carry_m - columns.target_m) / columns.target_m
    good = (club >= 0) & ~(columns.mishit | np.isnan(errors))
    n, cv = _relative_rms(errors[good], club[good], len(labels))
    cv = shrunk_cv(n, cv)
    balls = np.bincount(club[club >= 0], minlength=len(labels))
    mishits = np.bincount(club[(club >= 0) & columns.mishit], minlength=len(labels))
    with_mishits = np.sqrt(cv**2 + (mishits + 1) / (balls + 10) * MISHIT_CV**2)
    targets_m = np.bincount(club[good], columns.target_m[good], minlength=len(labels)) / np.maximum(n, 1)
    distance_m = np.where(n > 0, targets_m, USUAL_M)
    added_m = (with_mishits - cv) * distance_m
    table = table_of(player.academy)
    cost = putts_after_spread(table, with_mishits * distance_m) - putts_after_spread(table, cv * distance_m)
    faced = (1 + balls) / (balls.sum() + len(labels))
    rows = zip(labels, faced.tolist(), (cost / added_m).tolist(), added_m.tolist(), balls.tolist(), strict=True)
    return tuple(Need(label, "", share, per_m, added, hit) for label, share, per_m, added, hit in rows)


def faced_on_course(player: Player) -> list[tuple[float, float]]:
    """Return the distances of the player's balls at targets on a course, each once; none where they are too few."""
    on_course = Shot.objects.live().filter(player=player, session__setting=Setting.COURSE, target_m__isnull=False)
    distances_m = list(on_course.order_by("target_m").values_list("target_m", flat=True))
    return [(distance_m, 1.0) for distance_m in distances_m] if len(distances_m) >= FACED_BALLS else []
