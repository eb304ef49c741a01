"""What was asked stays as it was asked: a block and its balls are never changed once they are assigned."""

from datetime import date

import pytest
from django.utils import timezone

from practice.planner.models import Ball, Block, FrozenError, WeekPlan
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def ball() -> Ball:
    """A ball of a block that was assigned."""
    player = make.make_player(make.make_academy())
    plan = WeekPlan.objects.create(player=player, monday=date(2026, 5, 4))
    block = Block.objects.create(plan=plan, position=1, kind="random_target", title="Mixed", seed=1)
    ball = Ball.objects.create(block=block, n=1, club=make.make_club(player), swing="feel", target_m=50.0)
    Ball.objects.filter(pk=ball.pk).update(target_m=51.0)
    ball.target_m = 52.0
    ball.save()
    WeekPlan.objects.filter(pk=plan.pk).update(state="assigned", assigned_at=timezone.now())
    return Ball.objects.get(pk=ball.pk)


def test_an_assigned_ball_is_not_saved(ball):
    ball.target_m = 60.0
    with pytest.raises(FrozenError):
        ball.save()
    assert Ball.objects.get().target_m == 52.0


def test_an_assigned_ball_is_not_updated(ball):
    with pytest.raises(FrozenError):
        Ball.objects.filter(pk=ball.pk).update(target_m=60.0)


def test_a_ball_is_not_added_to_an_assigned_block(ball):
    with pytest.raises(FrozenError):
        Ball.objects.create(block=ball.block, n=2, club=ball.club, swing="feel")


def test_balls_are_not_added_in_bulk_to_an_assigned_block(ball):
    with pytest.raises(FrozenError):
        Ball.objects.bulk_create([Ball(block=ball.block, n=2, club=ball.club, swing="feel")])


def test_assigned_balls_are_not_changed_in_bulk(ball):
    ball.target_m = 60.0
    with pytest.raises(FrozenError):
        Ball.objects.bulk_update([ball], ["target_m"])


def test_an_assigned_block_is_not_saved(ball):
    ball.block.title = "Another"
    with pytest.raises(FrozenError):
        ball.block.save()


def test_an_assigned_block_is_not_updated(ball):
    with pytest.raises(FrozenError):
        Block.objects.update(title="Another", withdrawn_at=timezone.now())


def test_how_much_of_an_assigned_block_is_logged_stays(ball):
    with pytest.raises(FrozenError):
        Block.objects.update(logging="third")
    ball.block.logging = "third"
    with pytest.raises(FrozenError):
        ball.block.save(update_fields=["logging"])


def test_a_block_is_not_added_to_an_assigned_plan(ball):
    with pytest.raises(FrozenError):
        Block.objects.create(plan=ball.block.plan, position=2, kind="carry_test", title="More", seed=2)


def test_blocks_are_not_added_in_bulk_to_an_assigned_plan(ball):
    with pytest.raises(FrozenError):
        Block.objects.bulk_create([Block(plan=ball.block.plan, position=2, kind="carry_test", title="More", seed=2)])


def test_erasing_a_player_takes_their_assigned_blocks_along(ball):
    ball.block.plan.player.delete()
    assert not Ball.objects.exists()


def test_an_assigned_block_can_be_withdrawn_once_and_keeps_that_time(ball):
    first = timezone.now()
    ball.block.withdraw(at=first)
    ball.block.withdraw(at=timezone.now())
    assert Block.objects.get().withdrawn_at == first
    assert not Block.objects.to_do().exists()
