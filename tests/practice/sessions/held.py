"""A player with a row in every table, and what leads to a player: found by walking relations, not by any list."""

from datetime import date, timedelta

from django.contrib.sessions.models import Session
from django.utils import timezone

from practice.accounts.models import Academy, Device, Role, SignInLink
from practice.clubs.models import BagReview, ClubSetup, GrooveLook, LoftReading
from practice.drills.kinds import KINDS
from practice.ids import uuid7
from practice.planner.models import Ball, Block, CalendarFeed, Competition, DraftSnapshot, PlanState, WeekPlan
from practice.players.models import Player
from practice.sessions.actions import set_shot_aside
from practice.sessions.models import (
    BlockOutcome,
    BlockTally,
    EyeGuess,
    ImportBatch,
    PainStop,
    Shot,
    SkippedBall,
    SmoothSwing,
    StrikeMark,
    TurfSwing,
    Visit,
)
from tests.make import local, make_club, make_player, make_putter, make_range, make_shot, make_staff


def make_full_player(academy: Academy, name: str) -> Player:
    """Return a player who signs in on a phone and has rows of every kind."""
    coach = make_staff(academy, role=Role.COACH)
    venue = make_range(academy, default=False)
    player = make_player(academy, name, signs_in=True)
    make_putter(player)
    club = make_club(player, "56", stated_full_m=80.0)
    bent = ClubSetup.objects.create(club=club, loft_deg=54.0, valid_from=date(2026, 5, 2), reason="bent")
    LoftReading.objects.create(setup=bent, loft_deg=54.2, measured_on=date(2026, 5, 3), made_by=coach)
    review = BagReview.objects.create(player=player, done_on=date(2026, 5, 3), done_by=coach, lofts_checked=True)
    GrooveLook.objects.create(review=review, club=club, grooves="worn")
    device = sign_in(player, coach)
    ball = assign_ball(player, club, venue, coach)
    sent = {"player": player, "device": device, "phone_at": timezone.now(), "running_number": 1}
    visit = Visit.objects.create(venue=venue, started_at=local(2026, 5, 4), **sent)
    first = make_shot(club, venue, visit=visit, ball=ball, hit_at=local(2026, 5, 4), label="morning")
    undone = make_shot(club, venue, deleted=True, hit_at=local(2026, 5, 5))
    aside = make_shot(club, venue, hit_at=local(2026, 5, 6))
    set_shot_aside(shot=aside, by=coach, reason="another player's ball")
    batch = ImportBatch.objects.create(player=player, file_name="may.csv", file_sha256="0" * 64, made_by=coach)
    Shot.objects.filter(pk__in=[first.pk, undone.pk]).update(import_batch=batch, device=device)
    CalendarFeed.objects.create(player=player, token_sha256=uuid7().hex * 2, made_by=coach)
    Competition.objects.create(player=player, day=date(2026, 5, 9), title="Club championship")
    SkippedBall.objects.create(ball=ball, **sent)
    EyeGuess.objects.create(guessed_at=local(2026, 5, 4), guess_m=50.0, measured_m=55.0, **sent)
    done = {"visit": visit, "session": first.session, "done_at": local(2026, 5, 4), "block": ball.block, **sent}
    TurfSwing.objects.create(club=club, contact="thin", ground="divot", surface="grass", **done)
    BlockTally.objects.create(balls=20, on=11, long=4, short=3, mishits=1, **done)
    StrikeMark.objects.create(club=club, heel_toe_mm=3.0, low_high_mm=-4.5, **done)
    typed = {name: value for name, value in done.items() if name not in sent} | {"player": player, "made_by": coach}
    StrikeMark.objects.create(club=club, heel_toe_mm=-12.0, low_high_mm=5.0, **typed)
    SmoothSwing.objects.create(club=club, smooth=False, how="hum", **done)
    BlockOutcome.objects.create(balls=10, leaves_m=[0.5, 2.0], **done)
    PainStop.objects.create(block=ball.block, stopped_at=timezone.now(), local_date=date(2026, 5, 4), **sent)
    return player


def sign_in(player: Player, coach) -> Device:
    """Return a device on which the player is signed in by a coach's link."""
    key = uuid7().hex
    device = Device.objects.create(user=player.user, label="Phone", session_key=key)
    later = timezone.now() + timedelta(days=300)
    Session.objects.create(session_key=key, session_data="", expire_date=later)
    SignInLink.objects.create(
        academy=player.academy,
        user=player.user,
        made_by=coach,
        token_sha256=uuid7().hex * 2,
        expires_at=later,
        redeemed_at=timezone.now(),
        nonce_sha256=uuid7().hex * 2,
        device=device,
    )
    return device


def assign_ball(player: Player, club, venue, coach) -> Ball:
    """Return the one ball of a plan that is assigned."""
    plan = WeekPlan.objects.create(player=player, monday=date(2026, 5, 4), made_by=coach)
    asked = {"kind": next(iter(KINDS)), "seed": 7, "algorithm": "test", "inputs_sha256": "0" * 64}
    first = Block.objects.create(plan=plan, position=1, title="Mixed targets", venue=venue, notes=["one club"], **asked)
    Block.objects.create(plan=plan, position=2, title="Mixed targets again", replaces=first, **asked)
    ball = Ball.objects.create(block=first, n=1, club=club, swing="full", target_name="Flag 1", target_m=45.72)
    DraftSnapshot.objects.create(plan=plan, change="Moved a block")
    WeekPlan.objects.filter(pk=plan.pk).update(state=PlanState.ASSIGNED, assigned_at=timezone.now())
    return ball


def rows_leading_to(*roots) -> dict[type, set]:
    """Return the keys of every row, by model, from which some chain of foreign keys leads to a root."""
    found = {}
    waiting = [(type(root), {root.pk}) for root in roots]
    while waiting:
        model, keys = waiting.pop()
        new = keys - found.setdefault(model, set())
        if not new:
            continue
        found[model] |= new
        for relation in model._meta.get_fields(include_hidden=True):
            if relation.auto_created and not relation.concrete and relation.related_model:
                lookup = {f"{relation.field.name}__in": new}
                pointing = relation.related_model._base_manager.filter(**lookup).values_list("pk", flat=True)
                waiting.append((relation.related_model, set(pointing)))
    return found
