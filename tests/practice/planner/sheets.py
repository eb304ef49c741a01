"""A week with a block of every kind of log, as a coach assigns it, for what is printed and typed in."""

from practice.planner.models import Ball, Block, PlanState, WeekPlan
from practice.players.models import Player
from practice.venues.models import Venue

TERMS = {
    "cue": "quiet hands",
    "rain": "Smooth swing at home, 20 without a ball.",
    "pass_made": 7,
    "pass_of": 10,
    "pass_within_pct": 10,
    "on_pass": "Next week with the number hidden.",
    "on_miss": "The carry test again.",
    "reason": "9:00 with the 54: 6 yd short on average over 3 visits, and sure of it.",
}


def make_blocks(plan: WeekPlan, venue: Venue, clubs: list) -> list[Block]:
    """Put a block of every kind of log into a draft, the first with all that may be assigned with it."""
    flags = list(venue.tee_lines.get().targets.order_by("distance_m"))
    at = {"venue": venue, "cautions": "Hit only where the range allows it and nobody is in front."}

    def mixed(n):
        flag = flags[n % len(flags)]
        return {"target": flag, "target_name": flag.name, "target_m": flag.distance_m, "swing": "feel"}

    def spot(n):
        return {"target_name": f"your spot {(n + 1) // 2}", "swing": "feel"}

    def stock(n):
        return {"swing": ("7:30", "9:00", "10:30")[(n - 1) // 3 % 3]}

    rows = [
        ("random_target", "Mixed targets", 20, mixed, at | TERMS | {"day": 1, "minutes": 40, "surface": "grass"}),
        ("random_target", "Mixed targets, by eye", 12, mixed, at | {"number_shown": False, "logging": "third"}),
        ("crossing", "Crossing round", 12, mixed, at | {"logging": "end", "day": 3}),
        ("carry_test", "Carry test", 9, stock, at),
        ("pick_spot", "Pick a spot", 8, spot, at),
        ("strike_check", "Strike check", 6, lambda n: {"swing": "9:00"}, {"day": 1}),
        ("turf_brush", "Turf brush", 6, lambda n: {"swing": "9:00"}, {}),
        ("smooth_swing", "Smooth swing", 6, lambda n: {"swing": "full"}, {}),
        (
            "own",
            "Up and down",
            0,
            None,
            {"parameters": {"log": "outcome", "score": "k_of_n", "shot_type": "chip", "balls": 10}},
        ),
        (
            "own",
            "Bunker to the hole",
            0,
            None,
            {"parameters": {"log": "outcome", "score": "leave", "shot_type": "bunker", "balls": 6}},
        ),
        ("free", "Free practice", 0, None, {"parameters": {"balls": 15}}),
    ]
    made = []
    for position, (kind, title, balls, aim, fields) in enumerate(rows, 1):
        how = {"instructions": f"How {title.lower()} goes.", "seed": 1, **fields}
        block = Block.objects.create(plan=plan, position=position, kind=kind, title=title, **how)
        one_club = kind in ("strike_check", "turf_brush", "smooth_swing")
        for n in range(1, balls + 1):
            Ball.objects.create(block=block, n=n, club=clubs[0 if one_club else n % len(clubs)], **aim(n))
        made.append(block)
    return made


def assign_every_kind(player: Player, venue: Venue, clubs: list, *, monday, **fields) -> WeekPlan:
    """Assign a week with a block of every kind of log."""
    plan = WeekPlan.objects.create(player=player, monday=monday, **fields)
    make_blocks(plan, venue, clubs)
    at = plan.created_at
    WeekPlan.objects.filter(pk=plan.pk).update(state=PlanState.ASSIGNED, assigned_at=at)
    return WeekPlan.objects.get(pk=plan.pk)
