from practice.accounts.models import Device
from tests import make
from tests.practice.litany import Cast, Row, the_player


def a_device_of_the_player(cast: Cast) -> dict:
    return {"device": Device.objects.create(user=cast.player.user, label="Phone").pk}


def an_unknown_token(cast: Cast) -> dict:
    return {"token": "nobody-made-this"}


def the_academy(cast: Cast) -> dict:
    return {"academy": cast.academy.pk}


def a_colleague(cast: Cast) -> dict:
    """Return the address of another coach, so that nobody of the cast loses a role."""
    return {"academy": cast.academy.pk, "user": make.make_staff(cast.academy).pk}


def a_new_coach(cast: Cast) -> dict:
    return {"name": "Alex Dunes", "email": "alex@example.org"}


OWNERS_ONLY = {"coach": 403, "player": 403, "team_mate": 403}

ROWS = [
    Row("accounts:home", works=302, player=302, team_mate=302, outsider=302),
    Row("accounts:sign_in", works=302, player=302, team_mate=302, outsider=302, signed_out=200),
    Row("accounts:sign_in", method="post", works=302, player=302, team_mate=302, outsider=302, signed_out=422),
    Row("accounts:sign_out", method="post", works=302, player=302, team_mate=302, outsider=302),
    Row("accounts:devices", player=200, team_mate=200, outsider=200),
    Row("accounts:revoke_device", a_device_of_the_player, method="post", works=302, player=302),
    Row("accounts:sign_in_link", the_player, method="post"),
    Row("accounts:enter", an_unknown_token, works=404, player=404, signed_out=404),
    Row("accounts:enter", an_unknown_token, method="post", works=404, player=404, signed_out=404),
    # nobody of the cast but the staff has an e-mail, which a password goes with
    Row("accounts:password", team_mate=403, outsider=200),
    Row("accounts:password", method="post", works=422, team_mate=403, outsider=422),
    Row("accounts:members", the_academy, **OWNERS_ONLY),
    Row("accounts:add_member", the_academy, **OWNERS_ONLY),
    Row("accounts:add_member", the_academy, method="post", data=a_new_coach, **OWNERS_ONLY),
    Row("accounts:member_link", a_colleague, method="post", **OWNERS_ONLY),
    Row("accounts:make_owner", a_colleague, method="post", works=302, **OWNERS_ONLY),
    Row("accounts:make_coach", a_colleague, method="post", works=302, **OWNERS_ONLY),
    Row("accounts:remove_member", a_colleague, method="post", works=302, **OWNERS_ONLY, forgiven=("user",)),
]
