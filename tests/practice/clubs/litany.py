"""The litany of the bag's pages: the player reads, the staff changes."""

from tests import make
from tests.practice.litany import Cast, Row, the_player


def a_club(cast: Cast) -> dict:
    return {"club": make.make_club(cast.player).pk}


def a_setup(cast: Cast) -> dict:
    return {**a_club(cast), "valid_from": "first"}


def the_academy(cast: Cast) -> dict:
    return {"academy": cast.academy.pk}


OF_THE_ACADEMY = {"player": 403, "team_mate": 403}
BAG_VALUES = {"bend_limit_deg": "1.5", "bag_review_days": "90"}
NEW_CLUB = {"label": "60", "kind": "wedge", "loft_deg": "60", "carried": "on"}
NEW_SETUP = {"reason": "bent", "loft_deg": "57", "valid_from": "2026-02-01"}

ROWS = [
    Row("clubs:bag", the_player, player=200),
    Row("clubs:add", the_player),
    Row("clubs:add", the_player, method="post", data=lambda cast: NEW_CLUB, works=302),
    Row("clubs:review", the_player),
    Row("clubs:review", the_player, method="post", data=lambda cast: {"gaps_looked_at": "on"}, works=302),
    Row("clubs:reviews", outsider=200, **OF_THE_ACADEMY),
    Row("clubs:bag_values", the_academy, **OF_THE_ACADEMY),
    Row("clubs:bag_values", the_academy, method="post", data=lambda cast: BAG_VALUES, works=302, **OF_THE_ACADEMY),
    Row("clubs:club", a_club, player=200),
    Row("clubs:edit", a_club),
    Row("clubs:edit", a_club, method="post", data=lambda cast: NEW_CLUB, works=302),
    Row("clubs:add_setup", a_club),
    Row("clubs:add_setup", a_club, method="post", data=lambda cast: NEW_SETUP, works=302),
    Row("clubs:setup", a_setup),
    Row("clubs:setup", a_setup, method="post", data=lambda cast: NEW_SETUP, works=302),
    Row(
        "clubs:add_reading",
        a_club,
        method="post",
        data=lambda cast: {"loft_deg": "55.5", "measured_on": "2026-02-01"},
        works=302,
    ),
    Row("clubs:state_carries", a_club, method="post", data=lambda cast: {"swing-3": "95"}, works=302),
]
