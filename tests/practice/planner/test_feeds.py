"""The calendar feed: what stands in it as a week is planned, changed and taken back; and who gets it."""

import io
import logging
import logging.config
from datetime import date, timedelta
from random import Random

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from practice.accounts.actions import digest
from practice.planner import actions
from practice.planner.feeds import events_of, feed_text, make_feed, revoke_feed
from practice.planner.models import Block, CalendarFeed, WeekPlan
from practice.planner.weeks import monday_of
from tests.practice.planner.plans import assign, put_block
from tests.practice.planner.rfc5545 import components

pytestmark = pytest.mark.django_db

THIS_WEEK = monday_of(timezone.now().date())


def events(cast) -> list[dict]:
    """Return the properties of the events in the player's feed, checked against the standard."""
    feed = CalendarFeed.objects.live().filter(player=cast.player).first()
    feed = feed or make_feed(player=cast.player, made_by=cast.coach)[0]
    return [told for name, told in components(feed_text(feed)) if name == "VEVENT"]


def value(event: dict, name: str) -> str:
    return event[name][1]


def edit(cast, *, monday: date = THIS_WEEK, **fields) -> WeekPlan:
    """Assign a new version of the week, with other fields of its first block where some are given."""
    plan = actions.start_next_version(player=cast.player, monday=monday, made_by=cast.coach)
    if fields:
        block = plan.blocks.order_by("position").first()
        block.plan = plan
        for name, new in fields.items():
            setattr(block, name, new)
        block.save()
    actions.assign_plan(plan=plan)
    return plan


class TestWhatStandsInIt:
    def test_a_block_for_any_day_lasts_the_week_and_one_for_a_day_lasts_that_day(self, cast, clubs):
        assign(cast.player, clubs, monday=THIS_WEEK)
        put_block(cast.player, clubs, monday=THIS_WEEK)
        edit(cast, day=2)
        days = [(value(event, "DTSTART"), value(event, "DTEND")) for event in events(cast)]
        as_told = [f"{THIS_WEEK + timedelta(days=n):%Y%m%d}" for n in range(8)]
        assert days == [(as_told[2], as_told[3]), (as_told[0], as_told[7])]

    def test_a_draft_is_not_in_it(self, cast, clubs):
        put_block(cast.player, clubs, monday=THIS_WEEK)
        assert events(cast) == []

    def test_it_goes_back_four_weeks_and_no_further(self, cast, clubs):
        for weeks in (-5, -4, 0, 3):
            assign(cast.player, clubs, monday=THIS_WEEK + timedelta(weeks=weeks))
        days = [value(event, "DTSTART") for event in events(cast)]
        assert days == [f"{THIS_WEEK + timedelta(weeks=weeks):%Y%m%d}" for weeks in (-4, 0, 3)]

    def test_it_tells_titles_and_days_and_nothing_of_who_where_or_how_far(self, cast, clubs):
        assign(cast.player, clubs, monday=THIS_WEEK)
        edit(cast, cue="hum", rain="indoors", minutes=40, reason="9:00 with the 54: 6 yd short")
        block = Block.objects.order_by("plan__version").last()
        (event,) = events(cast)
        assert value(event, "SUMMARY") == block.title
        known = {
            "UID",
            "DTSTAMP",
            "LAST-MODIFIED",
            "SEQUENCE",
            "DTSTART",
            "DTEND",
            "SUMMARY",
            "STATUS",
            "TRANSP",
            "CLASS",
        }
        assert event.keys() == known
        body = feed_text(CalendarFeed.objects.get()).decode()
        for word in (cast.player.name, cast.academy.name, cast.coach.name, block.venue.name, "Flag", "hum", "indoors"):
            assert word not in body


