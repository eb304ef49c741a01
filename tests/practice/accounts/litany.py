from practice.accounts.models import Device
from tests.practice.litany import Cast, Row, the_player


def a_device_of_the_player(cast: Cast) -> dict:
    return {"device": Device.objects.create(user=cast.player.user, label="Phone").pk}


def an_unknown_token(cast: Cast) -> dict:
    return {"token": "nobody-made-this"}


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
]
