"""The litany's rows for the phone's JSON, sync, and the coach's list of shots."""

from practice.sessions.models import Shot
from tests import make
from tests.practice.litany import Cast, Row, the_player
from tests.practice.planner.plans import assign, equip

JSON = {"Accept": "application/json"}


def a_shot(cast: Cast) -> dict:
    """Make a shot of the player and return the parts of its address."""
    shot = make.make_shot(make.make_club(cast.player), make.make_range(cast.academy))
    return the_player(cast) | {"shot": shot.uid}


def aside(cast: Cast) -> dict:
    """Make a shot that was set aside."""
    address = a_shot(cast)
    Shot.objects.update(set_aside_at=cast.player.created_at, set_aside_reason="other bay")
    return address


def a_reason(cast: Cast) -> dict:
    return {"reason": "other bay"}


def a_sheet(cast: Cast) -> dict:
    """Assign a block and return the parts of the address of its sheet."""
    plan = assign(cast.player, equip(cast.player)[1])
    return the_player(cast) | {"asked": plan.blocks.get().pk}


def typed_in(cast: Cast) -> dict:
    return {"day": "2026-03-03", "measured_by": "eye", "depth-1": "s"}


ROWS = [
    Row("practice_sessions:worker", player=200, team_mate=200, outsider=200, signed_out=200),
    Row("practice_sessions:shell", player=200, team_mate=200, outsider=200, signed_out=200),
    Row("practice_sessions:me", player=200, team_mate=200, outsider=200, signed_out=401, headers=JSON),
    # without a player's id everybody gets at least the handshake
    Row("practice_sessions:work", player=200, team_mate=200, outsider=200, signed_out=401, headers=JSON),
    # what is no JSON is refused, also to those who may send
    Row(
        "practice_sessions:sync",
        method="post",
        works=400,
        player=400,
        team_mate=400,
        outsider=400,
        signed_out=401,
        headers=JSON,
    ),
    Row("practice_sessions:shots", the_player, player=200),
    Row("practice_sessions:set_aside", a_shot),
    Row("practice_sessions:set_aside", a_shot, method="post", data=a_reason, works=302),
    Row("practice_sessions:back_in", aside, method="post", works=302),
    Row("practice_sessions:sheets", the_player, player=200),
    Row("practice_sessions:sheet", a_sheet, player=200),
    Row("practice_sessions:sheet", a_sheet, method="post", data=typed_in, works=302, player=302),
]
