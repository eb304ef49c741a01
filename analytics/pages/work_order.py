"""The work order on paper: what a club fitter is asked to do, with room for what was found and done."""

from dataclasses import dataclass, replace
from datetime import date

from analytics.bag_carries import CarriedClub, bag_carries
from analytics.bends import bend_range, why_not_bent
from analytics.pages.bend_words import bend_text, degrees
from practice.clubs.models import ClubKind
from practice.players.models import Player


@dataclass(frozen=True)
class OrderRow:
    """One head. Wanted loft, bend and bounce then are empty where the fitter only measures."""

    club: str
    head: str
    loft_now: str
    loft_wanted: str
    bend: str
    bounce_now: str
    bounce_then: str
    limit: str


@dataclass(frozen=True)
class WorkOrder:
    """`asks`: is a bend asked for? `faults` says which bends cannot be; then there are no rows."""

    player: Player
    day: date
    asks: bool
    rows: tuple[OrderRow, ...] = ()
    faults: tuple[str, ...] = ()


def work_order(player: Player, asked: list[str]) -> WorkOrder:
    """Return the order for bends written as "club's id:loft"; without any, one to have all lofts measured."""
    clubs = {str(each.club.pk): each for each in bag_carries(player).clubs}
    wanted, faults = {}, []
    for bend in asked:
        key, _, written = bend.partition(":")
        loft_deg, fault = _wanted_loft(player, clubs.get(key), written)
        wanted[key] = loft_deg
        faults += [fault] if fault else []
    order = {"player": player, "day": player.academy.today(), "asks": bool(asked)}
    if faults:
        return WorkOrder(**order, faults=tuple(faults))
    heads = [each for key, each in clubs.items() if key in wanted or not asked]
    heads = [each for each in heads if each.club.kind != ClubKind.PUTTER]
    return WorkOrder(**order, rows=tuple(_row(player, each, wanted.get(str(each.club.pk))) for each in heads))


def _wanted_loft(player: Player, carried: CarriedClub | None, written: str) -> tuple[float | None, str]:
    """Return the wanted loft, and what is wrong with it; "" where nothing is."""
    if carried is None:
        return None, "A club of this order is not in the bag any more: make the order anew."
    if why := why_not_bent(carried):
        return None, f"{carried.label}: {why}."
    limits = bend_range(player, carried)
    try:
        loft_deg = float(written)
    except ValueError:
        loft_deg = None
    if loft_deg is None or not limits.low_deg <= loft_deg <= limits.high_deg:
        low, high = degrees(limits.low_deg), degrees(limits.high_deg)
        return None, f"{carried.label}: choose a loft of {low} to {high}, in degrees, and make the order anew."
    return loft_deg, ""


def _row(player: Player, carried: CarriedClub, wanted_deg: float | None) -> OrderRow:
    limits = None if why_not_bent(carried) else bend_range(player, carried)
    row = OrderRow(
        club=carried.label,
        head=carried.club.get_head_type_display(),
        loft_now=degrees(carried.loft_deg),
        loft_wanted="",
        bend="",
        bounce_now=degrees(carried.bounce_deg),
        bounce_then="",
        limit=f"{degrees(limits.low_deg)} to {degrees(limits.high_deg)}" if limits and limits.is_open else "",
    )
    if wanted_deg is None:
        return row
    bend_deg = wanted_deg - carried.loft_deg
    bounce_deg = None if carried.bounce_deg is None else carried.bounce_deg + bend_deg
    return replace(row, loft_wanted=degrees(wanted_deg), bend=bend_text(bend_deg), bounce_then=degrees(bounce_deg))
