"""A week on the screen: its plans, their blocks, and each ball in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Prefetch

from practice.clubs.swings import FEEL, swing_name
from practice.planner.models import Ball, Block, PlanState, WeekPlan
from practice.players.models import Player
from practice.units import DistanceUnit

WEEK = timedelta(days=7)


def monday_of(day: date) -> date:
    """Return the Monday on or before a day."""
    return day - timedelta(days=day.weekday())


def week_of(text: str) -> date | None:
    """Return the Monday of the week that an ISO date lies in, or None where it is no date of our times."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return monday_of(day) if 2000 <= day.year < 2100 else None


@dataclass(frozen=True)
class BallRow:
    """One ball as a line of a table."""

    n: int
    club: str
    swing: str
    target: str
    distance: str
    neighbours: list[str]


def ball_row(ball: Ball, unit: DistanceUnit) -> BallRow:
    """Return a ball in words, distances in the player's unit."""
    sides = ((ball.below_swing, ball.below_carry_m), (ball.above_swing, ball.above_carry_m))
    neighbours = [f"{swing} goes {unit.show(carry_m)}" for swing, carry_m in dict.fromkeys(sides) if swing]
    return BallRow(
        n=ball.n,
        club=ball.club.label,
        swing="by feel" if ball.swing == FEEL else swing_name(ball.swing),
        target=ball.target_name or "no target",
        distance=unit.show(ball.target_m) if ball.target_m else "",
        neighbours=neighbours,
    )


@dataclass(frozen=True)
class BlockCard:
    """One block of a week. `up` and `down` are the positions that the buttons ask for; None at the ends."""

    block: Block
    place: str
    clubs: str
    balls: list[BallRow]
    up: int | None
    down: int | None


@dataclass(frozen=True)
class PlanCard:
    """One version of a week, with the balls it comes to and what to say about that load."""

    plan: WeekPlan
    blocks: list[BlockCard]
    balls: int
    load: str


@dataclass(frozen=True)
class WeekPage:
    """Everything that the week's page shows."""

    player: Player
    monday: date
    sunday: date
    previous: date
    next: date
    this: date
    draft: PlanCard | None
    assigned: PlanCard | None


def week_page(player: Player, monday: date) -> WeekPage:
    """Read a week: its draft and its assigned version."""
    blocks = Block.objects.order_by("position").select_related("venue")
    blocks = blocks.prefetch_related(Prefetch("balls", Ball.objects.select_related("club").order_by("n")))
    current = WeekPlan.objects.for_week(player, monday).exclude(state=PlanState.WITHDRAWN)
    cards = {plan.state: plan_card(plan, player) for plan in current.prefetch_related(Prefetch("blocks", blocks))}
    return WeekPage(
        player=player,
        monday=monday,
        sunday=monday + timedelta(days=6),
        previous=monday - WEEK,
        next=monday + WEEK,
        this=monday_of(player.academy.today()),
        draft=cards.get(PlanState.DRAFT),
        assigned=cards.get(PlanState.ASSIGNED),
    )


def plan_card(plan: WeekPlan, player: Player) -> PlanCard:
    """Return a plan whose blocks and balls are fetched already."""
    blocks = [block for block in plan.blocks.all() if block.withdrawn_at is None]
    counts = [len(block.balls.all()) for block in blocks]
    cards = [_block_card(block, n, len(blocks), player.shown_unit) for n, block in enumerate(blocks, 1)]
    return PlanCard(plan, cards, sum(counts), load_words(counts, player))


def _block_card(block: Block, place: int, last: int, unit: DistanceUnit) -> BlockCard:
    balls = block.balls.all()
    return BlockCard(
        block=block,
        place=block.venue.name if block.venue else "",
        clubs=_listed(ball.club.label for ball in balls),
        balls=[ball_row(ball, unit) for ball in balls],
        up=place - 1 if place > 1 else None,
        down=place + 1 if place < last else None,
    )


def _listed(words: Iterable[str]) -> str:
    """Return each word once, in the order they first come."""
    return ", ".join(dict.fromkeys(words))


def load_words(counts: list[int], player: Player) -> str:
    """Say how many balls blocks of these sizes come to, and how that stands to the coach's own limit for the player."""
    total = sum(counts)
    said = f"{total} ball{'' if total == 1 else 's'} this week."
    limit = player.daily_ball_limit
    if limit and counts and max(counts) > limit:
        said += f" One block alone is over {player.name}’s own limit of {limit} a day: make it smaller."
    elif limit and total > limit:
        said += f" {player.name}’s own limit is {limit} a day: spread them over {-(-total // limit)} days or more."
    return f"{said} Build up slowly: not many more than last week, and stop at pain."
