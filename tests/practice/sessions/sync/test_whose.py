"""Whose an item is: nothing of anybody else is read, touched or even told of."""

from django.utils import timezone

from practice.accounts.models import Device
from practice.ids import uuid7
from practice.sessions.models import Shot, Visit
from practice.venues.models import Target
from tests import make
from tests.practice.sessions.plan import make_block


def test_a_device_of_somebody_else_is_not_known(stage):
    others = Device.objects.create(user=make.make_user(), label="Phone")
    reasons = {
        stage.phone.reason(stage.phone.shot(stage.club, item={"device": str(device)}))
        for device in (others.pk, uuid7())
    }
    (reason,) = reasons
    assert reason.startswith("This phone is not known under your sign-in.")


def test_what_was_logged_before_a_new_sign_in_is_taken_with_its_old_device(stage):
    before = stage.phone.shot(stage.club)
    stage.phone.device.revoked_at = timezone.now()
    stage.phone.device.save()
    again = Device.objects.create(user=stage.player.user, label="Phone")
    after = stage.phone.shot(stage.club, item={"device": str(again.pk)})
    assert stage.phone.results(before, after) == ["stored", "stored"]
    assert {shot.device for shot in Shot.objects.all()} == {stage.phone.device, again}


def test_what_a_shot_names_of_others_is_left_out_like_what_is_gone(stage):
    mate = make.make_player(stage.player.academy, signs_in=True)
    theirs = Visit.objects.create(player=mate, venue=stage.venue, started_at=timezone.now())
    stage.player, mate_ball = mate, None
    mates_club, stage.club = stage.club, make.make_club(mate)
    mate_ball = make_block(stage).balls.first()
    foreign = Target.objects.get(tee_line__venue=make.make_range(make.make_academy()), name="Flag 1")
    shot = stage.phone.shot(
        mates_club, ball=str(mate_ball.pk), target=str(foreign.pk), visit=str(theirs.uid), target_name="Flag"
    )
    assert stage.phone.results(shot) == ["stored"]
    stored = Shot.objects.get()
    assert (stored.ball, stored.target, stored.target_name) == (None, None, "Flag")
    assert stored.visit != theirs
    assert stored.visit.player == stage.phone.player


def test_a_user_who_plays_at_two_academies_sends_for_both_in_one_request(stage):
    other = make.make_player(make.make_academy())
    other.user = stage.player.user
    other.save()
    club = make.make_club(other)
    items = [stage.phone.shot(stage.club), stage.phone.shot(club, item={"player": str(other.pk)})]
    assert stage.phone.results(*items) == ["stored", "stored"]
    assert {shot.academy for shot in Shot.objects.all()} == {stage.player.academy, other.academy}
