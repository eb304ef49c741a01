"""What is kept of the draft counts in a suggested week where it stands: its day, and what it trains."""

from collections import Counter

import pytest

from practice.planner.actions import start_next_version
from practice.planner.allocation import Need
from practice.planner.marks import PassMark
from practice.planner.models import Block
from practice.planner.suggest_actions import as_kept
from tests.practice.planner.suggesting.scene import all_stages, words

pytestmark = pytest.mark.django_db


def keep(scene, *, balls: int, kind: str = "free", day: int | None = None) -> Block:
    """The coach's own block in the week's draft."""
    plan = start_next_version(player=scene.player, monday=scene.monday, made_by=None)
    position = 1 + max(plan.blocks.values_list("position", flat=True), default=0)
    return Block.objects.create(
        plan=plan, position=position, kind=kind, title="Own", parameters={"balls": balls}, seed=0, day=day
    )


def keep_one_at_near_targets(scene) -> Block:
    """The first block of a suggested week that is hit at the three nearer of the six flags alone, pinned."""
    scene.take(balls=160, visits=3, stage="passed")
    near = next(block for block in scene.blocks() if all(ball.target_m <= 45 for ball in block.balls.all()))
    near.pinned = True
    near.save()
    return near


def test_a_day_that_a_kept_block_fills_to_the_limit_gets_no_more_balls(scene):
    scene.player.daily_ball_limit = 60
    scene.player.save()
    keep(scene, balls=60, day=4)
    scene.take(balls=200, visits=3)
    balls = Counter()
    for block in scene.blocks():
        balls[block.day] += block.balls_asked
    assert balls[4] == 60
    assert len(balls) > 2
    assert max(balls.values()) == 60


def test_a_day_with_three_kept_blocks_gets_no_fourth(scene):
    for _ in range(3):
        keep(scene, balls=10, day=1)
    scene.take(balls=150, visits=2)
    on = Counter(block.day for block in scene.blocks())
    assert on[1] == 3
    assert len(on) > 1


def test_with_two_kept_themes_the_week_trains_no_third(scene):
    all_stages(scene)
    near = keep_one_at_near_targets(scene)
    scene.take(balls=160, visits=3, stage="passed")
    assert {ball.target_m > 45 for block in scene.blocks() for ball in block.balls.all()} == {True, False}
    keep(scene, balls=10, kind="turf_brush")
    scene.take(balls=160, visits=3, stage="passed")
    new = [block for block in scene.blocks() if block.reason and block != near]
    assert new
    assert max(ball.target_m for block in new for ball in block.balls.all()) <= 45


def test_kept_themes_that_leave_no_other_are_told(scene):
    all_stages(scene)
    for kind in ("turf_brush", "carry_test"):
        keep(scene, balls=10, kind=kind)
    response = scene.get(balls=100, stage="passed")
    assert "The 20 balls that you keep leave no room for another block of 10 in 100" in words(response)
    assert "2 themes a week" in words(response)
    assert "Put into the week" not in words(response)


def test_a_kept_block_trains_the_band_of_its_targets_unless_its_kind_or_its_pass_mark_says_else(scene):
    all_stages(scene)
    block = keep_one_at_near_targets(scene)
    bench = scene.get().context["page"].bench
    needs = [Need(f"Flag {n}", "short" if n < 4 else "long", 0.1, 0.1, 5.0, 20) for n in range(1, 7)]

    def theme() -> str:
        return as_kept(block, needs, bench).theme

    assert (theme(), as_kept(block, (), bench).theme) == ("short", "")
    block.pass_mark = PassMark(7, 10, 10)
    assert theme() == "pressure"
    for kind, trained in (("one_ball", "pressure"), ("carry_test", "stock carries"), ("check_day", "")):
        block.kind = kind
        assert theme() == trained