class TestChanges:
    def test_fetching_alone_changes_nothing(self, cast, clubs):
        assign(cast.player, clubs, monday=THIS_WEEK)
        feed, _ = make_feed(player=cast.player, made_by=cast.coach)
        assert feed_text(feed) == feed_text(feed)

    def test_an_edited_week_keeps_its_uid_and_the_sequence_grows_only_where_the_event_changed(self, cast, clubs):
        assign(cast.player, clubs, monday=THIS_WEEK)
        (first,) = events(cast)
        edit(cast, cue="hum")
        (same,) = events(cast)
        edit(cast, day=4)
        (moved,) = events(cast)
        edit(cast, title="Mixed targets, hidden")
        (renamed,) = events(cast)
        assert same == first
        assert {value(event, "UID") for event in (first, moved, renamed)} == {value(first, "UID")}
        assert [value(event, "SEQUENCE") for event in (first, moved, renamed)] == ["0", "1", "2"]
        stamps = [value(event, "LAST-MODIFIED") for event in (first, moved, renamed)]
        assert stamps == sorted(stamps)

    def test_a_block_left_out_of_the_next_version_is_cancelled_and_stays_so(self, cast, clubs):
        put_block(cast.player, clubs, monday=THIS_WEEK)
        assign(cast.player, clubs, monday=THIS_WEEK)
        before = events(cast)
        plan = actions.start_next_version(player=cast.player, monday=THIS_WEEK, made_by=cast.coach)
        actions.remove_block(plan=plan, block_id=plan.blocks.order_by("position").last().pk)
        actions.assign_plan(plan=plan)
        kept, gone = events(cast)
        assert kept == before[0]
        assert (value(gone, "UID"), value(gone, "STATUS")) == (value(before[1], "UID"), "CANCELLED")
        assert (value(before[1], "SEQUENCE"), value(gone, "SEQUENCE")) == ("0", "1")
        edit(cast)
        assert events(cast) == [kept, gone]

    def test_a_week_that_is_taken_back_is_cancelled_and_a_new_one_has_other_uids(self, cast, clubs):
        plan = assign(cast.player, clubs, monday=THIS_WEEK)
        edit(cast, day=1)
        actions.withdraw_plan(plan=WeekPlan.objects.exclude(pk=plan.pk).get())
        (gone,) = events(cast)
        assert (value(gone, "STATUS"), value(gone, "SEQUENCE")) == ("CANCELLED", "2")
        assign(cast.player, clubs, monday=THIS_WEEK)
        assert [value(event, "STATUS") for event in events(cast)] == ["CANCELLED", "CONFIRMED"]

    def test_a_block_that_was_taken_back_by_itself_is_cancelled(self, cast, clubs):
        plan = assign(cast.player, clubs, monday=THIS_WEEK)
        plan.blocks.get().withdraw(at=timezone.now())
        assert [(value(event, "STATUS"), value(event, "SEQUENCE")) for event in events(cast)] == [("CANCELLED", "1")]

    def test_two_copies_of_one_block_are_two_events(self, cast, clubs):
        block = assign(cast.player, clubs, monday=THIS_WEEK).blocks.get()
        plan = actions.start_next_version(player=cast.player, monday=THIS_WEEK, made_by=cast.coach)
        twin = plan.blocks.get()
        twin.plan, twin.pk, twin.position = plan, None, 2
        twin._state.adding = True
        twin.id = Block._meta.pk.get_default()
        twin.save()
        assert twin.replaces_id == block.pk
        actions.assign_plan(plan=plan)
        assert len({value(event, "UID") for event in events(cast)}) == 2


def random_edit(cast, clubs, draw: Random) -> None:
    """Edit and assign the week, or take it back, as a coach might."""
    plan = actions.start_next_version(player=cast.player, monday=THIS_WEEK, made_by=cast.coach)
    for block in plan.blocks.order_by("position"):
        what = draw.random()
        if what < 0.2:
            actions.remove_block(plan=plan, block_id=block.pk)
        elif what < 0.5:
            block.plan, block.day = plan, draw.choice([None, 0, 3, 6])
            block.save()
        elif what < 0.6:
            block.plan, block.cue = plan, f"cue {draw.random()}"
            block.save()
    if draw.random() < 0.7 or not plan.blocks.exists():
        put_block(cast.player, clubs, monday=THIS_WEEK, balls=2)
    actions.assign_plan(plan=plan)
    if draw.random() < 0.2:
        plan.refresh_from_db()
        actions.withdraw_plan(plan=plan)


@pytest.mark.parametrize("seed", [1, 2, 3, 5])
def test_whatever_a_coach_does_an_event_keeps_its_uid_and_its_sequence_grows_with_every_change(cast, clubs, seed):
    """RFC 5545, sections 3.8.4.7 and 3.8.7.4; and no event that a calendar holds goes without being cancelled."""
    draw = Random(seed)
    told: dict[str, dict] = {}
    cancelled = 0
    for _ in range(7):
        random_edit(cast, clubs, draw)
        now = {value(event, "UID"): event for event in events(cast)}
        for uid, before in told.items():
            changed = any(before[name] != now[uid][name] for name in ("DTSTART", "DTEND", "SUMMARY", "STATUS"))
            grown = int(value(now[uid], "SEQUENCE")) - int(value(before, "SEQUENCE"))
            assert grown > 0 if changed else now[uid] == before
            assert value(before, "LAST-MODIFIED") <= value(now[uid], "LAST-MODIFIED")
        cancelled += sum(value(event, "STATUS") == "CANCELLED" for event in now.values())
        told = now
    assert len(told) > 1
    assert cancelled


def test_the_feed_asks_one_statement_for_the_plan_however_much_is_planned(cast, clubs, django_assert_num_queries):
    assign(cast.player, clubs, monday=THIS_WEEK)
    with django_assert_num_queries(1):
        assert len(events_of(cast.player, THIS_WEEK)) == 1
    for weeks in (1, 2, 3):
        put_block(cast.player, clubs, monday=THIS_WEEK + timedelta(weeks=weeks))
        assign(cast.player, clubs, monday=THIS_WEEK + timedelta(weeks=weeks))
    with django_assert_num_queries(1):
        assert len(events_of(cast.player, THIS_WEEK)) == 7


