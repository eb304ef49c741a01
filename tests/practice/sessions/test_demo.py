"""The demonstration: what it holds, that it is the same every time, and what the command says."""

import hashlib
import io
import socket
from datetime import date

import pytest
from django.core.management import CommandError, call_command
from django.db.models import Count, F, Max, Min, Q

from practice.accounts.models import Academy, User
from practice.clubs.actions import asked_clubs, unread_clubs
from practice.clubs.models import BagReview, ClubSetup, SetupReason
from practice.planner.models import Block, PlanState, WeekPlan
from practice.players.models import Player
from practice.sessions.demo import people
from practice.sessions.demo.load import load_demo
from practice.sessions.demo.model import SWING_SHARES, scatter_in_week, stock_carry_m
from practice.sessions.models import BlockTally, EyeGuess, Shot, TurfSwing
from tests.make import make_academy

TODAY = date(2026, 11, 25)
pytestmark = pytest.mark.django_db


def few_golfers(monkeypatch, *names):
    chosen = [golfer for golfer in people.GOLFERS if golfer.name in names]
    assert len(chosen) == len(names)
    monkeypatch.setattr(people, "GOLFERS", chosen)


def digest_of_what_was_done():
    shots = Shot.objects.order_by("player__slug", "hit_at", "uid")
    told = [*shots.values_list("uid", "hit_at", "carry_m", "contact")]
    told += TurfSwing.objects.order_by("done_at").values_list("uid", "done_at", "contact", "ground")
    told += BlockTally.objects.values_list("uid", "done_at", "balls", "on", "long", "short", "mishits")
    return hashlib.sha256(repr(told).encode()).hexdigest()


def test_the_demonstration_is_twelve_players_over_twelve_weeks_with_all_that_a_season_has():
    load_demo(today=TODAY)
    counts = dict(Player.objects.annotate(n=Count("shots")).values_list("name", "n"))
    assert len(counts) == 12
    assert 14_000 <= sum(counts.values()) <= 16_000
    assert min(counts.values()) < 200 < 1500 < max(counts.values())
    for player in Player.objects.all():
        weeks = WeekPlan.objects.filter(player=player, state=PlanState.ASSIGNED)
        assert weeks.count() == 12
        assert weeks.aggregate(first=Min("monday"), last=Max("monday")) == {
            "first": date(2026, 9, 7),
            "last": date(2026, 11, 23),
        }
    # left in the current week for whoever tries it
    thirds = Block.objects.to_do().filter(logging="third")
    assert set(thirds.values_list("plan__monday", flat=True)) == {date(2026, 11, 23)}
    assert not Shot.objects.filter(ball__block__in=thirds).exists()
    assert Player.objects.filter(handed="left").exists()
    assert Player.objects.filter(is_junior=True, user=None).count() == 2
    live = Shot.objects.live()
    assert live.filter(target_m=None, error_m=None, measured_by__in=["monitor", "laser"]).count() > 1000
    assert live.filter(measured_by="eye").count() > 1000
    assert live.filter(session__setting="course").count() > 100
    assert live.filter(warm_up=True).exists()
    assert live.filter(ball__isnull=False).count() > 1000
    assert live.filter(strike_low_high_mm__isnull=False).count() > 200
    assert {"mat", "grass"} == set(live.filter(session__setting="range").values_list("surface", flat=True))
    assert EyeGuess.objects.checked().exists()
    assert set(TurfSwing.objects.live().values_list("contact", flat=True)) == {"clean", "thin", "fat"}
    tally = BlockTally.objects.live().get()
    assert (tally.balls, tally.block.logging) == (20, "end")
    assert 0 < tally.on < tally.balls
    assert not live.filter(ball__block=tally.block).exists()
    assert live.filter(session=tally.session).exists()
    bent = ClubSetup.objects.get(reason=SetupReason.BENT)
    before = Q(session__local_date__lt=bent.valid_from)
    shots = live.filter(club=bent.club)
    assert shots.filter(before, setup=bent).count() == shots.filter(~before).exclude(setup=bent).count() == 0
    assert shots.filter(setup=bent).exists()
    assert not live.exclude(club__player=F("player")).exists()


def test_bags_are_reviewed_but_for_one_that_is_overdue_and_one_that_never_was(monkeypatch):
    few_golfers(monkeypatch, "Jory Tamblyn", "Elin Hartsong", "Hugo Ravensby")
    academy = load_demo(today=TODAY)
    elin, hugo, jory = Player.objects.select_related("academy").order_by("name")
    for player, unread in ((elin, 0), (hugo, 3), (jory, 4)):
        assert len(unread_clubs(asked_clubs(player), today=TODAY, days=academy.bag_review_days)) == unread
    assert set(BagReview.objects.values_list("player__name", "lofts_checked")) == {(elin.name, True), (hugo.name, True)}


def test_the_same_shots_come_every_time(monkeypatch):
    few_golfers(monkeypatch, "Jory Tamblyn", "Elin Hartsong", "Ada Fernhill")
    academy = load_demo(today=TODAY)
    first = digest_of_what_was_done()
    academy.delete()
    User.objects.all().delete()
    assert not any(model.objects.exists() for model in (Shot, TurfSwing, BlockTally))
    load_demo(today=TODAY)
    assert digest_of_what_was_done() == first


def test_players_who_improve_scatter_less_at_the_end_and_the_others_as_before():
    for golfer in people.GOLFERS:
        assert scatter_in_week(golfer, 0) == pytest.approx(golfer.scatter)
        assert scatter_in_week(golfer, 11) == pytest.approx(golfer.scatter_after)
    assert {golfer.scatter > golfer.scatter_after for golfer in people.GOLFERS} == {True, False}


def test_more_loft_and_shorter_swings_carry_less():
    golfer = people.GOLFERS[0]
    assert stock_carry_m(golfer, 52.0, "full") == pytest.approx(golfer.full_52_m)
    lofts = [stock_carry_m(golfer, loft, "full") for loft in golfer.lofts_deg]
    swings = [stock_carry_m(golfer, 52.0, swing) for swing in SWING_SHARES]
    assert lofts == sorted(lofts, reverse=True)
    assert swings == sorted(swings)


def test_demo_loads_nothing_where_an_academy_is_held_and_says_so():
    make_academy()
    out = io.StringIO()
    call_command("demo", "--no-serve", stdout=out)
    assert "nothing was loaded" in out.getvalue()
    assert Academy.objects.count() == 1


def test_a_taken_port_is_told_before_anything_else_is_done():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(CommandError, match=f"Port {port} on 127.0.0.1 is taken.*--port {port + 1}"):
            call_command("demo", "--port", str(port), stdout=io.StringIO())
    assert not Academy.objects.exists()


def test_known_passwords_are_refused_in_production(settings):
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="does not run in production"):
        call_command("demo", "--no-serve", stdout=io.StringIO())
