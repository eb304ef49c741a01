"""What a block is made of, and drawing it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from practice.clubs.models import Club
from practice.drills.kinds import MAX_BALLS
from practice.drills.models import Drill
from practice.planner.carry_test import draw_carry_test, draw_shuffled_carry_test
from practice.planner.check_day import drawn_again
from practice.planner.crossing import IMPOSSIBLE, NOT_FOUND, ORDER, draw_crossing
from practice.planner.generator import (
    ClubOption,
    DrawnBall,
    DrawnBlock,
    GeneratorError,
    StockSwing,
    TargetOption,
    digest,
    draw_block,
)
from practice.planner.ladder import draw_ladder
from practice.planner.models import Ball, Block, Logging
from practice.planner.one_ball import draw_one_ball_test
from practice.planner.orders import Order, reordered
from practice.planner.pick_spot import draw_pick_spot
from practice.planner.places import Place
from practice.planner.weights import by_distance, by_need, draw_weighted_block, faced_at
from practice.units import DistanceUnit
from practice.venues.models import Target, Venue

BASIS_WORDS = {
    "stock": "tested",
    "targets": "from balls at targets",
    "stated": "stated, not tested",
    "estimated": "estimated from another club's stated carry",
    None: "no carry known yet",
}
"""How the reach of a club is known, in words."""


@dataclass(frozen=True)
class BagClub:
    """A club as the builder offers it: its reach, None where no carry is known, and how that is known.

    Its longest carry is known to `give_m` either way (95 %; None where there is nothing to tell by), and `need` is its
    share of balls that are given by need, beside the other clubs'.
    """

    club: Club
    reach: ClubOption | None
    basis: str | None
    give_m: float | None = None
    need: float = 1.0

    @property
    def basis_words(self) -> str:
        return BASIS_WORDS[self.basis]


@dataclass(frozen=True)
class Recipe:
    """One block as the coach asks for it. `parameters` are stored with the block and fill the form again.

    `faced_m` are distances that the player faces, each with how often; `earlier` is the block that comes again on a
    check day; `unit` is that of the notes.
    """

    drill: Drill
    clubs: Sequence[BagClub]
    parameters: dict
    place: Place | None = None
    targets: Sequence[Target] = ()
    logging: str = Logging.EVERY.value
    faced_m: Sequence[tuple[float, float]] = ()
    earlier: Block | None = None
    unit: DistanceUnit = DistanceUnit.METRES

    @property
    def number_shown(self) -> bool:
        return self.parameters.get("number_shown", True) and self.earlier is None

    @property
    def venue(self) -> Venue | None:
        if self.earlier:
            return self.earlier.venue
        return self.place.venue if self.place else None

    @property
    def labels(self) -> list[str]:
        return [bagged.club.label for bagged in self.clubs]

    @property
    def at_targets(self) -> dict:
        """What every drawing at targets takes."""
        return {
            "clubs": [bagged.reach for bagged in self.clubs],
            "targets": [TargetOption(name=target.name, distance_m=target.distance_m) for target in self.targets],
            "number_shown": self.number_shown,
        }

    def draw(self, *, seed: int) -> DrawnBlock:
        """Draw the balls; the same recipe and seed give the same balls.

        Raises GeneratorError, with what to change, where they cannot be drawn.
        """
        drawing = DRAWINGS.get(self.drill.kind) or DRAWINGS_OF_AIMS[self.drill.aims]
        drawn = drawing(self, seed)
        if len(drawn.balls) > MAX_BALLS:
            raise GeneratorError(
                f"That makes {len(drawn.balls)} balls, and a block holds {MAX_BALLS}: choose fewer clubs or targets."
            )
        # The player reads the notes too, and without the number they must give nothing away.
        more = notes_on_give(self.clubs, drawn) if self.number_shown else []
        return replace(drawn, notes=(*drawn.notes, *more))

    def balls(self, drawn: DrawnBlock) -> list[Ball]:
        """Return the drawn balls as rows, not stored, each with all that the player will be shown."""
        if self.earlier:
            return [_again(ball, asked) for ball, asked in zip(self.earlier.balls.all(), drawn.balls, strict=True)]
        clubs = {bagged.club.label: bagged.club for bagged in self.clubs}
        targets = {target.name: target for target in self.targets}
        return [_ball(ball, clubs[ball.club], targets.get(ball.target)) for ball in drawn.balls]


def notes_on_give(bag: Sequence[BagClub], drawn: DrawnBlock) -> list[str]:
    """Say which balls may be out of reach: the longest carry of a tested club is known only so well."""
    sure_m = {b.club.label: b.reach.longest_m - b.give_m for b in bag if b.reach and b.give_m}
    at_targets = [ball for ball in drawn.balls if ball.target_m]
    edge = {(ball.club, ball.target) for ball in at_targets if ball.target_m > sure_m.get(ball.club, ball.target_m)}
    return [
        f"“{target}” may be out of reach of the {club}: its longest carry is not known that well yet."
        for club, target in sorted(edge)
    ]


def _ball(drawn: DrawnBall, club: Club, target: Target | None) -> Ball:
    ball = Ball(n=drawn.n, club=club, swing=drawn.swing, target=target, target_m=drawn.target_m)
    ball.target_name = drawn.target or ""
    if target:
        ball.direction_deg, ball.elevation_m = target.direction_deg, target.elevation_m
    if drawn.below:
        ball.below_swing, ball.below_carry_m = drawn.below.swing, drawn.below.carry_m
    if drawn.above:
        ball.above_swing, ball.above_carry_m = drawn.above.swing, drawn.above.carry_m
    return ball


def _again(stored: Ball, drawn: DrawnBall) -> Ball:
    """Return a ball of an earlier block as it is asked on its check day."""
    kept = ("n", "club", "target", "target_name", "target_m", "direction_deg", "elevation_m")
    return Ball(**{name: getattr(stored, name) for name in kept}, swing=drawn.swing)


# Drawing, by kind


def _mixed(recipe: Recipe, seed: int) -> DrawnBlock:
    chosen = recipe.parameters
    drawn = _shared_out(recipe, seed)
    if (order := chosen.get("order", Order.RANDOM)) == Order.RANDOM:
        return drawn
    easing = {name: chosen[name] for name in ("week", "weeks")} if order == Order.EASING else {}
    return reordered(drawn, Order(order), **easing)


def _shared_out(recipe: Recipe, seed: int) -> DrawnBlock:
    """Draw a random-target block, its balls shared alike, or by need, or by the distances that the player faces."""
    at_targets, missed = recipe.at_targets, []
    clubs, targets = at_targets["clubs"], at_targets["targets"]
    by = {"balls": recipe.parameters["balls"], "seed": seed}
    need = {b.club.label: b.need for b in recipe.clubs} if recipe.parameters.get("weights") == "need" else None
    if recipe.faced_m:
        profile, missed = faced_at(clubs, targets, recipe.faced_m)
        weights = by_distance(clubs, targets, profile, need)
    elif need:
        weights = by_need(clubs, targets, need)
    else:
        return draw_block(**at_targets, **by)
    drawn = draw_weighted_block(**at_targets, **by, weights=weights)
    if missed:
        listed = ", ".join(recipe.unit.show(distance_m) for distance_m in missed)
        shown = listed if recipe.number_shown else "some of the distances that are faced"
        return replace(drawn, notes=(f"No target in reach is near {shown}: not practised here.", *drawn.notes))
    return drawn


def _crossing(recipe: Recipe, seed: int) -> DrawnBlock:
    crossing = draw_crossing(**recipe.at_targets, seed=seed)
    answer = CROSSING_WORDS[crossing.answer]
    return replace(crossing.block, notes=(answer, *crossing.block.notes))


def _ladder(recipe: Recipe, _seed: int) -> DrawnBlock:
    return draw_ladder(**recipe.at_targets, trips=recipe.parameters["trips"])


def _one_ball(recipe: Recipe, seed: int) -> DrawnBlock:
    return draw_one_ball_test(**recipe.at_targets, balls=recipe.parameters["balls"], seed=seed)


def _in_a_row(recipe: Recipe, seed: int) -> DrawnBlock:
    chosen = recipe.parameters
    each = {"balls_each": chosen.get("balls_each") or chosen["balls"]}
    if chosen.get("shuffled"):
        return draw_shuffled_carry_test(recipe.labels, chosen["swings"], **each, seed=seed)
    return draw_carry_test(recipe.labels, chosen["swings"], **each)


def _spots(recipe: Recipe, seed: int) -> DrawnBlock:
    return draw_pick_spot(recipe.labels, spots=recipe.parameters["spots"], seed=seed)


def _again_hidden(recipe: Recipe, _seed: int) -> DrawnBlock:
    return drawn_again(drawing_of(recipe.earlier))


def _unlisted(recipe: Recipe, _seed: int) -> DrawnBlock:
    balls = recipe.parameters["balls"]
    return DrawnBlock(
        balls=(), notes=(), seed=0, algorithm=UNLISTED, inputs_sha256=digest([UNLISTED, recipe.drill.kind, balls])
    )


def drawing_of(block: Block) -> DrawnBlock:
    """Return a stored block as it was drawn; its balls, with their clubs, should be fetched."""
    return DrawnBlock(
        balls=tuple(_drawn(ball) for ball in block.balls.all()),
        notes=(),
        seed=block.seed,
        algorithm=block.algorithm,
        inputs_sha256=block.inputs_sha256,
    )


def _drawn(ball: Ball) -> DrawnBall:
    return DrawnBall(
        n=ball.n,
        club=ball.club.label,
        swing=ball.swing,
        target=ball.target_name or None,
        target_m=ball.target_m,
        below=StockSwing(ball.below_swing, ball.below_carry_m) if ball.below_swing else None,
        above=StockSwing(ball.above_swing, ball.above_carry_m) if ball.above_swing else None,
    )


UNLISTED = "unlisted-1"
"""Names the drawing of a block of which no ball is listed."""

CROSSING_WORDS = {
    ORDER: "There is an order in which no ball repeats the club or the target before, and this is one.",
    IMPOSSIBLE: "No order can keep all neighbours different, and this one repeats as seldom as it could be made to.",
    NOT_FOUND: "An order that keeps all neighbours different was not found; this one repeats least of those tried.",
}
"""The three answers to a crossing round; the proof, or what was tried, follows."""

DRAWINGS: dict[str, Callable[[Recipe, int], DrawnBlock]] = {
    "crossing": _crossing,
    "ladder": _ladder,
    "one_ball": _one_ball,
    "check_day": _again_hidden,
}
"""How the balls of kinds are drawn that ask for more than what they aim at."""
DRAWINGS_OF_AIMS = {"targets": _mixed, "swings": _in_a_row, "spot": _spots, "none": _unlisted}
