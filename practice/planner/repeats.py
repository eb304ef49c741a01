"""A block that was asked once, asked again: smaller, in another week, or of somebody else with clubs of their own."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from uuid import UUID

from django.http import QueryDict

from practice.clubs.models import Club
from practice.planner.builder import Bench, as_sent, bench_of
from practice.planner.generator import DrawnBlock, GeneratorError
from practice.planner.marks import MARK, PassMark
from practice.planner.models import Block, Logging, WeekPlan
from practice.planner.orders import Order
from practice.planner.recipes import BagClub, Recipe
from practice.players.models import Player
from practice.venues.models import Target

TERMS = ("day", "minutes", "surface", "cue", "rain", "pinned", *MARK, "on_pass", "on_miss")
"""What is assigned with a block and goes along when it is asked again; a reason does not, it is about one player."""

SIZES = ("balls", "balls_each", "spots", "trips")
"""The parameters of drills that say how many balls a block takes."""

NEAR_DEG = 3.0
"""How far the loft of another player's club may be from the one that is asked; common practice, no source."""


@dataclass(frozen=True)
class BlockRecipe:
    """A block without balls and without anybody's clubs: those are named by label and loft now, None where unknown."""

    drill: str
    title: str
    parameters: dict
    logging: str
    clubs: list[tuple[str, float | None]]
    terms: dict

    @classmethod
    def of(cls, block: Block) -> "BlockRecipe":
        """Return the recipe of a block, whose balls, their clubs and the clubs' setups are fetched."""
        clubs = sorted({ball.club for ball in block.balls.all()}, key=Club.loft_key)
        return cls(
            drill=str(block.drill_id or ""),
            title=block.title,
            parameters={name: value for name, value in block.parameters.items() if name != "clubs"},
            logging=block.logging,
            clubs=[(club.label, club.setup_now.loft_deg) for club in clubs],
            terms={name: getattr(block, name) for name in TERMS},
        )

    @classmethod
    def from_json(cls, held: Mapping) -> "BlockRecipe":
        return cls(**{**held, "clubs": [tuple(club) for club in held["clubs"]]})

    def as_json(self) -> dict:
        return asdict(self)

    def sized(self, factor: float) -> "BlockRecipe":
        """Return the recipe for so many times the balls, one at least; the minutes and the pass mark go along."""
        sizes = {name: max(1, round(self.parameters[name] * factor)) for name in SIZES if name in self.parameters}
        minutes = self.terms.get("minutes")
        terms = self.terms | {"minutes": max(1, round(minutes * factor)) if minutes else minutes}
        sized = replace(self, parameters=self.parameters | sizes, terms=terms)
        return sized.marked(self.pass_mark.scaled(factor)) if self.pass_mark else sized

    @property
    def pass_mark(self) -> PassMark | None:
        """What the player should make, where the coach set that."""
        if not self.terms.get("pass_of"):
            return None
        return PassMark(*(self.terms[name] for name in MARK))

    def marked(self, mark: PassMark | None) -> "BlockRecipe":
        """Return the recipe with this pass mark."""
        values = (mark.made, mark.of, mark.within_pct) if mark else (None, None, None)
        return replace(self, terms=self.terms | dict(zip(MARK, values, strict=True)))

    def a_week_on(self) -> "BlockRecipe":
        """Return the recipe for the week after: an easing goes on by a week, until its last."""
        if self.parameters.get("order") != Order.EASING:
            return self
        week = min(self.parameters["week"] + 1, self.parameters["weeks"])
        return replace(self, parameters=self.parameters | {"week": week})

    @property
    def has_size(self) -> bool:
        """Whether a parameter says how many balls it takes."""
        return any(name in self.parameters for name in SIZES)


def recipes_of(plan: WeekPlan) -> list[BlockRecipe]:
    """Return the recipes of a week's blocks in order; those that were taken back are left out."""
    blocks = plan.blocks.filter(withdrawn_at=None).order_by("position")
    return [BlockRecipe.of(block) for block in blocks.prefetch_related("balls__club__setups")]


def earlier_blocks(blocks: Iterable[Block]) -> dict[UUID, Block]:
    """Return, by check day, the block that each repeats, with its week; those whose block is gone are left out."""
    of = {block.pk: block.parameters.get("earlier") for block in blocks if block.kind == "check_day"}
    if not any(of.values()):
        return {}
    found = Block.objects.filter(pk__in=[code for code in of.values() if code]).select_related("plan")
    earlier = {str(block.pk): block for block in found}
    return {check: earlier[code] for check, code in of.items() if code in earlier}


