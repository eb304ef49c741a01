"""A player's week on the coach's screen: its plans and their blocks, and what goes with them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Prefetch

from practice.planner.buckets import bucket_words
from practice.planner.models import Ball, Block, Competition, PlanState, WeekPlan, WeekTemplate
from practice.planner.pages.load import WeekLoad, competitions_from, jump_words, load_of, warnings_for
from practice.planner.pages.marks import mark_results
from practice.planner.week_forms import DAYS, TermsForm
from practice.planner.weeks import WEEK, BallRow, ball_row, monday_of
from practice.players.models import Player
from practice.units import DistanceUnit
from practice.venues.models import Venue


@dataclass(frozen=True)
class BlockCard:
    """One block of a week. `up` and `down` are the positions that the buttons ask for; None at the ends.

    `result` says how the player stands to the pass mark, `form` changes what is assigned with a block of a draft.
    """

    block: Block
    place: str
    clubs: str
    when: str
    result: str
    balls: list[BallRow]
    up: int | None
    down: int | None
    form: TermsForm | None


@dataclass(frozen=True)
class PlanCard:
    """One version of a week, with the balls it comes to and what to say about that load."""

    plan: WeekPlan
    blocks: list[BlockCard]
    balls: int
    load: str
    buckets: list[str]
    last_change: str
    """What can be taken back: in a draft at once, of an assigned week once it is edited."""


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
    templates: list[WeekTemplate]
    competitions: list[Competition]
    warnings: list[str]
    weeks: list[WeekLoad]
    jump: str

    @property
    def newest(self) -> PlanCard | None:
        """The draft, where there is one, else what is assigned."""
        return self.draft or self.assigned


def week_page(player: Player, monday: date, *, sent: TermsForm | None = None) -> WeekPage:
    """Read a week: its draft and its assigned version; `sent`, a form with faults, stands in the place of its own."""
    blocks = Block.objects.order_by("position").select_related("venue", "plan")
    blocks = blocks.prefetch_related(Prefetch("balls", Ball.objects.select_related("club").order_by("n")))
    current = WeekPlan.objects.for_week(player, monday).exclude(state=PlanState.WITHDRAWN)
    plans = list(current.prefetch_related(Prefetch("blocks", blocks)))
    results = mark_results([block for plan in plans for block in plan.blocks.all()])
    usual_range = Venue.objects.default_of(player.academy_id)
    cards = {plan.state: _plan_card(plan, player, results, usual_range, sent) for plan in plans}
    newest = next((plan for plan in plans if plan.is_draft), plans[0] if plans else None)
    load = load_of(player, monday, cards[newest.state].balls if newest else None)
    competitions = competitions_from(player, monday)
    return WeekPage(
        player=player,
        monday=monday,
        sunday=monday + timedelta(days=6),
        previous=monday - WEEK,
        next=monday + WEEK,
        this=monday_of(player.academy.today()),
        draft=cards.get(PlanState.DRAFT),
        assigned=cards.get(PlanState.ASSIGNED),
        templates=list(WeekTemplate.objects.filter(academy=player.academy_id)),
        competitions=competitions,
        warnings=warnings_for(newest, monday, competitions, load),
        weeks=load.weeks,
        jump=jump_words(load),
    )


def _plan_card(
    plan: WeekPlan, player: Player, results: dict, usual_range: Venue | None, sent: TermsForm | None
) -> PlanCard:
    """Return a plan whose blocks and balls are fetched already."""
    blocks = [block for block in plan.blocks.all() if block.withdrawn_at is None]
    counts = [block.balls_asked for block in blocks]
    snapshot = plan.snapshots.first()
    return PlanCard(
        plan=plan,
        blocks=[
            _block_card(block, n, len(blocks), player.shown_unit, results.get(block.pk, ""), sent)
            for n, block in enumerate(blocks, 1)
        ],
        balls=sum(counts),
        load=load_words(counts, player),
        buckets=bucket_lines([(block.day, block.balls_asked, block.venue) for block in blocks], usual_range),
        last_change=snapshot.change if snapshot else "",
    )


def _block_card(
    block: Block, place: int, last: int, unit: DistanceUnit, result: str, sent: TermsForm | None
) -> BlockCard:
    balls = block.balls.all()
    form = None
    if block.plan.is_draft:
        form = sent if sent and sent.instance.pk == block.pk else TermsForm(instance=block)
    return BlockCard(
        block=block,
        place=block.venue.name if block.venue else "",
        clubs=_listed(ball.club.label for ball in balls),
        when=when_words(block),
        result=result,
        balls=[ball_row(ball, unit) for ball in balls],
        up=place - 1 if place > 1 else None,
        down=place + 1 if place < last else None,
        form=form,
    )


def when_words(block: Block) -> str:
    """Say on which day a block is due, how long it takes and what it is hit off, as far as the coach said."""
    minutes = f"{block.minutes} minutes" if block.minutes else ""
    surface = f"off {block.surface}" if block.surface else ""
    return " · ".join(words for words in (DAYS[block.day] if block.day is not None else "", minutes, surface) if words)


def _listed(words: Iterable[str]) -> str:
    """Return each word once, in the order they first come."""
    return ", ".join(dict.fromkeys(words))


def bucket_lines(asked: Iterable[tuple[int | None, int, Venue | None]], usual_range: Venue | None) -> list[str]:
    """Say day by day which buckets of the range the balls come to; nothing where the range's sizes are not known.

    `asked` holds the blocks in the week's order: the day, None for any; the balls; the range, None where it has none.
    """
    days: dict[int | None, list[tuple[int, Venue | None]]] = {}
    for day, balls, venue in sorted(asked, key=lambda block: (block[0] is None, block[0] or 0)):
        days.setdefault(day, []).append((balls, venue))
    said = []
    for day, due in days.items():
        venue = next((venue for _, venue in due if venue), usual_range)
        balls = sum(balls for balls, _ in due)
        if words := bucket_words(balls, venue.bucket_sizes if venue else []):
            said.append(f"{'Any day' if day is None else DAYS[day]}: {balls} balls, {words}.")
    return said


def load_words(counts: list[int], player: Player) -> str:
    """Say how many balls blocks of these sizes come to, and how that stands to the coach's limit for the player."""
    total = sum(counts)
    said = f"{total} ball{'' if total == 1 else 's'} this week."
    limit = player.ball_limit
    whose = f"{player.name}’s own limit" if player.daily_ball_limit else "the limit that your academy set"
    if limit and counts and max(counts) > limit:
        said += f" One block alone is over {whose} of {limit} a day: make it smaller."
    elif limit and total > limit:
        said += f" {whose[0].upper()}{whose[1:]} is {limit} a day: spread them over {-(-total // limit)} days or more."
    return (
        f"{said} Build ball counts up slowly: not many more than last week. Stop at pain; a physician or another "
        "qualified professional decides when to go on."
    )
