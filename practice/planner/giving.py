"""How drawn recipes get into weeks: into one player's draft as a change of it, or to a squad at once."""

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from hashlib import sha256
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Max
from django.utils import timezone

from practice.accounts.access import insert_of
from practice.ids import with_ids_in_a_row
from practice.planner.actions import balls_of, set_drawing, start_next_version
from practice.planner.easing import EASE_DAYS, RULE
from practice.planner.models import Ball, Block, Competition, PlanState, WeekPlan, WeekTemplate
from practice.planner.recipes import BagClub
from practice.planner.repeats import Asked, Benches, BlockRecipe, ask, recipes_of
from practice.planner.undo import keep_standing, open_draft
from practice.players.models import Player

CHANGE = "the squad’s week"
"""What a draft calls its replacement by a squad's week, as in "Take back: ..."."""

Bags = Callable[[bool], Mapping[UUID, list[BagClub]]]
"""Returns the bag of each player; full swings allowed or not."""


@dataclass(frozen=True)
class PlayersWeek:
    """A week drawn for one player, not stored.

    `held` is the state of the week that is there already, or ""; `held_as` tells one standing of it from another;
    `competes` are the days in it or soon after it on which the player competes; `jump` says how its balls stand to the
    weeks before, "" where that was not looked up.
    """

    player: Player
    asked: list[Asked]
    held: str
    competes: list[date]
    held_as: str = ""
    jump: str = ""

    @property
    def hit(self) -> list[Asked]:
        """What can be hit."""
        return [each for each in self.asked if each.drawn]

    @property
    def balls(self) -> int:
        return sum(each.balls for each in self.asked)

    @property
    def said(self) -> list[str]:
        """What cannot be hit and what else to know: each once, with the blocks that it is about unless it is all."""
        about: dict[str, list[str]] = defaultdict(list)
        for each in self.asked:
            for words in each.said:
                about[words].append(each.recipe.title)
        return [
            words if len(titles) == len(self.asked) else f"{', '.join(dict.fromkeys(titles))}: {words}"
            for words, titles in about.items()
        ]

    @property
    def cautions(self) -> list[str]:
        """What a coach should think of before this player gets so many balls in this week."""
        said = [f"Competes on {day:%A %-d %B}. {RULE}" for day in self.competes]
        said += [self.jump] if self.jump else []
        limit, largest = self.player.ball_limit, max((each.balls for each in self.asked), default=0)
        if limit and largest > limit:
            said.append(f"One block alone has {largest} balls, over your own limit of {limit} a day.")
        return said


def draw_weeks(
    recipes: Sequence[BlockRecipe],
    players: Sequence[Player],
    *,
    monday: date,
    bags: Bags,
    seed: int,
    balls: Mapping[UUID, int] | None = None,
) -> list[PlayersWeek]:
    """Draw a week for each player with the own clubs; the same seed draws the same.

    `balls` names the players who get another number of balls in the week; each of their blocks is made larger or
    smaller alike, so that the week comes near to it.
    """
    benches = Benches(players)
    competes: dict[UUID, list[date]] = defaultdict(list)
    near = (monday, monday + timedelta(days=6 + EASE_DAYS))
    for player, day in Competition.objects.filter(player__in=players).between(*near).values_list("player", "day"):
        competes[player].append(day)
    # The draft, where there is one, comes last and so wins. It stands as its last change left it.
    current = _current(players, monday).annotate(changed_at=Max("snapshots__created_at")).order_by("state")
    held = {
        player: (state, f"{pk} {changed_at}")
        for player, state, pk, changed_at in current.values_list("player", "state", "pk", "changed_at")
    }
    by_full = {full: bags(full) for full in {_full_swings(recipe) for recipe in recipes}}

    def drawn(player: Player, n: int, factor: float) -> list[Asked]:
        return [
            ask(
                recipe if factor == 1 else recipe.sized(factor),
                bench=benches.bench(recipe, player),
                bag=by_full[_full_swings(recipe)][player.pk],
                seed=seed + n * len(recipes) + place,
            )
            for place, recipe in enumerate(recipes)
        ]

    weeks = []
    for n, player in enumerate(players):
        asked = drawn(player, n, 1)
        wanted, planned = (balls or {}).get(player.pk), sum(each.balls for each in asked)
        if wanted and planned:
            asked = drawn(player, n, wanted / planned)
        state, stands = held.get(player.pk, ("", ""))
        weeks.append(PlayersWeek(player, asked, state, competes[player.pk], stands))
    return weeks


def _full_swings(recipe: BlockRecipe) -> bool:
    return recipe.parameters.get("full_swings", True)


def _current(players: Collection[Player], monday: date):
    return WeekPlan.objects.filter(player__in=players, monday=monday).exclude(state=PlanState.WITHDRAWN)


def fingerprint_of(weeks: Sequence[PlayersWeek]) -> str:
    """Return a digest of what was drawn for whom and of what is there already: what a coach saw before storing it."""
    seen = sha256()
    for week in weeks:
        seen.update(f"{week.player.pk} {week.held} {week.held_as}".encode())
        for each in week.asked:
            seen.update(f"{each.drawn and each.drawn.inputs_sha256} {each.balls} {each.said}".encode())
    return seen.hexdigest()


