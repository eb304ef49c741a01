"""A bag and a club on the screen."""

from dataclasses import dataclass

from practice.clubs.models import MAX_CARRIED, Club, ClubSetup, LoftReading, SwingLength
from practice.clubs.swings import CLOCK_SWINGS, swing_name, swing_position
from practice.players.models import Player
from practice.units import DistanceUnit


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
    stated: list[str]


@dataclass(frozen=True)
class BagPage:
    """The clubs that are carried and those that are not, and what to say about their number."""

    player: Player
    carried: list[ClubRow]
    left_out: list[ClubRow]
    too_many: str


def bag_page(player: Player) -> BagPage:
    """Return a player's bag, by loft."""
    clubs = Club.objects.filter(player=player).with_setups().prefetch_related("stated_carries")
    clubs = sorted(clubs, key=Club.loft_key)
    carried = [_club_row(club, player.shown_unit) for club in clubs if club.carried]
    return BagPage(
        player=player,
        carried=carried,
        left_out=[_club_row(club, player.shown_unit) for club in clubs if not club.carried],
        too_many=too_many_words(len(carried)),
    )


def too_many_words(carried: int) -> str:
    """Say what the Rules of Golf say about a bag this full; "" where they say nothing."""
    if carried <= MAX_CARRIED:
        return ""
    return (
        f"{carried} clubs are marked as carried. In a round at most {MAX_CARRIED} may be (Rules of Golf, Rule 4.1b): "
        "leave some out before the next one."
    )


def _club_row(club: Club, unit: DistanceUnit) -> ClubRow:
    setup = club.setup_now
    stated = sorted(club.stated_carries.all(), key=lambda stated: swing_position(stated.swing))
    return ClubRow(
        club=club,
        loft=degrees(setup.loft_deg),
        bounce=degrees(setup.bounce_deg),
        stated=[f"{swing_name(row.swing)} {unit.show(row.carry_m)}" for row in stated],
    )


def degrees(value: float | None) -> str:
    """Return an angle for the screen; a dash where it is not known."""
    return "–" if value is None else f"{value:g}°"


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
    setups: list[SetupRow]


def club_page(club: Club) -> ClubPage:
    """Return a club's page, newest setup first."""
    setups = club.setups.in_order().reverse().prefetch_related("readings")
    return ClubPage(
        club=club,
        player=club.player,
        loft=degrees(club.setup_now.loft_deg),
        setups=[_setup_row(setup) for setup in setups],
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
