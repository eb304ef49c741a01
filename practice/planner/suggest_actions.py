"""A suggested week taken over: its blocks drawn as the builder draws them, and put into the draft."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.db import transaction
from django.db.models import Max

from practice.ids import with_ids_in_a_row
from practice.planner.actions import balls_of, set_drawing, start_next_version
from practice.planner.allocation import Need
from practice.planner.bounds import CHECK_AFTER_DAYS, Kept, SuggestionError
from practice.planner.builder import Bench, as_sent
from practice.planner.check_day import GAP_DAYS, days_between
from practice.planner.forms import form_of, new_seed
from practice.planner.generator import MOST_TARGETS, DrawnBlock, GeneratorError
from practice.planner.marks import PassMark
from practice.planner.models import Ball, Block, PlanState, WeekPlan
from practice.planner.recipes import BagClub, Recipe
from practice.planner.rounding import FEWEST_BALLS, MOST_BALLS
from practice.planner.stage_blocks import PASS_WITHIN_PCT, PRESSURE, THEME_OF, SuggestedBlock
from practice.planner.undo import open_draft
from practice.players.models import Player
from practice.venues.models import Target

USUAL_SWING = "9:00"
"""The swing of work on the strike: half, where most of the short game is played; common practice, no source."""
ON_PASS, ON_MISS = "go on to the next block", "leave it for today and hit it again on another day"


@dataclass(frozen=True)
class Drawn:
    """A suggested block with its recipe, its balls and why it is there."""

    block: SuggestedBlock
    recipe: Recipe
    drawn: DrawnBlock
    reason: str


def kept_blocks(player: Player, monday: date) -> list[Block]:
    """Return the blocks of the week's draft, else of its assigned version, that a suggestion leaves as they are.

    Those are the pinned ones and the coach's own: only a suggested block says why it is there.
    """
    versions = WeekPlan.objects.for_week(player, monday)
    plan = versions.drafts().first() or versions.assigned().first()
    if plan is None:
        return []
    blocks = (
        plan.blocks.filter(withdrawn_at=None).order_by("position").select_related("venue").prefetch_related("balls")
    )
    return [block for block in blocks if _is_kept(block)]


def _is_kept(block: Block) -> bool:
    return block.pinned or not block.reason


def as_kept(block: Block, needs: Sequence[Need], bench: Bench) -> Kept:
    """Return what a block that stays takes of the week; `needs` are the targets in reach, whose bands are themes."""
    return Kept(block.balls_asked, _theme(block, needs, bench), block.day)


def _theme(block: Block, needs: Sequence[Need], bench: Bench) -> str:
    """Return what a block trains: at targets, unless under pressure, the band that most of its balls are nearest to."""
    balls = [ball.target_m for ball in block.balls.all() if ball.target_m is not None]
    if block.kind in THEME_OF or block.kind == "check_day" or not balls:
        return THEME_OF.get(block.kind, "")
    if block.pass_mark:
        return PRESSURE
    bands = {need.name: need.theme for need in needs}
    near = [(target.distance_m, bands[target.name]) for target in aimed_at(bench) if target.name in bands]
    themes = Counter(min(near, key=lambda each: abs(each[0] - ball_m))[1] for ball_m in balls if near)
    return max(themes, key=themes.get, default="")


def aimed_at(bench: Bench) -> list[Target]:
    """Return the targets that a block can be drawn to, as many as it takes, nearest first."""
    return [target for target in bench.targets if target.distance_m is not None][:MOST_TARGETS]


def due_for_check(bench: Bench, bag: Sequence[BagClub], monday: date, kept: Sequence[Block]) -> Block | None:
    """Return the newest earlier block that can come again, some days after it on any day of the week, where no check
    day was asked for in the last two weeks."""
    since = monday - timedelta(days=CHECK_AFTER_DAYS)
    before = Block.objects.filter(plan__player=bench.player, plan__state=PlanState.ASSIGNED, withdrawn_at=None)
    lately = before.filter(kind="check_day", plan__monday__gt=since, plan__monday__lt=monday)
    if lately.exists() or any(block.kind == "check_day" for block in kept):
        return None
    carried = {bagged.club.pk for bagged in bag}
    for block in bench.earlier:
        balls = block.balls.all()
        fits = FEWEST_BALLS <= len(balls) <= MOST_BALLS and {ball.club_id for ball in balls} <= carried
        stayed = days_between(block.when, (monday, None))[0] >= GAP_DAYS
        if fits and stayed and not bench.no_longer_there(block):
            return block
    return None


def draw_all(
    bench: Bench, bag: Sequence[BagClub], blocks: Sequence[tuple[SuggestedBlock, str]], again: Block | None
) -> list[Drawn]:
    """Draw suggested blocks, each with its reason, by the builder's own form and recipe; `again` is due for its check.

    Raises SuggestionError, with what to change, where one cannot be drawn; nothing is stored here.
    """
    return [_drawn(bench, bag, block, reason, again) for block, reason in blocks]


def _drawn(bench: Bench, bag: Sequence[BagClub], block: SuggestedBlock, reason: str, again: Block | None) -> Drawn:
    drill = next((drill for drill in bench.drills if drill.kind == block.kind), None)
    if drill is None:
        kind = block.kind.replace("_", " ")
        raise SuggestionError(f"The suggestion needs a drill of the kind “{kind}”, and none is in use: restore one.")
    bench = replace(bench, drill=drill)
    usual = form_of(drill)(None, bench=bench, bag=list(bag))
    asked = {name: value for name, value in usual.initial.items() if value not in (None, "")}
    data = as_sent(asked | _fields(bench, bag, block, again), drill=str(drill.pk), logging="every")
    form = bench.form(data, list(bag))
    if not form.is_valid():
        faults = " ".join(fault for faults in form.errors.values() for fault in faults)
        raise SuggestionError(f"“{drill.title}” could not be drawn. {faults}")
    recipe = form.recipe()
    if block.targets:
        distance_m = {target.name: target.distance_m for target in bench.targets}
        recipe = replace(recipe, faced_m=[(distance_m[name], float(n)) for name, n in block.targets])
    try:
        return Drawn(block, recipe, recipe.draw(seed=new_seed()), reason)
    except GeneratorError as fault:
        raise SuggestionError(f"“{drill.title}” could not be drawn. {fault}") from fault


def _fields(bench: Bench, bag: Sequence[BagClub], block: SuggestedBlock, again: Block | None) -> dict:
    """Return what the builder's form would be sent for a suggested block, beside what it starts with."""
    in_reach = [bagged for bagged in bag if bagged.reach]
    clubs = [bagged for bagged in bag if not block.clubs or bagged.club.label in block.clubs]
    names = dict(block.targets)
    targets = [target for target in aimed_at(bench) if not names or target.name in names]
    at_targets = {
        "balls": block.balls,
        "clubs": [str(bagged.club.pk) for bagged in in_reach],
        "targets": [str(target.pk) for target in targets],
        "number_shown": block.number_shown,
        "order": "blocked" if block.repeats else "random",
        "weights": "even",
    }
    by_swing = {
        "balls": block.balls,
        "balls_each": block.each,
        "clubs": [str(bagged.club.pk) for bagged in clubs],
        "swings": list(block.swings) or [USUAL_SWING],
    }
    return {
        "random_target": at_targets,
        "one_ball": at_targets,
        "pick_spot": {"spots": block.balls // 2, "clubs": [str(bagged.club.pk) for bagged in clubs]},
        "check_day": {"earlier": str(again.pk) if again else ""},
    }.get(block.kind, by_swing)


@transaction.atomic
def take_over(*, player: Player, monday: date, made_by, drawn: Sequence[Drawn]) -> WeekPlan:
    """Put drawn blocks at the end of the week's draft, in place of those suggested before; one change to take back."""
    plan = open_draft(start_next_version(player=player, monday=monday, made_by=made_by), "the suggested week")
    suggested = [block.pk for block in plan.blocks.all() if not _is_kept(block)]
    plan.blocks.filter(pk__in=suggested).delete()
    last = plan.blocks.aggregate(last=Max("position"))["last"] or 0
    blocks = [_block(plan, last + n, each) for n, each in enumerate(drawn, 1)]
    Block.objects.bulk_create(blocks)
    pairs = zip(blocks, drawn, strict=True)
    balls = [ball for block, each in pairs for ball in balls_of(block, each.recipe, each.drawn)]
    Ball.objects.bulk_create(with_ids_in_a_row(balls))
    return plan


def _block(plan: WeekPlan, position: int, each: Drawn) -> Block:
    block = Block(plan=plan, position=position, day=each.block.day, reason=each.reason)
    set_drawing(block, each.recipe, each.drawn)
    if each.block.has_pass_mark:
        block.pass_mark = PassMark(each.block.pass_made, each.block.balls, PASS_WITHIN_PCT)
        block.on_pass, block.on_miss = ON_PASS, ON_MISS
    return block
