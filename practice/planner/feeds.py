"""A player's plan as a calendar feed: its secret address, and what stands in it."""

import logging
import secrets
from datetime import date, datetime, timedelta
from itertools import pairwise

from django.db import transaction
from django.utils import timezone

from practice.accounts.actions import digest
from practice.accounts.models import User
from practice.planner.icalendar import DayEvent, calendar
from practice.planner.models import Block, CalendarFeed, PlanState
from practice.planner.weeks import WEEK, monday_of
from practice.players.models import Player

log = logging.getLogger(__name__)

PAST_WEEKS = 4
"""How far back a feed goes: far enough to look something up, and no archive of a player's life."""

NAME = "Practice"


@transaction.atomic
def make_feed(*, player: Player, made_by: User) -> tuple[CalendarFeed, str]:
    """Make an address for the player's calendar and return it with its secret; the one before it stops working."""
    # One at a time for a player, or two who press at once would each want to make the one live address.
    Player.objects.select_for_update().get(pk=player.pk)
    revoke_feed(player=player, by=made_by)
    secret = secrets.token_urlsafe(32)
    feed = CalendarFeed.objects.create(player=player, token_sha256=digest(secret), made_by=made_by)
    log.info("calendar feed %s made by user %s", feed.pk, made_by.pk)
    return feed, secret


def revoke_feed(*, player: Player, by: User) -> None:
    """End the player's address for good; nothing happens where there is none."""
    CalendarFeed.objects.filter(player=player, revoked_at=None).update(revoked_at=timezone.now(), revoked_by=by)


def find_feed(secret: str) -> CalendarFeed | None:
    """Return the live feed that this secret opens."""
    feeds = CalendarFeed.objects.live().select_related("player__academy")
    return feeds.filter(token_sha256=digest(secret)).first()


def feed_text(feed: CalendarFeed) -> bytes:
    """Return what a calendar program is given. It says titles and days, and nothing of who, where or how far."""
    events = events_of(feed.player, feed.player.academy.today())
    return calendar(events, name=NAME, uid=str(feed.pk), made_at=feed.made_at)


def events_of(player: Player, today: date) -> list[DayEvent]:
    """Return the blocks that the player was assigned, as events.

    What was taken back stays in as cancelled, since RFC 5545 gives no meaning to an event that is simply missing: a
    calendar that adds to what it holds would keep it for ever.
    """
    since = monday_of(today) - PAST_WEEKS * WEEK
    assigned = Block.objects.filter(plan__player=player, plan__monday__gte=since, plan__assigned_at__isnull=False)
    in_order = assigned.select_related("plan").order_by("plan__monday", "plan__version", "position")
    return [_event(line) for line in _lines(in_order)]


def _lines(blocks) -> list[list[Block]]:
    """Return the blocks line by line: a block, and what it became in each later version of its week."""
    lines, line_of = [], {}
    for block in blocks:
        line = line_of.get(block.replaces_id)
        # Of two copies of one block only the first is what it became; a copy for another week is another block.
        if line is None or line[-1].plan.version >= block.plan.version or line[-1].plan.monday != block.plan.monday:
            line = []
            lines.append(line)
        line.append(block)
        line_of[block.pk] = line
    return lines


def _event(line: list[Block]) -> DayEvent:
    newest = line[-1]
    changed = [after.plan.assigned_at for before, after in pairwise(line) if _told(before) != _told(after)]
    cancelled_at = _cancelled_at(newest)
    times = [line[0].plan.assigned_at, *changed, *filter(None, [cancelled_at])]
    # A block for any day lasts the whole week: on its Monday alone it would look missed from Tuesday on.
    first, days = newest.plan.monday, 7
    if newest.day is not None:
        first, days = first + timedelta(days=newest.day), 1
    return DayEvent(
        uid=str(line[0].pk),
        first=first,
        days=days,
        title=newest.title,
        sequence=len(times) - 1,
        changed_at=times[-1],
        cancelled=cancelled_at is not None,
    )


def _told(block: Block) -> tuple:
    """Return what an event tells of a block."""
    return block.title, block.day


def _cancelled_at(block: Block) -> datetime | None:
    """Return when a block was taken back; None where it stands."""
    plan = block.plan
    if plan.state == PlanState.ASSIGNED:
        return block.withdrawn_at
    return min(filter(None, [block.withdrawn_at, plan.withdrawn_at]))
