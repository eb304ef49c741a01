"""A player's phone page as the browser tests use it: who and what is there, and the taps that many tests share."""

import re
from collections.abc import Callable
from datetime import timedelta
from importlib import import_module

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.db import transaction
from django.utils import timezone
from playwright.sync_api import expect

from practice.accounts.models import Device
from practice.ids import with_ids_in_a_row
from practice.planner.models import Ball, Block, PlanState, WeekPlan
from practice.sessions.models import Shot
from practice.venues.models import Target
from tests.make import make_academy, make_club, make_player, make_range

YARD_M = 0.9144  # exactly, by the international agreement of 1959 (NIST SP 811)


BLOCK = {
    "kind": "random_target",
    "title": "Mixed targets",
    "cautions": "Take care.",
    "seed": 1,
    "algorithm": "test",
    "inputs_sha256": "0" * 64,
}
AROUND = {"below_swing": "9:00", "below_carry_m": 48 * YARD_M, "above_swing": "10:30", "above_carry_m": 62 * YARD_M}


class Cast:
    """A player with two wedges, a range with two flags, and a plan with a block."""

    def __init__(self, **player):
        self.academy = make_academy()
        self.player = make_player(self.academy, "Robin Vale", signs_in=True, **player)
        self.clubs = [make_club(self.player, "52", loft_deg=52.0), make_club(self.player, "56")]
        self.range = make_range(self.academy, (40.0, 60.0))
        self.line = self.range.tee_lines.get()
        self.flags = list(self.line.targets.order_by("distance_m"))

    def assign(self, *asked, around: dict | None = None, **block) -> list[Ball]:
        """Assign a block of (club, flag or None) balls in this week and return its balls.

        `around` holds the stock swings either side, as fields of a ball.
        """
        (row,) = self.assign_blocks((asked, block), around=around)
        return list(row.balls.all())

    def assign_blocks(self, *blocks: tuple, around: dict | None = None) -> list[Block]:
        """Assign a week of blocks, each given as its balls and its fields."""
        today = timezone.now().date()
        rows = []
        with transaction.atomic():
            plan = WeekPlan.objects.create(player=self.player, monday=today - timedelta(days=today.weekday()))
            for position, (asked, fields) in enumerate(blocks, 1):
                words = BLOCK | {"plan": plan, "venue": self.range, "position": position}
                rows.append(Block.objects.create(**words | fields))
                balls = [
                    Ball(block=rows[-1], n=n, club=club, **self.aim(flag, **around or {}))
                    for n, (club, flag) in enumerate(asked, 1)
                ]
                Ball.objects.bulk_create(with_ids_in_a_row(balls))
            WeekPlan.objects.filter(pk=plan.pk).update(state=PlanState.ASSIGNED, assigned_at=timezone.now())
        return rows

    @staticmethod
    def aim(flag: Target | None, **around) -> dict:
        if flag is None:
            return {"swing": "9:00"}
        where = {"target_m": flag.distance_m, "direction_deg": flag.direction_deg}
        return {"swing": "feel", "target": flag, "target_name": flag.name, **where, **around}

    def mixed(self, n: int, **block) -> list[Ball]:
        """Assign n balls that change club and flag every time."""
        return self.assign(*((self.clubs[i % 2], self.flags[i % 2]) for i in range(n)), **block)

    def shots(self) -> list[Shot]:
        return list(Shot.objects.filter(player=self.player).order_by("running_number"))


def sign_in(context, live_server, user) -> None:
    """Sign a context in as a sign-in link would: a session that names its device, as a cookie."""
    device = Device.objects.create(user=user, label="Phone")
    session = import_module(settings.SESSION_ENGINE).SessionStore()
    session[SESSION_KEY] = str(user.pk)
    [session[BACKEND_SESSION_KEY]] = settings.AUTHENTICATION_BACKENDS
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session["device"] = str(device.pk)
    session.save()
    cookie = {"name": settings.SESSION_COOKIE_NAME, "value": session.session_key, "url": live_server.url}
    context.add_cookies([cookie])


def button(page, name):
    return page.get_by_role("button", name=name, exact=True)


def start_block(page, *, measured_by="by eye", bay=None, title="Mixed targets", choose=None):
    """Go from the plan through the visit to the first ball."""
    page.get_by_role("link", name="Start").tap()
    expect(page.get_by_role("heading", name="Where are you today?")).to_be_visible()
    page.get_by_text(measured_by, exact=True).tap()
    if bay:
        page.get_by_label("Bay").select_option(bay)
    if choose:
        choose(page)
    button(page, "Start").tap()
    expect(page.get_by_role("heading", name=title)).to_be_visible()
    button(page, "First ball").tap()
    expect_ball(page, 1)


def expect_ball(page, n):
    expect(page.get_by_role("heading", name=re.compile(rf"^Ball {n} of "))).to_be_visible()


def tap_ball(page, n, name):
    """Finish ball n by one tap; Playwright waits until the page takes taps again."""
    expect_ball(page, n)
    button(page, name).tap()


def waiting(page):
    """Return the number of what waits, as it is shown on every page."""
    return page.locator("#waiting")


def expect_all_sent(page):
    expect(waiting(page)).to_have_text("0 waiting to send")


def on_disk(page, store: str) -> list[dict]:
    """Return what the phone's disk holds in one of its stores, read past the page's own script."""
    return page.evaluate(
        """(store) => new Promise((resolve) => {
            indexedDB.open("practice-ledger").onsuccess = ({ target }) => {
                const all = target.result.transaction(store).objectStore(store).getAll();
                all.onsuccess = () => { target.result.close(); resolve(all.result); };
            };
        })""",
        store,
    )


def expect_on_disk(page, store: str, is_there: Callable[[list[dict]], bool]):
    """Wait until what the disk holds in a store is as it should be: the page shows things before and after."""
    for _ in range(300):
        if is_there(held := on_disk(page, store)):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"the phone's disk holds {held}")


def expect_plan_kept(page):
    """Wait until the disk has the plan that the page shows."""
    expect_on_disk(page, "days", bool)


def expect_nothing_to_remember(page):
    """Wait until the phone has let go of all that was sent: the server's account of the day, kept since, has it."""
    expect_on_disk(page, "items", lambda items: items == [])
