"""Which clubs a player carries, and what the stock balls say of their carries."""

from dataclasses import dataclass

from analytics.metrics.carry_chart import surface_cells
from analytics.metrics.carry_surface import CarrySurface, fit_carry_surface
from analytics.stock import PlayerStock, StockSet, balls_for_surface, player_stock
from practice.clubs.models import Club, ClubSetup
from practice.clubs.swings import CLOCK_SWINGS
from practice.players.models import Player


@dataclass(frozen=True)
class CarriedClub:
    """A club in the bag, as it is set up now; `made_loft_deg` is that of its first setup. None = not known."""

    club: Club
    label: str
    setup: ClubSetup
    loft_deg: float | None
    bounce_deg: float | None
    made_loft_deg: float | None


@dataclass(frozen=True)
class BagCarries:
    """A player's bag for analysis.

    Attributes
    ----------
    clubs
        From the least loft up, those of unknown loft last; the putter among them.
    stock, found
        All the stock balls, and the set of one ball type and surface that is looked at; None where no ball counts.
    surface
        Carry over loft and swing, of the calm balls of that set; None without a ball of a pitching club and a swing of
        the clock. Look at its `monotone` before anything is drawn from it.
    """

    clubs: tuple[CarriedClub, ...]
    stock: PlayerStock
    found: StockSet | None
    surface: CarrySurface | None


def bag_carries(player: Player, chosen: str = "") -> BagCarries:
    """Read the bag with the balls of the chosen set (a key of `StockSet`), else of the one with most balls.

    The balls are those of the carry chart. The academy is fetched with the player.
    """
    stock = player_stock(player)
    found = stock.chosen(chosen)
    fit = balls_for_surface(found.cells) if found else []
    surface = fit_carry_surface(surface_cells(fit), list(CLOCK_SWINGS)) if fit else None
    return BagCarries(tuple(map(_carried, stock.clubs)), stock, found, surface)


def _carried(club: Club) -> CarriedClub:
    now, made = club.setup_now, min(club.setups.all(), key=ClubSetup.age_key)
    return CarriedClub(club, club.label, now, now.loft_deg, now.bounce_deg, made.loft_deg)
