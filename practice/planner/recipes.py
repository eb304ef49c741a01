"""What a block is made of, and drawing it."""

from collections.abc import Sequence
from dataclasses import dataclass

from practice.clubs.models import Club
from practice.drills.models import Drill
from practice.planner.carry_test import draw_carry_test
from practice.planner.generator import ClubOption, DrawnBall, DrawnBlock, TargetOption, draw_block
from practice.planner.models import Ball, Logging
from practice.planner.places import Place
from practice.venues.models import Target

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
    """A club as the builder offers it: its reach, None where no carry is known, and how that is known."""

    club: Club
    reach: ClubOption | None
    basis: str | None

    @property
    def basis_words(self) -> str:
        return BASIS_WORDS[self.basis]


@dataclass(frozen=True)
class Recipe:
    """One block as the coach asks for it. `parameters` are stored with the block and fill the form again."""

    drill: Drill
    clubs: Sequence[BagClub]
    parameters: dict
    place: Place | None = None
    targets: Sequence[Target] = ()
    logging: str = Logging.EVERY.value

    @property
    def number_shown(self) -> bool:
        return self.parameters.get("number_shown", True)

    def draw(self, *, seed: int) -> DrawnBlock:
        """Draw the balls; the same recipe and seed give the same balls."""
        if self.drill.kind == "carry_test":
            labels = [bagged.club.label for bagged in self.clubs]
            return draw_carry_test(labels, self.parameters["swings"], balls_each=self.parameters["balls_each"])
        return draw_block(
            [bagged.reach for bagged in self.clubs],
            [TargetOption(name=target.name, distance_m=target.distance_m) for target in self.targets],
            balls=self.parameters["balls"],
            seed=seed,
            number_shown=self.number_shown,
        )

    def balls(self, drawn: DrawnBlock) -> list[Ball]:
        """Return the drawn balls as rows, not stored, each with all that the player will be shown."""
        clubs = {bagged.club.label: bagged.club for bagged in self.clubs}
        targets = {target.name: target for target in self.targets}
        return [_ball(ball, clubs[ball.club], targets.get(ball.target)) for ball in drawn.balls]


def _ball(drawn: DrawnBall, club: Club, target: Target | None) -> Ball:
    ball = Ball(n=drawn.n, club=club, swing=drawn.swing, target=target, target_m=drawn.target_m)
    if target:
        ball.target_name, ball.direction_deg, ball.elevation_m = target.name, target.direction_deg, target.elevation_m
    if drawn.below:
        ball.below_swing, ball.below_carry_m = drawn.below.swing, drawn.below.carry_m
    if drawn.above:
        ball.above_swing, ball.above_carry_m = drawn.above.swing, drawn.above.carry_m
    return ball
