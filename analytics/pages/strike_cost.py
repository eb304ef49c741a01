"""What the strike page says of the carry that a pattern costs: in percent, in the player's unit, and for which head."""

import math
from collections import Counter

import numpy as np

from analytics.metrics.strike import Message
from analytics.metrics.strike_loss import ESTIMATE, WEDGE, HeadRange, StrikeCost, strike_cost
from analytics.stock import TEST_BALLS, player_stock
from analytics.strikes import MarkedBall, mark_columns
from practice.clubs.models import Club
from practice.clubs.swings import swing_name
from practice.players.models import Player
from practice.units import DistanceUnit

KG_PER_G = 1e-3
KG_M2_PER_G_CM2 = 1e-7


def cost_of_strikes(player: Player, club: Club, balls: list[MarkedBall]) -> tuple[tuple[str, ...], str]:
    """Say what the strikes cost in carry, what that is in the player's unit, what was left out; and for which head."""
    judged = [ball for ball in balls if not ball.mishit]
    cost = strike_cost(*mark_columns(judged), club.sweet_spot_mm, heads_of(club))
    mishits = len(balls) - len(judged)
    said, head = [], ""
    if isinstance(cost, Message):
        said.append(cost.sentence)
    else:
        said += [cost_sentence(cost), _cost_in_unit(player, club, judged, cost)]
        head = head_sentence(club)
    if mishits:
        said.append(f"Flagged as mishits and left out of the cost: {mishits} of {len(balls)} balls.")
    return tuple(said), head


def heads_of(club: Club) -> HeadRange:
    """Return what the head of a club may be: what the coach entered is known, the rest is estimated."""
    entered = {
        "head_kg": (club.head_g, KG_PER_G),
        "tilt_inertia_kg_m2": (club.tilt_inertia_g_cm2, KG_M2_PER_G_CM2),
        "turn_inertia_kg_m2": (club.turn_inertia_g_cm2, KG_M2_PER_G_CM2),
    }
    return WEDGE.with_known(**{name: value * unit for name, (value, unit) in entered.items() if value is not None})


def head_sentence(club: Club) -> str:
    """Name the values that the cost was worked out with, and which of them are estimates."""
    heads = heads_of(club)
    mass = _head_value(club.head_g, [heads.best.head_kg / KG_PER_G], "g", "usual value, no source")
    tilt, turn = (
        _head_value(held, [getattr(head, name) / KG_M2_PER_G_CM2 for head in (heads.most, heads.least)], "g cm²")
        for held, name in (
            (club.tilt_inertia_g_cm2, "tilt_inertia_kg_m2"),
            (club.turn_inertia_g_cm2, "turn_inertia_kg_m2"),
        )
    )
    powers = f"{heads.least.carry_power:g} to {heads.most.carry_power:g}"
    return (
        f"Worked out for a head of {mass}, with moments of inertia of {tilt} against low and high strikes, and of "
        f"{turn} against heel and toe strikes. Carry goes with ball speed to the power of {powers} ({ESTIMATE})."
    )


def _head_value(entered: float | None, estimates: list[float], unit: str, why: str = ESTIMATE) -> str:
    if entered is not None:
        return f"{entered:g} {unit} (entered)"
    return f"{' to '.join(f'{value:.0f}' for value in estimates)} {unit} ({why})"


def cost_sentence(cost: StrikeCost) -> str:
    """Say the cost in whole percent of carry."""
    low, high = cost.lost_range_pct
    less, more = cost.scatter_range_pct
    outside = cost.outside and (
        f" Left out, because they lie more than 12 mm low or high of the sweet spot and cost more: {cost.outside}."
    )
    return (
        f"Against strikes on the sweet spot the marks cost {_percent(cost.lost_pct)} of carry "
        f"(between {low} and {high} %); {_percent(cost.lost_at_centre_pct)} if every ball were struck on the player’s "
        f"own centre. They scatter carry by {_percent(cost.scatter_pct)} (between {less} and {more} %)."
        f"{outside or ''}"
    )


def _percent(pct: int) -> str:
    return f"about {pct} %" if pct else "under 1 %"


def _cost_in_unit(player: Player, club: Club, balls: list[MarkedBall], cost: StrikeCost) -> str:
    """Say the cost as a distance, from the stock carry of the swing and the balls that most marks were made with."""
    kind, _ = Counter((ball.swing, ball.ball_type, ball.surface) for ball in balls).most_common(1)[0]
    carry_m = _stock_carry_m(player, club, *kind)
    unit = player.shown_unit
    if carry_m is None:
        return f"No stock carry is measured for this club, swing, ball and ground, so nothing is said in {unit.label}."
    return f"That is {distance_lost(cost.lost_range_pct, carry_m, unit)} with the {swing_name(kind[0])} swing."


def distance_lost(range_pct: tuple[int, int], carry_m: float, unit: DistanceUnit) -> str:
    """Return the range of what is lost, in whole units and never finer than the percents it comes from."""
    carry = unit.from_m(carry_m)
    low, high = math.floor(range_pct[0] * carry / 100), math.ceil(range_pct[1] * carry / 100)
    return f"between {low} and {high} {unit.value} of a stock carry of {unit.show(carry_m)}"


def _stock_carry_m(player: Player, club: Club, swing: str, ball_type: str, surface: str) -> float | None:
    """Return the mean of the club's stock balls of that swing; None under as many as a carry test takes."""
    if not club.carried:
        return None
    sets = (each for each in player_stock(player).sets if (each.ball_type, each.surface) == (ball_type, surface))
    cells = (cell for each in sets for cell in each.cells if (cell.club, cell.swing) == (club.label, swing))
    carries_m = next((cell.carries_m for cell in cells), [])
    return float(np.mean(carries_m)) if len(carries_m) >= TEST_BALLS else None
