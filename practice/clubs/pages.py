"""A bag and a club on the screen."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from django.db.models import Prefetch

from practice.clubs.models import (
    MAX_CARRIED,
    BagReview,
    Club,
    ClubKind,
    ClubSetup,
    GrooveLook,
    Grooves,
    LoftReading,
    SwingLength,
)
from practice.clubs.swings import CLOCK_SWINGS, swing_name, swing_position
from practice.players.models import Player
from practice.units import DistanceUnit

OFF_DEG = 0.5
"""A reading further than this from the loft held is worth a word: gauges are read to half a degree; common practice, no
source."""
INCH_MM = 25.4


def swings_of(player: Player) -> list[str]:
    """Return the swing lengths that a carry can be stated for: the clock's, then the academy's own."""
    own = SwingLength.objects.filter(academy=player.academy_id).order_by("position", "code")
    return [*CLOCK_SWINGS, *own.values_list("code", flat=True)]


@dataclass(frozen=True)
class ClubRow:
    """One club of the bag, as it is set up now."""

    club: Club
    loft: str
    bounce: str
    build: str
    reading: str
    reading_off: str
    stated: list[str]


@dataclass(frozen=True)
class BagPage:
    """The clubs that are carried and those that are not, and what to say about their number."""

    player: Player
    carried: list[ClubRow]
    left_out: list[ClubRow]
    too_many: str
    doubts: list[str]
    review: str


def bag_page(player: Player) -> BagPage:
    """Return a player's bag, by loft."""
    clubs = Club.objects.filter(player=player).with_setups()
    clubs = clubs.prefetch_related("stated_carries", "setups__readings")
    clubs = sorted(clubs, key=Club.loft_key)
    carried = [_club_row(club, player.shown_unit) for club in clubs if club.carried]
    return BagPage(
        player=player,
        carried=carried,
        left_out=[_club_row(club, player.shown_unit) for club in clubs if not club.carried],
        too_many=too_many_words(len(carried)),
        doubts=doubts_of([club for club in clubs if club.carried]),
        review=_review_words(player),
    )


def doubts_of(clubs: list[Club]) -> list[str]:
    """Say what in the carried clubs, which are in the order of their lofts, looks like a slip."""
    lofted = [club for club in clubs if club.kind != ClubKind.PUTTER and club.setup_now.loft_deg is not None]
    doubts = []
    for less, more in pairwise(lofted):
        if less.setup_now.loft_deg == more.setup_now.loft_deg:
            doubts.append(f"{less} and {more} are both held with {degrees(more.setup_now.loft_deg)} of loft.")
        # A wedge is often called by its loft; an iron's number runs with it too.
        elif less.kind == more.kind and _number(less) > _number(more) > 0:
            doubts.append(f"{less} is held with less loft than {more}: check both lofts, or the labels.")
    for club in clubs:
        bounce_deg = club.setup_now.bounce_deg
        if bounce_deg is not None and bounce_deg < 0:
            doubts.append(f"{club} is held with a bounce of {degrees(bounce_deg)}, which digs: is the sign right?")
    return doubts


def too_many_words(carried: int) -> str:
    """Say what the Rules of Golf say about a bag this full; "" where they say nothing."""
    if carried <= MAX_CARRIED:
        return ""
    return (
        f"{carried} clubs are marked as carried. In a round at most {MAX_CARRIED} may be (Rules of Golf, Rule 4.1b): "
        "leave some out before the next one."
    )


def _number(club: Club) -> int:
    return int(club.label) if club.label.isdecimal() else 0


def _club_row(club: Club, unit: DistanceUnit) -> ClubRow:
    setup = club.setup_now
    stated = sorted(club.stated_carries.all(), key=lambda stated: swing_position(stated.swing))
    return ClubRow(
        club=club,
        loft=degrees(setup.loft_deg),
        bounce=degrees(setup.bounce_deg),
        build=build_words(club),
        **_reading_words(setup),
        stated=[f"{swing_name(row.swing)} {unit.show(row.carry_m)}" for row in stated],
    )


def degrees(value: float | None) -> str:
    """Return an angle for the screen; a dash where it is not known."""
    return "–" if value is None else f"{value:g}°".replace("-", "−")


def build_words(club: Club) -> str:
    """Say how a club is built, as far as that is known."""
    parts = [club.get_head_type_display()] if club.head_type else []
    if club.length_mm is not None:
        parts.append(f"{club.length_mm:.0f} mm ({club.length_mm / INCH_MM:.2f} in)")
    if club.lie_deg is not None:
        parts.append(f"lie {degrees(club.lie_deg)}")
    return ", ".join(parts)


