"""A measured bag for tests of the pages about lofts."""

from tests import make
from tests.analytics.stock_balls import hit

# Carries (m) of one player from a flight model of our own, lofts 45 to 60
CARRIES_M = {
    45: {"9:00": 66.0, "full": 110.9},
    50: {"9:00": 58.8, "full": 99.5},
    55: {"9:00": 50.7, "full": 87.2},
    60: {"9:00": 42.4, "full": 74.6},
}
SPREAD = (-0.05, -0.02, 0.0, 0.02, 0.05)


def full_m(loft_deg):
    """Full carry (m) between the lofts above, by a straight line."""
    low = max(loft for loft in CARRIES_M if loft <= loft_deg)
    high = min(loft for loft in CARRIES_M if loft >= loft_deg)
    share = 0 if high == low else (loft_deg - low) / (high - low)
    return CARRIES_M[low]["full"] * (1 - share) + CARRIES_M[high]["full"] * share


def make_bag(player, venue, lofts_deg=(45, 50, 55, 60), *, swings=("9:00", "full"), bounce_deg=10.0, balls=2):
    """Make clubs named by their lofts, each with `balls` times five stock balls of each swing, by label."""
    clubs = {}
    for loft_deg in lofts_deg:
        club = make.make_club(player, f"{loft_deg:g}", loft_deg=float(loft_deg))
        club.setups.update(bounce_deg=bounce_deg)
        clubs[club.label] = club
        for swing in swings:
            mean_m = full_m(loft_deg) * (1.0 if swing == "full" else 0.58)
            hit(club, venue, [mean_m * (1 + off) for off in SPREAD] * balls, swing=swing)
    return clubs
