"""The litany of the drill library: the coaches' pages; players get drills with their weeks."""

from practice.drills.models import Drill
from tests.practice.litany import Cast, Row


def a_drill(cast: Cast) -> dict:
    return {"drill": Drill.objects.create(academy=cast.academy, kind="own", title="Up and down").pk}


def words(cast: Cast) -> dict:
    return {
        "kind": "own",
        "academy": cast.academy.pk,
        "title": "Nine out of ten",
        "cautions": "Nobody in front.",
        "log": "outcome",
        "score": "k_of_n",
        "shot_type": "chip",
        "balls": 10,
    }


FOR_STAFF = {"team_mate": 403, "player": 403}

ROWS = [
    Row("drills:drills", outsider=200, **FOR_STAFF),
    Row("drills:add", outsider=200, **FOR_STAFF),
    Row("drills:add", method="post", data=words, works=302, **FOR_STAFF | {"outsider": 422}),
    Row("drills:edit", a_drill, **FOR_STAFF),
    Row("drills:edit", a_drill, method="post", data=words, works=302, **FOR_STAFF),
    Row("drills:archive", a_drill, method="post", works=302, **FOR_STAFF),
    Row("drills:restore", a_drill, method="post", works=302, **FOR_STAFF),
]
