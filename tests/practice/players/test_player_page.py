"""A player's page, and the forms by which a player is added, changed and taken off the roster."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from practice.accounts.models import Device, Membership, Role
from practice.drills.kinds import KINDS
from practice.ids import uuid7
from practice.planner.models import Block, WeekPlan
from practice.planner.weeks import monday_of
from practice.players.actions import free_slug, give_sign_in
from practice.players.models import Player
from practice.sessions.models import BlockTally, PainStop, Shot, TurfSwing
from tests import make

pytestmark = pytest.mark.django_db


def page_of(cast):
    return cast.client("coach").get(reverse("players:player", args=[cast.player.pk]))


def do_beside(shot):
    """Add turf work and a tally to the session of a shot."""
    plan, _ = WeekPlan.objects.get_or_create(player=shot.player, monday=date(2026, 5, 4))
    block = Block.objects.create(
        plan=plan,
        position=plan.blocks.count() + 1,
        title="Rehearsal",
        venue=shot.session.venue,
        kind=next(iter(KINDS)),
        seed=7,
        algorithm="test",
        inputs_sha256="0" * 64,
    )
    sent = {"player": shot.player, "session": shot.session, "done_at": timezone.now(), "phone_at": timezone.now()}
    sent |= {"block": block, "running_number": 1}
    TurfSwing.objects.create(contact="clean", ground="brush", **sent)
    BlockTally.objects.create(balls=20, on=11, long=4, short=3, mishits=1, **sent)


class TestThePage:
    def test_it_leads_to_the_bag_this_weeks_plan_the_dashboard_and_the_shots(self, cast):
        html = page_of(cast).content.decode()
        player, monday = cast.player.pk, monday_of(cast.academy.today()).isoformat()
        for name, parts in (
            ("clubs:bag", [player]),
            ("planner:week", [player, monday]),
            ("analytics:dashboard", [player]),
            ("practice_sessions:shots", [player]),
        ):
            assert f'href="{reverse(name, args=parts)}"' in html

    def test_it_shows_the_facts_that_the_coach_noted(self, cast):
        noted_on = cast.academy.today()
        Player.objects.filter(pk=cast.player.pk).update(
            handed="left",
            distance_unit="m",
            is_junior=True,
            daily_ball_limit=60,
            consent_noted_on=noted_on,
            consent_note="mother, by phone",
        )
        html = " ".join(page_of(cast).content.decode().split())
        for words in (
            "Left-handed · metres",
            "junior",
            "60 balls a day (your own limit, not a medical one)",
            "by phone",
        ):
            assert words in html

    def test_it_misses_the_consent_of_a_junior(self, cast):
        Player.objects.filter(pk=cast.player.pk).update(is_junior=True)
        assert "No consent is noted yet" in page_of(cast).content.decode()

    def test_it_shows_the_latest_sessions_with_their_balls_the_newest_first(self, cast):
        club, venue = make.make_club(cast.player), make.make_range(cast.academy, name="North Field")
        for days, balls in ((9, 1), (2, 3)):
            for _ in range(balls):
                make.make_shot(club, venue, hit_at=timezone.now() - timedelta(days=days))
        make.make_shot(club, venue, hit_at=timezone.now() - timedelta(days=2), deleted=True)
        sessions = page_of(cast).context["page"].sessions
        assert [(session.venue, session.balls) for session in sessions] == [("North Field", 3), ("North Field", 1)]
        assert sessions[0].local_date > sessions[1].local_date

    def test_a_day_of_turf_work_and_tallies_is_told_in_words_and_not_as_no_balls(self, cast):
        shot = make.make_shot(make.make_club(cast.player), make.make_range(cast.academy))
        do_beside(shot)
        html = page_of(cast).content.decode()
        assert "Turf: 1 swing, 1 clean; brushed 1" in html
        assert "Rehearsal, at the end: 20 hit, 11 on, 4 long, 3 short, 1 mishit, 1 not seen" in html
        assert '<td class="number">1</td>' in html
        Shot.objects.update(deleted=True)
        assert '<td class="number">–</td>' in page_of(cast).content.decode()
        TurfSwing.objects.update(deleted=True)
        BlockTally.objects.update(deleted=True)
        html = page_of(cast).content.decode()
        assert '<td class="number">0</td>' in html
        assert "Turf:" not in html

    def test_it_says_at_once_that_something_hurts_and_keeps_older_stops_below(self, cast):
        for days in (1, 30):
            day = cast.academy.today() - timedelta(days=days)
            PainStop.objects.create(
                player=cast.player, stopped_at=timezone.now() - timedelta(days=days), local_date=day
            )
        page = page_of(cast).context["page"]
        assert page.hurt_on == cast.academy.today() - timedelta(days=1)
        assert len(page.stops) == 2

    def test_it_lists_the_players_devices_for_the_coach_to_sign_out(self, cast):
        device = Device.objects.create(user=cast.player.user, label="Tablet (Safari)")
        html = page_of(cast).content.decode()
        assert "Tablet (Safari)" in html
        assert reverse("accounts:revoke_device", args=[device.pk]) in html

    def test_queries_do_not_grow_with_sessions_and_shots(self, cast):
        club, venue = make.make_club(cast.player), make.make_range(cast.academy)

        def queries() -> int:
            with CaptureQueriesContext(connection) as captured:
                page_of(cast)
            return len(captured)

        do_beside(make.make_shot(club, venue))
        before = queries()
        for days in range(8):
            do_beside(make.make_shot(club, venue, hit_at=timezone.now() - timedelta(days=days)))
        assert queries() == before


def send(cast, *, by: str = "coach", **facts):
    """Send the form for a new player."""
    values = {"id": uuid7(), "academy": cast.academy.pk, "name": "Robin Fairlie", "handed": "right", **facts}
    return cast.client(by).post(reverse("players:add"), values)


class TestAddingAPlayer:
    def test_a_new_player_is_on_the_roster_under_a_slug_made_of_the_name(self, cast):
        response = send(cast, name="  Robin   Fairlie ", handed="left", is_junior="on", daily_ball_limit="60")
        robin = Player.objects.get(slug="robin-fairlie")
        assert response.url == reverse("players:player", args=[robin.pk])
        assert (robin.name, robin.academy) == ("Robin Fairlie", cast.academy)
        assert (robin.handed, robin.is_junior, robin.daily_ball_limit, robin.user) == ("left", True, 60, None)

    def test_the_same_form_sent_twice_adds_one_player(self, cast):
        id = uuid7()
        answers = {send(cast, id=id).url for _ in range(2)}
        assert len(answers) == 1
        assert Player.objects.filter(name="Robin Fairlie").count() == 1

    def test_two_players_of_one_name_get_slugs_that_differ(self, cast):
        for _ in range(2):
            send(cast)
        assert set(Player.objects.filter(name="Robin Fairlie").values_list("slug", flat=True)) == {
            "robin-fairlie",
            "robin-fairlie-2",
        }

    @pytest.mark.parametrize(("name", "slug"), [("Øyvind Ås", "yvind-as"), ("李小龙", "player"), ("x" * 120, "x" * 70)])
    def test_a_slug_is_made_of_any_name(self, cast, name, slug):
        assert free_slug(cast.academy, name) == slug

    def test_a_slug_taken_in_another_academy_is_free_here(self, cast):
        make.make_player(make.make_academy(), "Robin Fairlie")
        assert free_slug(cast.academy, "Robin Fairlie") == "robin-fairlie"

    def test_the_academy_is_asked_only_of_a_coach_who_has_several(self, cast):
        form = cast.client("coach").get(reverse("players:add")).context["form"]
        assert "academy" not in [field.name for field in form.visible_fields()]
        second = make.make_academy()
        Membership.objects.create(academy=second, user=cast.coach, role=Role.COACH)
        form = cast.client("coach").get(reverse("players:add")).context["form"]
        assert "academy" in [field.name for field in form.visible_fields()]
        send(cast, academy=second.pk)
        assert Player.objects.get(name="Robin Fairlie").academy == second

    @pytest.mark.parametrize(
        ("fault", "words"),
        [
            ({"name": " "}, "Enter the player"),
            ({"name": "x" * 121}, "at most 120 characters"),
            ({"handed": "both"}, "Select a valid choice"),
            ({"daily_ball_limit": "0"}, "1 to 1000"),
            ({"daily_ball_limit": "-5"}, "greater than or equal to 0"),
            ({"daily_ball_limit": "many"}, "whole number"),
            ({"consent_noted_on": "2999-01-01"}, "has not come yet"),
            ({"consent_noted_on": "yesterday"}, "valid date"),
        ],
    )
    def test_a_form_with_a_fault_comes_back_with_what_was_typed_and_stores_nothing(self, cast, fault, words):
        response = send(cast, **{"consent_note": "kept words", **fault})
        html = response.content.decode()
        assert response.status_code == 422
        assert words in html
        assert "kept words" in html
        assert not Player.objects.filter(handed="right", consent_note="kept words").exists()


class TestChangingAPlayer:
    def test_the_form_changes_the_facts_and_leaves_the_slug(self, cast):
        address, slug = reverse("players:edit", args=[cast.player.pk]), cast.player.slug
        for _ in range(2):
            response = cast.client("coach").post(address, {"name": "New Name", "handed": "left", "distance_unit": "m"})
            assert response.url == reverse("players:player", args=[cast.player.pk])
        cast.player.refresh_from_db()
        assert (cast.player.name, cast.player.handed, cast.player.shown_unit) == ("New Name", "left", "m")
        assert cast.player.slug == slug

    def test_a_fault_keeps_the_name_in_the_heading(self, cast):
        response = cast.client("coach").post(
            reverse("players:edit", args=[cast.player.pk]), {"name": "", "handed": "left"}
        )
        assert response.status_code == 422
        assert f"<h1>Edit {cast.player.name}</h1>" in response.content.decode()

    def test_off_the_roster_and_back_loses_nothing_and_may_be_sent_twice(self, cast):
        make.make_shot(make.make_club(cast.player), make.make_range(cast.academy))
        moments = set()
        for _ in range(2):
            cast.client("coach").post(reverse("players:archive", args=[cast.player.pk]))
            cast.player.refresh_from_db()
            moments.add(cast.player.archived_at)
        assert len(moments) == 1
        assert None not in moments
        for _ in range(2):
            cast.client("coach").post(reverse("players:restore", args=[cast.player.pk]))
        cast.player.refresh_from_db()
        assert cast.player.archived_at is None
        assert cast.player.shots.count() == 1


def test_a_sign_in_is_made_once_for_a_player(cast):
    junior = make.make_player(cast.academy)
    assert give_sign_in(player=junior) == give_sign_in(player=junior)
    assert Membership.objects.get(user=give_sign_in(player=junior)).role == Role.PLAYER
