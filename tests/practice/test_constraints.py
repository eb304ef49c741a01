"""What the database itself refuses, whatever program writes to it. Every named constraint has a case here."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, models
from django.utils import timezone

from practice.accounts.access import AcademyOwned
from practice.accounts.models import Academy, Device, Membership, SignInLink, User
from practice.clubs.models import (
    BagReview,
    Club,
    ClubSetup,
    GrooveLook,
    LoftReading,
    PuttingTable,
    StatedCarry,
    SwingLength,
)
from practice.drills.models import Drill
from practice.planner.models import Ball, Block, CalendarFeed, Competition, DraftSnapshot, WeekPlan, WeekTemplate
from practice.players.models import Player
from practice.sessions.models import (
    BlockOutcome,
    BlockTally,
    EyeGuess,
    ImportBatch,
    PainStop,
    PracticeSession,
    Shot,
    ShotRevision,
    SkippedBall,
    SmoothSwing,
    StrikeMark,
    TurfSwing,
    Visit,
)
from practice.venues.models import Bay, Target, Venue
from tests import make

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 5, 4)


class World:
    """Two rows of every model, which no constraint minds."""

    def __init__(self):
        self.rows: dict[type, list] = {}
        for academy in (make.make_academy(), make.make_academy()):
            self.fill(academy)

    def add(self, *rows):
        for row in rows:
            self.rows.setdefault(type(row), []).append(row)

    def fill(self, academy: Academy):
        player = make.make_player(academy, signs_in=True)
        user = player.user
        club = make.make_club(player, f"of {academy.slug}", stated_full_m=90.0)
        setup = club.setups.get()
        bent = ClubSetup.objects.create(club=club, loft_deg=55.0, valid_from=MONDAY)
        venue = make.make_range(academy)
        line = venue.tee_lines.get()
        device = Device.objects.create(user=user, label="Phone")
        self.add(academy, user, player, club, setup, venue, line, line.targets.first(), club.stated_carries.get())
        self.add(
            user.memberships.get(),
            SignInLink.objects.create(
                academy=academy, user=user, made_by=user, token_sha256=academy.slug, expires_at=timezone.now()
            ),
            Bay.objects.create(tee_line=line, name="Bay 1"),
            LoftReading.objects.create(setup=bent, loft_deg=55.2, measured_on=MONDAY),
            review := BagReview.objects.create(player=player, done_on=MONDAY),
            GrooveLook.objects.create(review=review, club=club, grooves="worn"),
            SwingLength.objects.create(academy=academy, code=f"own-{len(self.rows[Academy])}"),
            PuttingTable.objects.create(academy=academy, source="Own", rows=[[3, 1.1], [30, 2.1]]),
        )
        self.add(CalendarFeed.objects.create(player=player, token_sha256=academy.slug))
        self.plan(academy, player, club, venue)
        self.practise(player, club, venue, device)

    def plan(self, academy: Academy, player: Player, club: Club, venue: Venue):
        drill = Drill.objects.create(academy=academy, kind="random_target", title="Mixed")
        plan = WeekPlan.objects.create(player=player, monday=MONDAY + timedelta(weeks=len(self.rows[Academy])))
        fields = {"plan": plan, "drill": drill, "kind": "random_target", "seed": 1, "venue": venue}
        block = Block.objects.create(position=1, title="Mixed", **fields)
        ball = Ball.objects.create(block=block, n=1, club=club, swing="feel", target_m=50.0)
        self.add(DraftSnapshot.objects.create(plan=plan, change="the start"))
        self.add(WeekTemplate.objects.create(academy=academy, name=f"Week {len(self.rows[Academy])}"))
        self.add(drill, plan, block, ball, Competition.objects.create(player=player, day=MONDAY))

    def practise(self, player: Player, club: Club, venue: Venue, device: Device):
        visit = Visit.objects.create(player=player, venue=venue, started_at=timezone.now())
        shot = make.make_shot(club, venue, visit=visit)
        revision = shot.revisions.get()
        ShotRevision.objects.filter(pk=revision.pk).update(device=device, running_number=1)
        ball = self.rows[Ball][-1]
        batch = ImportBatch.objects.create(player=player, file_name="shots.csv", file_sha256="0")
        self.add(visit, shot, shot.session, revision, batch)
        done = {"player": player, "session": shot.session, "done_at": timezone.now()}
        counts = {"balls": 20, "on": 11, "long": 4, "short": 4, "mishits": 1}
        self.add(
            TurfSwing.objects.create(contact="clean", ground="brush", **done),
            BlockTally.objects.create(block=ball.block, **counts, **done),
            StrikeMark.objects.create(club=club, heel_toe_mm=3.0, low_high_mm=-4.5, **done),
            SmoothSwing.objects.create(smooth=True, how="hum", **done),
            BlockOutcome.objects.create(balls=10, made=7, best_run=3, **done),
            SkippedBall.objects.create(player=player, ball=ball),
            PainStop.objects.create(player=player, stopped_at=timezone.now(), local_date=MONDAY),
            EyeGuess.objects.create(player=player, guessed_at=timezone.now(), guess_m=50.0, measured_m=55.0),
        )


@pytest.fixture
def world() -> World:
    return World()


CHECKS = {
    "academy_distance_unit": (Academy, {"distance_unit": "ft"}),
    "academy_carry_chart_days": (Academy, {"carry_chart_days": 0}),
    "academy_passing_values": (Academy, {"passing_mishit_pct": 101}),
    "academy_bend_limit": (Academy, {"bend_limit_deg": 6.5}),
    "academy_bag_review_days": (Academy, {"bag_review_days": 0}),
    "academy_juniors_hit_less": (Academy, {"daily_ball_limit": 50, "junior_daily_ball_limit": 51}),
    "user_email_lower": (User, {"email": "Upper@example.org"}),
    "membership_role": (Membership, {"role": "caddie"}),
    "sign_in_link_redeemed_whole": (SignInLink, {"redeemed_at": timezone.now()}),
    "player_handed": (Player, {"handed": "both"}),
    "player_distance_unit": (Player, {"distance_unit": "ft"}),
    "bay_arc": (Bay, {"arc_left_deg": 10.0, "arc_right_deg": 10.0}),
    "target_kind": (Target, {"kind": "hole"}),
    "target_distance": (Target, {"distance_m": 0.0}),
    "target_direction": (Target, {"direction_deg": 91.0}),
    "target_elevation": (Target, {"elevation_m": -101.0}),
    "club_kind": (Club, {"kind": "spoon"}),
    "club_label_given": (Club, {"label": ""}),
    "club_sweet_spot": (Club, {"sweet_spot_low_high_mm": 1.0}),
    "club_intended_spot": (Club, {"intended_low_high_mm": 81.0, "intended_heel_toe_mm": 0.0}),
    "club_head": (Club, {"head_g": 20.0}),
    "club_head_type": (Club, {"head_type": "carved"}),
    "club_length": (Club, {"length_mm": 35.5}),
    "club_lie": (Club, {"lie_deg": 81.0}),
    "club_bend_limit": (Club, {"bend_limit_deg": -0.5}),
    "groove_look_grooves": (GrooveLook, {"grooves": "sharp"}),
    "setup_loft": (ClubSetup, {"loft_deg": 90.0}),
    "setup_bounce": (ClubSetup, {"bounce_deg": 31.0}),
    "setup_reason": (ClubSetup, {"reason": "found"}),
    "reading_loft": (LoftReading, {"loft_deg": 0.0}),
    "stated_carry_range": (StatedCarry, {"carry_m": 0.0}),
    "swing_length_is_own": (SwingLength, {"code": "9:00"}),
    "putting_table_source_given": (PuttingTable, {"source": ""}),
    "drill_kind": (Drill, {"kind": "none"}),
    "plan_week_starts_on_monday": (WeekPlan, {"monday": MONDAY + timedelta(days=1)}),
    "plan_state_dates": (WeekPlan, {"state": "assigned"}),
    "block_kind": (Block, {"kind": "none"}),
    "block_logging": (Block, {"kind": "carry_test", "logging": "end"}),
    "block_day": (Block, {"day": 7}),
    "block_minutes": (Block, {"minutes": 0}),
    "block_surface": (Block, {"surface": "ice"}),
    "block_pass_mark": (Block, {"pass_made": 8, "pass_of": 7, "pass_within_pct": 10}),
    "feed_revoked_after_it_was_made": (CalendarFeed, {"revoked_at": datetime(2000, 1, 1, tzinfo=UTC)}),
    "competition_day": (Competition, {"day": date(1999, 12, 31)}),
    "week_template_named": (WeekTemplate, {"name": ""}),
    "ball_number_from_one": (Ball, {"n": 0}),
    "ball_target": (Ball, {"target_m": 401.0}),
    "ball_neighbours_in_order": (Ball, {"below_carry_m": 60.0, "above_carry_m": 59.0}),
    "visit_setting": (Visit, {"setting": "garden"}),
    "visit_stand": (Visit, {"stand": "there"}),
    "visit_offset": (Visit, {"offset_m": 51.0}),
    "visit_measured_by": (Visit, {"measured_by": ""}),
    "visit_resolution": (Visit, {"resolution_m": -1.0}),
    "visit_ball_type": (Visit, {"ball_type": "golf"}),
    "visit_surface": (Visit, {"surface": "ice"}),
    "visit_wind": (Visit, {"wind": "gale"}),
    "visit_wind_from": (Visit, {"wind_from": "below"}),
    "session_setting": (PracticeSession, {"setting": ""}),
    "shot_source": (Shot, {"source": "radio"}),
    "shot_target": (Shot, {"target_m": 0.0}),
    "shot_carry": (Shot, {"carry_m": -1.0, "contact": "fat"}),
    "shot_lateral": (Shot, {"lateral_m": 201.0}),
    "shot_error": (Shot, {"error_m": 401.0, "target_m": None, "carry_m": None}),
    "shot_error_or_distances": (Shot, {"error_m": 1.0}),
    "shot_has_a_result": (Shot, {"carry_m": None}),
    "shot_distance_is": (Shot, {"distance_is": ""}),
    "shot_contact": (Shot, {"contact": "great"}),
    "shot_contact_note": (Shot, {"contact_note": "great"}),
    "shot_elevation": (Shot, {"elevation_m": 101.0}),
    "shot_strike_heel_toe": (Shot, {"strike_heel_toe_mm": 81.0}),
    "shot_strike_low_high": (Shot, {"strike_low_high_mm": -81.0}),
    "shot_measured_by": (Shot, {"measured_by": "guess"}),
    "shot_resolution": (Shot, {"resolution_m": 51.0}),
    "shot_ball_type": (Shot, {"ball_type": "golf"}),
    "shot_surface": (Shot, {"surface": "ice"}),
    "shot_lie": (Shot, {"lie": "tee"}),
    "shot_wind": (Shot, {"wind": "gale"}),
    "shot_wind_from": (Shot, {"wind_from": "below"}),
    "shot_set_aside_with_reason": (Shot, {"set_aside_at": timezone.now()}),
    "eye_guess_guess": (EyeGuess, {"guess_m": 0.4}),
    "eye_guess_measured": (EyeGuess, {"measured_m": 401.0}),
    "turf_contact": (TurfSwing, {"contact": "shank"}),
    "turf_ground": (TurfSwing, {"ground": ""}),
    "turf_surface": (TurfSwing, {"surface": "ice"}),
    "tally_balls": (BlockTally, {"balls": 201}),
    "tally_within_balls": (BlockTally, {"short": 5}),
    "mark_heel_toe": (StrikeMark, {"heel_toe_mm": 81.0}),
    "mark_low_high": (StrikeMark, {"low_high_mm": -81.0}),
    "mark_resolution": (StrikeMark, {"resolution_mm": -1.0}),
    "swing_how": (SmoothSwing, {"how": "song"}),
    "outcome_balls": (BlockOutcome, {"balls": 201}),
    "outcome_made": (BlockOutcome, {"made": 11}),
    "outcome_best_run": (BlockOutcome, {"best_run": 11}),
}
"""Constraint, model, and what to set on a good row to break it and no other."""

ASSIGNED = {"state": "assigned", "assigned_at": timezone.now()}
AFTER = MONDAY + timedelta(days=1)
BEFORE = {
    "plan_one_assigned_a_week": [{**ASSIGNED, "version": 1}, {**ASSIGNED, "version": 2}],
    "plan_one_draft_a_week": [{"version": 1}, {"version": 2}],
    "plan_version_once_a_week": [ASSIGNED, {}],
    "setup_once_a_day": [{"valid_from": AFTER}, {"valid_from": AFTER}],
    "venue_slug_once_an_academy": [{"is_default": False}, {}],
}
"""What to set on the two rows first, so that the constraint applies to both and no other one does."""


def constraints(kind: type) -> dict:
    """Return our constraints of one kind, by name: model and constraint."""
    ours = [model for model in apps.get_models() if model.__module__.startswith("practice.")]
    return {c.name: (model, c) for model in ours for c in model._meta.constraints if isinstance(c, kind)}


UNIQUE = constraints(models.UniqueConstraint)


def test_every_check_of_the_database_has_a_case():
    assert CHECKS.keys() == constraints(models.CheckConstraint).keys()
    assert len(CHECKS) + len(UNIQUE) == len(constraints(models.BaseConstraint))


@pytest.mark.parametrize("name", CHECKS)
def test_the_database_refuses_a_row_that_breaks_a_check(world, name):
    model, wrong = CHECKS[name]
    with pytest.raises(IntegrityError, match=rf"\b{name}\b"):
        model.objects.filter(pk=world.rows[model][0].pk).update(**wrong)


@pytest.mark.parametrize("name", UNIQUE)
def test_the_database_refuses_a_second_row_of_what_is_there_once(world, name):
    model, constraint = UNIQUE[name]
    first, second = world.rows[model]
    for row, values in zip((first, second), BEFORE.get(name, [{}, {}]), strict=True):
        model.objects.filter(pk=row.pk).update(**values)
        row.refresh_from_db()
    with pytest.raises(IntegrityError) as refused:
        model.objects.filter(pk=second.pk).update(**{name: getattr(first, name) for name in constraint.fields})
    # SQLite names a unique constraint by its columns only.
    columns = [f"{model._meta.db_table}.{model._meta.get_field(name).column}" for name in constraint.fields]
    told = [name] if connection.vendor == "postgresql" else columns
    assert all(word in str(refused.value) for word in told)


OWNED = [model for model in apps.get_models() if issubclass(model, AcademyOwned)]
CHILDREN = [model for model in OWNED if model.academy_from]


def test_every_row_that_belongs_to_another_row_says_so():
    parents = {Player, Venue, Drill, PuttingTable, SwingLength, Membership, SignInLink, WeekTemplate}
    assert set(OWNED) - set(CHILDREN) == parents


@pytest.mark.parametrize("model", CHILDREN, ids=lambda model: model.__name__)
def test_a_row_has_the_academy_of_its_parent(world, model):
    for row in world.rows.get(model, []):
        assert row.academy_id == getattr(row, model.academy_from).academy_id


@pytest.mark.parametrize("model", CHILDREN, ids=lambda model: model.__name__)
def test_a_row_of_another_academy_than_its_parents_is_refused_by_save_and_in_bulk(world, model):
    (row, *_) = world.rows[model]
    row.academy = world.rows[Academy][1]
    with pytest.raises(ValidationError, match="belongs to the academy of its"):
        row.save()
    row.pk = None
    with pytest.raises(ValidationError, match="belongs to the academy of its"):
        model.objects.bulk_create([row])
