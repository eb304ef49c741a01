from practice.ids import uuid7
from tests.practice.litany import Cast, Row, the_player


def facts(cast: Cast) -> dict:
    return {"name": "Robin Fairlie", "handed": "left"}


def new_facts(cast: Cast) -> dict:
    return {**facts(cast), "id": uuid7(), "academy": cast.academy.pk}


ROWS = [
    Row("players:roster", team_mate=403, outsider=200),
    Row("players:add", team_mate=403, outsider=200),
    # the outsider may add players, but not to this academy
    Row("players:add", data=new_facts, method="post", works=302, team_mate=403, outsider=422),
    Row("players:player", the_player),
    Row("players:edit", the_player),
    Row("players:edit", the_player, data=facts, method="post", works=302),
    Row("players:archive", the_player, method="post", works=302),
    Row("players:restore", the_player, method="post", works=302),
]
