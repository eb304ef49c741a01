"""Bags, ranges and drawn blocks for the tests of the generator."""

from itertools import pairwise

from practice.planner.generator import ClubOption, DrawnBlock, StockSwing, TargetOption, draw_block


def make_bag(clubs: int) -> list[ClubOption]:
    """Clubs that all reach everything between 10 m and 200 m."""
    return [ClubOption(f"club {i}", 10.0, 200.0) for i in range(clubs)]


def make_range(targets: int) -> list[TargetOption]:
    return [TargetOption(f"flag {i}", 20.0 + 5 * i) for i in range(targets)]


WEDGES = [
    ClubOption("PW", 60.0, 110.0, (StockSwing("9:00", 78.0), StockSwing("full", 108.0))),
    ClubOption("52°", 40.0, 95.0, (StockSwing("7:30", 45.0), StockSwing("9:00", 66.0), StockSwing("full", 94.0))),
    ClubOption("58°", 20.0, 75.0, (StockSwing("7:30", 33.0), StockSwing("9:00", 50.0), StockSwing("full", 74.0))),
]
FLAGS = [TargetOption("white", 30.0), TargetOption("red", 52.0), TargetOption("blue", 68.0), TargetOption("far", 90.0)]


def draw(clubs, targets, balls=12, seed=1, *, number_shown=True) -> DrawnBlock:
    return draw_block(clubs, targets, balls=balls, seed=seed, number_shown=number_shown)


def shots(block: DrawnBlock) -> list[tuple[str, str]]:
    return [(ball.club, ball.target) for ball in block.balls]


def repeats(things) -> int:
    return sum(a == b for a, b in pairwise(things))