@dataclass(frozen=True)
class Asked:
    """A recipe drawn for one player, not stored; without `drawn` it cannot be hit, and `said` tells why."""

    recipe: BlockRecipe
    filled: Recipe | None
    drawn: DrawnBlock | None
    said: list[str]

    @property
    def balls(self) -> int:
        if self.drawn is None:
            return 0
        return len(self.drawn.balls) or self.filled.parameters.get("balls", 0)


def ask(recipe: BlockRecipe, *, bench: Bench, bag: list[BagClub], seed: int) -> Asked:
    """Draw a recipe with a player's own clubs. `bench` has the recipe's drill and place in hand, and the player."""
    if str(bench.drill.pk) != recipe.drill:
        return Asked(recipe, None, None, ["Its drill is no longer in use."])
    clubs, said = _own_clubs(recipe, bag, at_targets=bench.drill.aims == "targets")
    if recipe.clubs and not clubs:
        return Asked(recipe, None, None, said)
    # The drill's own parameters fill in what a recipe of an earlier time does not know yet.
    parameters = bench.drill.parameters | recipe.parameters | {"clubs": [str(club.pk) for club in clubs]}
    if parameters.get("profile"):
        parameters["profile"] = bench.profile
    form = bench.form(as_sent(parameters, drill=recipe.drill, logging=recipe.logging), bag)
    if not form.is_valid():
        return Asked(recipe, None, None, said + [fault for faults in form.errors.values() for fault in faults])
    filled = form.recipe()
    try:
        drawn = filled.draw(seed=seed)
    except GeneratorError as fault:
        return Asked(recipe, None, None, [*said, str(fault)])
    asked = Asked(recipe, filled, drawn, [*said, *drawn.notes])
    if mark := recipe.pass_mark:
        judged = Logging(filled.logging).results_of(asked.balls) if bench.drill.log == "shots" else asked.balls
        return replace(asked, recipe=recipe.marked(mark.within_reach(judged)))
    return asked


def _own_clubs(recipe: BlockRecipe, bag: list[BagClub], *, at_targets: bool) -> tuple[list[Club], list[str]]:
    """Return the player's clubs that stand in for those of the recipe, and what to say about the others."""
    found, said = [], []
    for label, loft_deg in recipe.clubs:
        own = _own_club(label, loft_deg, bag)
        if own is None:
            said.append(f"No club like the {label} in the bag.")
        elif at_targets and own.reach is None:
            said.append(f"How far the {own.club.label} goes is not known yet: plan a carry test, or state a carry.")
        else:
            found.append(own.club)
    return list(dict.fromkeys(found)), list(dict.fromkeys(said))


def _own_club(label: str, loft_deg: float | None, bag: Iterable[BagClub]) -> BagClub | None:
    """Return the club of that label, else the one nearest in loft within three degrees."""
    for bagged in bag:
        if bagged.club.label == label:
            return bagged
    lofts = [(bagged, bagged.club.setup_now.loft_deg) for bagged in bag]
    apart = [(abs(own - loft_deg), n) for n, (_, own) in enumerate(lofts) if own is not None and loft_deg is not None]
    nearest, n = min(apart, default=(NEAR_DEG + 1, 0))
    return lofts[n][0] if nearest <= NEAR_DEG else None


class Benches:
    """What an academy's recipes are drawn on, for any of its players: read once, however many players there are."""

    def __init__(self, players: Collection[Player]):
        self._bench = bench_of(next(iter(players)), QueryDict())
        self._targets: dict[str, list[Target]] = {}
        faced = Block.objects.filter(plan__player__in=players, parameters__profile__gt="").order_by("created_at")
        self._profiles = dict(faced.values_list("plan__player", "parameters__profile"))

    def bench(self, recipe: BlockRecipe, player: Player) -> Bench:
        """Return a bench with the recipe's drill and place in hand, as far as they are still in use."""
        drills = {str(drill.pk): drill for drill in self._bench.drills}
        places = {place.code: place for place in self._bench.places}
        place = places.get(recipe.parameters.get("place"), self._bench.place)
        if place and place.code not in self._targets:
            self._targets[place.code] = list(place.targets())
        bench = replace(
            self._bench,
            player=player,
            drill=drills.get(recipe.drill, self._bench.drill),
            place=place,
            targets=self._targets[place.code] if place else [],
        )
        vars(bench)["profile"] = self._profiles.get(player.pk, "")  # known already, so that no bench asks for its own
        return bench