def _day_words(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def _reading_words(setup: ClubSetup) -> dict[str, str]:
    """Say what the newest loft reading of a setup was, and where it is further off than readings are."""
    newest = max(setup.readings.all(), key=lambda reading: (reading.measured_on, reading.pk), default=None)
    if newest is None:
        return {"reading": "", "reading_off": ""}
    reading = f"{degrees(newest.loft_deg)} on {_day_words(newest.measured_on)}"
    off_deg = newest.loft_deg - setup.loft_deg if setup.loft_deg is not None else 0.0
    if abs(off_deg) <= OFF_DEG:
        return {"reading": reading, "reading_off": ""}
    side = "weaker" if off_deg > 0 else "stronger"
    return {"reading": reading, "reading_off": f"{abs(off_deg):.1f}° {side} than held"}


@dataclass(frozen=True)
class SetupRow:
    """One setup of a club with the lofts measured while it held. `code` names it in an address."""

    setup: ClubSetup
    code: str
    since: str
    loft: str
    bounce: str
    readings: list[LoftReading]


@dataclass(frozen=True)
class ClubPage:
    """One club: how it was set up over time."""

    club: Club
    player: Player
    loft: str
    build: str
    limit: str
    sweet_spot: str
    intended_spot: str
    setups: list[SetupRow]


def club_page(club: Club) -> ClubPage:
    """Return a club's page, newest setup first."""
    setups = club.setups.in_order().reverse().prefetch_related("readings")
    return ClubPage(
        club=club,
        player=club.player,
        loft=degrees(club.setup_now.loft_deg),
        build=build_words(club),
        limit=degrees(club.limit_deg) if club.limit_deg else "",
        sweet_spot=_spot_words(club.sweet_spot_mm),
        intended_spot=_spot_words(club.intended_spot_mm),
        setups=[_setup_row(setup) for setup in setups],
    )


def _spot_words(spot_mm: tuple[float, float] | None) -> str:
    """Say where on the face a spot lies; heel and toe are the same for either hand."""
    if spot_mm is None:
        return ""
    low_high, heel_toe = spot_mm
    return (
        f"{abs(low_high):g} mm {'high' if low_high > 0 else 'low'}, "
        f"{abs(heel_toe):g} mm towards the {'toe' if heel_toe > 0 else 'heel'}"
    )


def _setup_row(setup: ClubSetup) -> SetupRow:
    day = setup.valid_from
    return SetupRow(
        setup=setup,
        code=day.isoformat() if day else "first",
        since=f"from {day.day} {day:%B %Y}" if day else "from the start",
        loft=degrees(setup.loft_deg),
        bounce=degrees(setup.bounce_deg),
        readings=sorted(setup.readings.all(), key=lambda reading: (reading.measured_on, reading.pk)),
    )


@dataclass(frozen=True)
class ReviewLine:
    """When a player's bag was looked through last, when that is due again, and what was left open."""

    player: Player
    last: BagReview | None
    due_on: date | None
    is_due: bool
    worn: list[str]

    @property
    def words(self) -> str:
        """Say when the next look is due."""
        if self.due_on is None:
            return "never reviewed"
        return f"{'overdue since' if self.is_due else 'due on'} {_day_words(self.due_on)}"


def review_lines(players: Iterable[Player]) -> list[ReviewLine]:
    """Return the players, fetched with their academies, never reviewed first, then by due date."""
    players = list(players)
    worn = GrooveLook.objects.exclude(grooves=Grooves.FINE).select_related("club").order_by("club__label")
    looks = Prefetch("groove_looks", worn, to_attr="worn")
    reviews = BagReview.objects.filter(player__in=players).order_by("done_on").prefetch_related(looks)
    newest = {review.player_id: review for review in reviews}
    lines = [_review_line(player, newest.get(player.pk)) for player in players]
    return sorted(lines, key=lambda line: (line.due_on or date.min, line.player.name, line.player.slug))


def _review_line(player: Player, last: BagReview | None) -> ReviewLine:
    if last is None:
        return ReviewLine(player, None, None, True, [])
    due_on = last.done_on + timedelta(days=player.academy.bag_review_days)
    worn = [f"{look.club} {look.get_grooves_display().lower()}" for look in last.worn]
    return ReviewLine(player, last, due_on, due_on <= player.academy.today(), worn)


def _review_words(player: Player) -> str:
    (line,) = review_lines([player])
    if line.last is None:
        return "The bag was never reviewed."
    return f"Last reviewed on {_day_words(line.last.done_on)}; {line.words}."