@transaction.atomic
def give_weeks(
    weeks: Sequence[PlayersWeek], *, monday: date, made_by, replace: bool, assign: bool
) -> list[PlayersWeek]:
    """Store a drawn week for each player and return those that were given one.

    Left out is who can hit nothing of it, and whose week is there already, unless it is to be replaced. That a draft
    is replaced is a change of it that can be taken back; where it is assigned at once, from the next draft of the
    week on. An assigned week stays until the new one is assigned.
    """
    # One at a time for a player, or two coaches who press at once would both make the next version.
    list(Player.objects.select_for_update().filter(pk__in=[week.player.pk for week in weeks]).order_by("pk"))
    versions: dict[UUID, int] = {}
    drafts: dict[UUID, WeekPlan] = {}
    current = set()
    every = WeekPlan.objects.select_for_update().filter(player__in=[week.player for week in weeks], monday=monday)
    for plan in every.order_by("pk"):
        versions[plan.player_id] = max(plan.version, versions.get(plan.player_id, 0))
        current |= {plan.player_id} if plan.state != PlanState.WITHDRAWN else set()
        drafts |= {plan.player_id: plan} if plan.is_draft else {}
    given = [week for week in weeks if week.hit and (replace or week.player.pk not in current)]
    replaced = [drafts[week.player.pk] for week in given if week.player.pk in drafts]
    if replaced:
        _empty(replaced)
    new = {
        week.player.pk: WeekPlan(
            player=week.player, monday=monday, version=versions.get(week.player.pk, 0) + 1, made_by=made_by
        )
        for week in given
        if week.player.pk not in drafts
    }
    WeekPlan.objects.bulk_create(new.values())
    plans = [(drafts | new)[week.player.pk] for week in given]
    _store([(plan, week.hit, 0) for plan, week in zip(plans, given, strict=True)])
    if assign:
        now = timezone.now()
        old = _current([week.player for week in given], monday)
        old.assigned().update(state=PlanState.WITHDRAWN, withdrawn_at=now)
        WeekPlan.objects.filter(pk__in=[plan.pk for plan in plans]).update(state=PlanState.ASSIGNED, assigned_at=now)
    return given


def _empty(drafts: Sequence[WeekPlan]) -> None:
    """Take everything out of drafts, locked, to be replaced: a change that can be taken back."""
    keep_standing(drafts, CHANGE)
    Block.objects.filter(plan__in=drafts).delete()
    WeekPlan.objects.filter(pk__in=[plan.pk for plan in drafts]).update(note="")


@transaction.atomic
def add_asked(*, player: Player, monday: date, made_by, asked: Sequence[Asked], change: str) -> WeekPlan:
    """Put drawn recipes at the end of the week's draft, a change that can be taken back."""
    hit = [each for each in asked if each.drawn]
    if not hit:
        raise ValidationError(["Nothing was put into the week.", *(words for each in asked for words in each.said)])
    plan = open_draft(start_next_version(player=player, monday=monday, made_by=made_by), change)
    last = max(plan.blocks.values_list("position", flat=True), default=0)
    _store([(plan, hit, last)])
    return plan


def _store(weeks: Sequence[tuple[WeekPlan, list[Asked], int]]) -> None:
    """Put drawn recipes into drafts after their last positions: as few statements for many as for one."""
    blocks, balls = [], []
    for plan, asked, last in weeks:
        for position, each in enumerate(asked, last + 1):
            block = Block(plan=plan, position=position, **each.recipe.terms)
            set_drawing(block, each.filled, each.drawn)
            blocks.append(block)
            balls += balls_of(block, each.filled, each.drawn)
    Block.objects.bulk_create(blocks)
    with_ids_in_a_row(balls)
    if balls:
        names = [field.attname for field in Ball._meta.concrete_fields]
        # As columns: a squad's balls are thousands of rows, and all of them belong to drafts of one academy.
        insert_of(Ball, blocks[0], {name: [getattr(ball, name) for ball in balls] for name in names})


def save_template(*, plan: WeekPlan, name: str) -> WeekTemplate:
    """Keep a week's blocks as a template of this name; raises ValidationError where there is one already."""
    taken = ValidationError(f"There is a template “{name}” already. Choose another name, or delete it first.")
    if WeekTemplate.objects.filter(academy=plan.academy_id, name__iexact=name).exists():
        raise taken
    blocks = [recipe.as_json() for recipe in recipes_of(plan)]
    if not blocks:
        raise ValidationError("There is nothing in this week that a template could hold.")
    try:
        with transaction.atomic():
            return WeekTemplate.objects.create(academy_id=plan.academy_id, name=name, blocks=blocks)
    except IntegrityError:  # another coach kept one of this name meanwhile
        raise taken from None


def recipes_in(template: WeekTemplate) -> list[BlockRecipe]:
    return [BlockRecipe.from_json(held) for held in template.blocks]
