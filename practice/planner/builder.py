"""The builder: what a block can be made of, what the coach chose, and the balls that this draws."""

from dataclasses import dataclass
from functools import cached_property

from django.db.models import Prefetch
from django.http import QueryDict

from practice.clubs.models import SwingLength
from practice.drills.actions import drills_of
from practice.drills.models import Drill
from practice.planner.forms import BlockForm, form_of
from practice.planner.generator import DrawnBlock, GeneratorError
from practice.planner.models import Ball, Block, PlanState
from practice.planner.orders import Order
from practice.planner.places import Place, places_of
from practice.planner.recipes import BagClub
from practice.planner.weeks import BallRow, ball_row
from practice.players.models import Player
from practice.venues.models import Target


@dataclass(frozen=True)
class Bench:
    """The drills and places of a player's academy, and the drill and place in hand."""

    player: Player
    drills: list[Drill]
    drill: Drill
    places: list[Place]
    place: Place | None
    targets: list[Target]
    own_swings: list[str]

    @property
    def at_targets(self) -> bool:
        """Whether the drill in hand is hit at targets that the coach chooses."""
        return self.drill.aims == "targets" and self.drill.kind != "check_day"

    @cached_property
    def profile(self) -> str:
        """The distances that the player faces, as they were last listed."""
        listed = Block.objects.filter(plan__player=self.player, parameters__profile__gt="").order_by("-created_at")
        return (listed.values_list("parameters__profile", flat=True).first()) or ""

    @property
    def easing(self) -> tuple[int, int]:
        """The week of an easing that comes next, and of how many: one after the weeks that had the drill so."""
        eased = Block.objects.filter(plan__player=self.player, drill=self.drill, parameters__order=Order.EASING)
        weeks = eased.filter(plan__state=PlanState.ASSIGNED).order_by("-plan__monday")
        before = dict(weeks.values_list("plan__monday", "parameters__weeks"))
        of = next(iter(before.values()), USUAL_WEEKS)
        return min(len(before) + 1, of), of

    @cached_property
    def earlier(self) -> list[Block]:
        """The blocks at targets that were assigned to the player last, newest first, with their balls and clubs."""
        assigned = Block.objects.filter(plan__player=self.player, plan__state=PlanState.ASSIGNED, withdrawn_at=None)
        at_targets = assigned.filter(balls__target_m__isnull=False).exclude(kind="check_day").distinct()
        newest = at_targets.order_by("-plan__monday", "position").select_related("plan", "venue")
        balls = Ball.objects.select_related("club", "target").order_by("n")
        return list(newest.prefetch_related(Prefetch("balls", balls))[:MOST_EARLIER])

    def no_longer_there(self, block: Block) -> list[str]:
        """Return the names of an earlier block's targets that moved since, or may not be hit at from its place."""
        place = next((place for place in self.places if place.code == block.parameters.get("place")), None)
        standing_m = dict(place.targets().values_list("pk", "distance_m")) if place else {}
        balls = block.balls.all()
        return sorted({ball.target_name for ball in balls if standing_m.get(ball.target_id) != ball.target_m})

    def full_swings(self, data: QueryDict) -> bool:
        """Return whether full swings are allowed: as sent, or as the drill has it."""
        return "full_swings" in data if "asked" in data else self.drill.parameters.get("full_swings", True)

    def form(self, data: QueryDict, bag: list[BagClub]) -> BlockForm:
        """Return the drill's form, filled in where the coach sent one."""
        return form_of(self.drill)(data if "asked" in data else None, bench=self, bag=bag)


def bench_of(player: Player, data: QueryDict) -> Bench:
    """Return what a block for the player can be made of; `drill` and `place` in the data choose, else the first is."""
    drills = [drill for drill in drills_of(player.academy) if not drill.archived_at]
    places = places_of(player.academy)
    place = _chosen(places, data.get("place"), lambda place: place.code)
    return Bench(
        player=player,
        drills=drills,
        drill=_chosen(drills, data.get("drill"), lambda drill: str(drill.pk)),
        places=places,
        place=place,
        targets=list(place.targets()) if place else [],
        own_swings=list(SwingLength.objects.filter(academy=player.academy).values_list("code", flat=True)),
    )


def as_sent(parameters: dict, *, drill: str, logging: str) -> QueryDict:
    """Return a recipe that is held as the builder's form would send it."""
    data = QueryDict(mutable=True)
    for name, value in (parameters | {"drill": drill, "logging": logging, "asked": "1"}).items():
        if value is not False:
            data.setlist(name, value if isinstance(value, list) else [value])
    return data


def _chosen(rows: list, code: str | None, code_of):
    """Return the row that the code names; the first where it names none, as a range may be closed since."""
    return next((row for row in rows if code_of(row) == code), rows[0] if rows else None)


USUAL_WEEKS = 6
"""So long is an easing unless the coach says otherwise."""
MOST_EARLIER = 12
"""So many earlier blocks are offered for a check day."""

SENT = ("asked", "drill", "place")
"""What the builder's page sends beside the fields of its form."""


@dataclass(frozen=True)
class Preview:
    """Drawn balls as the coach sees them, and what has to be sent again to put exactly them into the week."""

    drawn: DrawnBlock
    balls: list[BallRow]
    count: int
    number_shown: bool
    sent: list[tuple[str, str]]


def preview_of(form: BlockForm, *, seed: int) -> Preview | None:
    """Draw what a valid form asks for; where that cannot be done the form says why, and there is no preview."""
    if not form.is_bound or not form.is_valid():
        return None
    recipe = form.recipe()
    try:
        drawn = recipe.draw(seed=seed)
    except GeneratorError as fault:
        form.add_error(None, str(fault))
        return None
    unit = form.bench.player.shown_unit
    balls = [ball_row(ball, unit) for ball in recipe.balls(drawn)]
    return Preview(
        drawn=drawn,
        balls=balls,
        count=len(balls) or recipe.parameters["balls"],
        number_shown=recipe.number_shown,
        sent=[(name, value) for name in (*SENT, *form.fields) for value in form.data.getlist(name)],
    )
