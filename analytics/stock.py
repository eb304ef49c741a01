"""A player's stock balls: what the carry chart, the choice of a shot, the gaps and the reach of a club are made of.

A stock ball was hit to no target with a named swing length, on a range, and its carry was measured.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import Count, Q

from analytics.metrics.carry_chart import StockBalls
from analytics.metrics.carry_surface import LOFTS_DEG
from practice.clubs.models import Club, ClubKind, SwingLength
from practice.clubs.swings import CLOCK_SWINGS, FEEL, swing_position
from practice.players.models import Player
from practice.sessions.models import Shot, ShotQuerySet
from practice.sessions.words import MISHITS, DistanceIs, MeasuredBy, Setting, Wind

TEST_BALLS = 3
"""Stock balls on a day that make it a carry test; common practice, no source."""

AT_NO_TARGET = Q(target=None, target_name="", target_m=None)
FLEW = Q(carry_m__gt=0) & ~Q(contact__in=MISHITS)


def hit_as_lofted_now(clubs: list[Club]) -> ShotQuerySet:
    """Return the range balls hit with these clubs as they are lofted now: a new grip changes nothing, a bend does.

    The clubs' setups are fetched with them. Without warm-up balls and balls that were noted where they stopped; with
    mishits.
    """
    setups = [setup.pk for club in clubs for setup in club.setups.all() if setup.loft_deg == club.setup_now.loft_deg]
    balls = Shot.objects.live().filter(club__in=clubs, setup__in=setups, session__setting=Setting.RANGE)
    return balls.filter(distance_is=DistanceIs.CARRY, warm_up=False).order_by()


def with_stock_swing(balls: ShotQuerySet) -> ShotQuerySet:
    """Return the measured balls with a named swing length; by eye there is no stock carry."""
    return balls.exclude(swing=FEEL).exclude(measured_by=MeasuredBy.EYE)


@dataclass
class StockCell:
    """One club and swing.

    Attributes
    ----------
    carries_m
        Of the stock balls, mishits left out; may be empty where the swing was hit at targets only.
    laterals_m
        Lateral errors of the balls that were no mishits, at targets too: how far a ball strays sideways does not
        depend on whether there was a flag.
    balls, mishits
        All balls, at targets too, and how many of them were mishits by the player's own flag.
    """

    club: str
    loft_deg: float | None
    swing: str
    carries_m: list[float] = field(default_factory=list)
    laterals_m: list[float] = field(default_factory=list)
    balls: int = 0
    mishits: int = 0


@dataclass(frozen=True)
class StockSet:
    """The cells of one ball type and surface ("" is not noted), which are never mixed with another's.

    Attributes
    ----------
    swings
        Of the stock balls in `cells`, shortest first.
    cells, windy
        In order of loft, then swing. Those hit in a strong wind are apart: shown, but in no cell of the chart.
    last_test
        The last day with 3 stock balls or more, whether or not they still count; None without such a day.
    """

    ball_type: str
    surface: str
    swings: tuple[str, ...]
    cells: tuple[StockCell, ...]
    windy: tuple[StockCell, ...]
    last_test: date | None

    @property
    def key(self) -> str:
        """The name of this set in an address."""
        return f"{self.ball_type or 'any'}-{self.surface or 'any'}"

    @property
    def stock_balls(self) -> int:
        return sum(len(cell.carries_m) for cell in (*self.cells, *self.windy))


@dataclass(frozen=True)
class PlayerStock:
    """The sets with stock balls that count, the one with most of them first.

    `clubs` are all that are carried, by loft, with their setups; the putter too, of which no ball counts. `since` is
    the first day that counts; `last_test` the last day of a carry test with any balls.
    """

    clubs: tuple[Club, ...]
    sets: tuple[StockSet, ...]
    since: date
    last_test: date | None

    def chosen(self, key: str) -> StockSet | None:
        """Return the set of that key, else the first."""
        return next((each for each in self.sets if each.key == key), next(iter(self.sets), None))


COLUMNS = ("club", "swing", "ball_type", "surface", "wind", "carry_m", "lateral_m", "contact", "to_target")


def player_stock(player: Player) -> PlayerStock:
    """Read the stock balls of the clubs carried (but the putter): of the academy's last days, since the last bend.

    Left out are balls hit with spray or tape on the face, which flew otherwise: those that carry a strike mark.
    The academy is fetched with the player.
    """
    carried = sorted(Club.objects.filter(player=player).carried().with_setups(), key=Club.loft_key)
    clubs = [club for club in carried if club.kind != ClubKind.PUTTER]
    unmarked = hit_as_lofted_now(clubs).filter(strike_heel_toe_mm=None, strike_low_high_mm=None)
    balls = with_stock_swing(unmarked)
    since = player.academy.today() - timedelta(days=player.academy.carry_chart_days)
    recent = balls.filter(session__local_date__gte=since).annotate(to_target=~AT_NO_TARGET)
    by_set = defaultdict(list)
    for club, swing, ball_type, surface, *rest in recent.values_list(*COLUMNS):
        by_set[ball_type, surface].append((club, swing, *rest))
    own_swings = dict(SwingLength.objects.filter(academy=player.academy_id).values_list("code", "position"))
    tests = _last_tests(balls)
    sets = (_stock_set(key, rows, clubs, own_swings, tests.get(key)) for key, rows in by_set.items())
    with_stock = [each for each in sets if each.stock_balls]
    with_stock.sort(key=lambda each: (-each.stock_balls, each.key))
    return PlayerStock(tuple(carried), tuple(with_stock), since, max(tests.values(), default=None))


def _last_tests(balls: ShotQuerySet) -> dict[tuple[str, str], date]:
    """Return the last day with enough stock balls of each ball type and surface."""
    days = balls.filter(AT_NO_TARGET, FLEW).values_list("ball_type", "surface", "session__local_date")
    days = days.annotate(n=Count("pk")).filter(n__gte=TEST_BALLS).order_by("session__local_date")
    return {(ball_type, surface): day for ball_type, surface, day, _ in days}


def _stock_set(
    key: tuple[str, str], rows: list[tuple], clubs: list[Club], own_swings: dict[str, int], last_test: date | None
) -> StockSet:
    place = {club.pk: n for n, club in enumerate(clubs)}
    rows.sort(key=lambda row: (place[row[0]], swing_position(row[1], own_swings)))
    by_pk = {club.pk: club for club in clubs}
    windy = _cells((row for row in rows if row[2] == Wind.WINDY), by_pk)
    calm = _cells((row for row in rows if row[2] != Wind.WINDY), by_pk)
    swings = {cell.swing for cell in calm if cell.carries_m}
    in_order = tuple(sorted(swings, key=lambda swing: swing_position(swing, own_swings)))
    return StockSet(*key, in_order, calm, tuple(cell for cell in windy if cell.carries_m), last_test)


def _cells(rows: Iterable[tuple], clubs: dict) -> tuple[StockCell, ...]:
    """Gather rows of (club, swing, wind, carry, lateral, contact, to target) by club and swing, in their order."""
    cells = {}
    for club, swing, _, carry_m, lateral_m, contact, to_target in rows:
        if (club, swing) not in cells:
            cells[club, swing] = StockCell(clubs[club].label, clubs[club].setup_now.loft_deg, swing)
        cell = cells[club, swing]
        cell.balls += 1
        if contact in MISHITS:
            cell.mishits += 1
            continue
        if carry_m and not to_target:
            cell.carries_m.append(carry_m)
        if lateral_m is not None:
            cell.laterals_m.append(lateral_m)
    return tuple(cells.values())


def balls_for_surface(cells: Iterable[StockCell]) -> list[StockBalls]:
    """Return the stock balls of the clubs and swings that a carry surface is made for; may be empty."""
    fit = [cell for cell in cells if cell.carries_m and is_pitching_loft(cell.loft_deg) and cell.swing in CLOCK_SWINGS]
    return [StockBalls(cell.club, cell.loft_deg, cell.swing, cell.carries_m) for cell in fit]


def is_pitching_loft(loft_deg: float | None) -> bool:
    """Tell whether a carry surface is made for this loft."""
    return loft_deg is not None and LOFTS_DEG[0] <= loft_deg <= LOFTS_DEG[1]
