"""What sync costs the database."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from practice.sessions.items import KINDS
from tests import make
from tests.practice.sessions.phone import Phone
from tests.practice.sessions.plan import make_block
from tests.practice.sessions.sync.examples import item_of


def statements(phone: Phone, items: list) -> int:
    with CaptureQueriesContext(connection) as captured:
        assert set(phone.results(*items)) == {"stored"}
    return len(captured)


def test_the_statements_do_not_grow_with_the_items(stage):
    phone = stage.phone
    clubs = [make.make_club(stage.player, f"c{n}") for n in range(8)]
    balls = list(make_block(stage, balls=10).balls.all())
    visits = [phone.item("visit", {"venue": str(stage.venue.pk)}) for _ in range(5)]
    phone.send(phone.shot(stage.club, visit=visits[0]["id"]), *visits)

    def some(n: int) -> list[dict]:
        links = [
            {"ball": str(b.pk), "target": str(b.target_id), "visit": visits[k % 5]["id"]} for k, b in enumerate(balls)
        ]
        items = [item_of(stage, kind) for kind in KINDS for _ in range(n)]
        for k in range(n):
            club, visit = {"club": str(clubs[k % 8].pk)}, {"visit": links[k]["visit"]}
            items += [phone.shot(clubs[k % 8], **links[k]), phone.item("skip", {"ball": links[k]["ball"]})]
            items += [item_of(stage, "turf", club | visit), item_of(stage, "tally", visit)]
        return items

    few, many = statements(phone, some(2)), statements(phone, some(10))
    assert many <= few


def test_one_shot_takes_few_statements(stage):
    visit = stage.phone.item("visit", {"venue": str(stage.venue.pk)})
    ball = make_block(stage).balls.first()
    links = {"visit": visit["id"], "ball": str(ball.pk), "target": str(ball.target_id)}
    stage.phone.send(visit, stage.phone.shot(stage.club, **links))
    # session, user, player, device, club, ball, visit, held shot, session of the day, setup, the shot, its revision,
    # and the transaction's two; PostgreSQL has the player's queue too
    expected = 14 + (connection.vendor == "postgresql")
    assert statements(stage.phone, [stage.phone.shot(stage.club, **links)]) == expected
