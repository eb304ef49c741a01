"""A player with a tested bag, a range, and weeks, for the tests of the planner."""

from datetime import date
from uuid import UUID, uuid4

from practice.clubs.models import Club
from practice.drills.models import Drill
from practice.planner import actions
from practice.planner.builder import bench_of
from practice.planner.generator import ClubOption, StockSwing
from practice.planner.models import Ball, Block, WeekPlan
from practice.planner.places import places_of
from practice.planner.recipes import BagClub, Recipe
from practice.players.models import Player
from practice.venues.models import Venue
from tests import make

MONDAY = date(2026, 3, 2)


def equip(player: Player) -> tuple[Venue, list[Club]]:
    """Give the player's academy a range and the player three wedges with stated carries and a putter."""
    venue = make.make_range(player.academy)
    clubs = [
        make.make_club(player, label, loft_deg=float(label), stated_full_m=carry_m)
        for label, carry_m in (("50", 95.0), ("54", 85.0), ("58", 75.0))
    ]
    make.make_putter(player)
    return venue, clubs


def make_drill(academy, kind: str = "random_target", **fields) -> Drill:
    return Drill.objects.create(academy=academy, kind=kind, title=fields.pop("title", f"A {kind}"), **fields)


def make_recipe(
    player: Player, clubs: list[Club], *, balls: int = 12, number_shown: bool = True, logging: str = "every"
) -> Recipe:
    place = places_of(player.academy)[0]
    targets = list(place.targets())
    stock = (StockSwing("9:00", 60.0),)
    return Recipe(
        drill=bench_of(player, {}).drill,
        clubs=[BagClub(club, ClubOption(club.label, 20.0, 90.0, stock), "stock") for club in clubs],
        parameters={
            "balls": balls,
            "number_shown": number_shown,
            "full_swings": True,
            "place": place.code,
            "clubs": [str(club.pk) for club in clubs],
            "targets": [str(target.pk) for target in targets],
        },
        place=place,
        targets=targets,
        logging=logging,
    )


def put_block(
    player: Player, clubs: list[Club], *, monday: date = MONDAY, seed: int = 1, block_id: UUID | None = None, **recipe
) -> Block:
    """Put a drawn block into the week's draft."""
    made = make_recipe(player, clubs, **recipe)
    return actions.add_block(
        player=player,
        monday=monday,
        made_by=None,
        block_id=block_id or uuid4(),
        recipe=made,
        drawn=made.draw(seed=seed),
    )


def assign(player: Player, clubs: list[Club], **block) -> WeekPlan:
    """Assign a week of one block."""
    plan = put_block(player, clubs, **block).plan
    actions.assign_plan(plan=plan)
    plan.refresh_from_db()
    return plan


def rows_of(plan):
    """Every value of a draft: its note, its blocks, their balls."""
    blocks = Block.objects.filter(plan=plan).order_by("position").values()
    balls = Ball.objects.filter(block__plan=plan).order_by("block__position", "n").values()
    moments = ("created_at",)  # kept to the millisecond
    rows = [{name: value for name, value in row.items() if name not in moments} for row in (*blocks, *balls)]
    return WeekPlan.objects.get(pk=plan.pk).note, rows
