"""What the builder's form sends for a block of each kind."""

from practice.clubs.models import Club
from practice.drills.actions import add_default_drills
from practice.drills.models import Drill
from practice.planner.models import Block
from practice.venues.models import Target
from tests.practice.planner.plans import make_drill

CHOSEN = {
    "random_target": {"balls": 12, "order": "easing", "week": 2, "weeks": 4, "weights": "need", "profile": "40 2\n60"},
    "carry_test": {"balls_each": 3, "swings": ["9:00", "full"], "shuffled": "on"},
    "crossing": {"number_shown": "on", "full_swings": "on"},
    "pick_spot": {"spots": 4},
    "ladder": {"trips": 2, "full_swings": "on"},
    "one_ball": {"balls": 5, "full_swings": "on"},
    "strike_check": {"balls": 6, "swings": ["full"]},
    "strike_bucket": {"balls": 30, "swings": ["9:00"]},
    "turf_brush": {"balls_each": 10, "swings": ["9:00"]},
    "smooth_swing": {"balls_each": 10, "swings": ["9:00"]},
    "check_day": {},
    "free": {"balls": 15},
    "own": {"balls": 20},
}
ONE_CLUB = ("strike_check", "strike_bucket")


def the_drill(player, kind: str) -> Drill:
    add_default_drills(player.academy)
    return player.academy.drills.filter(kind=kind).first() or make_drill(player.academy, kind)


def asked(player, kind: str, **changes) -> dict:
    """Return what the builder's form sends for a block of a kind; a change of None leaves that out."""
    drill = the_drill(player, kind)
    clubs = [str(club.pk) for club in Club.objects.exclude(kind="putter").order_by("label")]
    sent = {"asked": "1", "drill": str(drill.pk), **CHOSEN[kind]}
    if drill.aims in ("targets", "swings", "spot"):
        sent["clubs"] = clubs[:1] if kind in ONE_CLUB else clubs
    if drill.aims == "targets":
        sent["targets"] = [str(target.pk) for target in Target.objects.all()]
    if kind == "check_day":
        sent["earlier"] = str(Block.objects.get().pk)
    sent |= changes
    return {name: value for name, value in sent.items() if value is not None}