def test_the_page_leads_to_the_sheets_of_this_and_coming_weeks(cast, clubs):
    plans = [assign(cast.player, clubs, monday=THIS_WEEK + timedelta(weeks=weeks)) for weeks in (-1, 0, 2)]
    page = cast.client("player").get(reverse("planner:calendar", args=[cast.player.pk])).content.decode()
    assert [reverse("planner:sheet", args=[plan.pk]) in page for plan in plans] == [False, True, True]


# --- the address


def make_address(cast, role: str) -> str:
    """Make an address on the page and return it as the page shows it."""
    page = cast.client(role).post(reverse("planner:make_address", args=[cast.player.pk])).content.decode()
    return page.split('id="address"')[1].split('value="')[1].split('"')[0]


class TestTheAddress:
    @pytest.mark.parametrize("role", ["player", "coach"])
    def test_whoever_makes_it_is_shown_it_once_and_it_opens_the_calendar_to_a_stranger(self, cast, clubs, role):
        assign(cast.player, clubs, monday=THIS_WEEK)
        address = make_address(cast, role)
        answer = Client().get(address)
        assert answer.status_code == 200
        assert answer["Content-Type"] == "text/calendar; charset=utf-8"
        assert [str(entry["SUMMARY"]) for entry in Calendar.from_ical(answer.content).walk("VEVENT")] == [
            "Mixed targets"
        ]
        page = cast.client(role).get(reverse("planner:calendar", args=[cast.player.pk])).content.decode()
        assert address not in page
        assert "There is an address" in page

    def test_only_a_digest_of_a_long_random_secret_is_kept(self, cast):
        feed, secret = make_feed(player=cast.player, made_by=cast.coach)
        assert len(secret) >= 43  # 32 random octets in base 64
        assert feed.token_sha256 == digest(secret)
        assert secret not in str(CalendarFeed.objects.values_list().get())

    def test_replacing_or_revoking_it_makes_the_old_one_a_404(self, cast):
        first = make_address(cast, "coach")
        second = make_address(cast, "player")
        assert [Client().get(address).status_code for address in (first, second)] == [404, 200]
        for _ in range(2):  # again changes nothing
            cast.client("player").post(reverse("planner:revoke_address", args=[cast.player.pk]))
        assert [Client().get(address).status_code for address in (first, second)] == [404, 404]
        told = CalendarFeed.objects.order_by("made_at").values_list("made_by", "revoked_by")
        assert list(told) == [(cast.coach.pk, cast.player.user_id), (cast.player.user_id, cast.player.user_id)]

    def test_it_stops_while_the_player_is_off_the_roster(self, cast):
        address = make_address(cast, "coach")
        cast.player.archive()
        assert Client().get(address).status_code == 404
        cast.player.restore()
        assert Client().get(address).status_code == 200

    def test_no_shared_cache_keeps_it_and_a_program_that_has_it_is_not_sent_it_again(self, cast):
        address = make_address(cast, "coach")
        answer = Client().get(address)
        assert {"private", "no-cache"} <= {*answer["Cache-Control"].split(", ")}
        assert Client().get(address, headers={"If-None-Match": answer["ETag"]}).status_code == 304

    def test_the_page_that_shows_it_is_kept_by_no_cache(self, cast):
        page = cast.client("coach").post(reverse("planner:make_address", args=[cast.player.pk]))
        assert "no-store" in page["Cache-Control"]

    def test_revoking_ends_nobody_elses(self, cast):
        _, secret = make_feed(player=cast.team_mate, made_by=cast.coach)
        revoke_feed(player=cast.player, by=cast.coach)
        assert Client().get(reverse("planner:feed", args=[secret])).status_code == 200


@pytest.mark.parametrize("view", ["planner:feed", "accounts:enter"])
def test_the_log_of_production_does_not_tell_the_secret_of_an_address(view, settings):
    secret = "k" * 43
    stream = io.StringIO()
    config = settings.LOGGING | {"handlers": {"console": {**settings.LOGGING["handlers"]["console"], "stream": stream}}}
    before = logging.root.handlers[:], logging.root.level
    try:
        logging.config.dictConfig(config)
        Client().get(reverse(view, args=[secret]))
        logging.getLogger("django.request").warning("Gone: %s, %s", "/players/x/calendar/make/", "/calendar/abc.ics")
    finally:
        logging.root.handlers[:], logging.root.level = before
    assert secret not in stream.getvalue()
    assert "Gone: /players/x/calendar/make/, /calendar/….ics" in stream.getvalue()
    assert view == "accounts:enter" or "Not Found: /calendar/….ics" in stream.getvalue()
