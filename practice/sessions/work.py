"""What a phone needs to know: who is signed in, and all of a player's current work, as JSON."""

from collections.abc import Iterable
from datetime import date, datetime
from operator import attrgetter

from django.db.models import Prefetch, Q

from practice.accounts.models import User
from practice.accounts.zones import zone
from practice.clubs.models import Club, SwingLength
from practice.clubs.swings import CLOCK_SWINGS, FEEL, swing_name
from practice.drills.kinds import KINDS
from practice.planner.models import Ball, Block, WeekPlan
from practice.planner.weeks import monday_of
from practice.players.models import Player
from practice.sessions.done import Done, id_json
from practice.venues.models import Target, Venue


def milliseconds(moment: datetime) -> int:
    """Return a time as JavaScript counts it: milliseconds since 1970."""
    return round(moment.timestamp() * 1000)


def own_players(user: User) -> list[Player]:
    """Return the players that the user is, one an academy at most."""
    return list(Player.objects.on_the_roster().filter(user=user).select_related("academy"))


def squad_of(user: User) -> list[Player]:
    """Return the players that the user looks after as owner or coach, by name."""
    return list(Player.objects.on_the_roster().looked_after_by(user).select_related("academy"))


def player_json(player: Player) -> dict:
    return {
        "id": str(player.pk),
        "name": player.name,
        "academy": player.academy.name,
        "unit": player.shown_unit.value,
        "handed": player.handed,
        "is_junior": player.is_junior,
    }


def work_json(player: Player, now: datetime, *, by: User) -> dict:
    """Return all of a player's current work, for a user who may log for the player.

    The number of statements does not grow with what there is.
    """
    today = now.astimezone(zone(player.academy.time_zone)).date()
    plan = current_plan(player, today)
    blocks = _blocks_of(plan)
    balls = [ball for block in blocks for ball in block.balls.all()]
    return {
        "player": player_json(player),
        "plan": plan and {"id": str(plan.pk), "monday": plan.monday.isoformat(), "note": plan.note},
        "blocks": [_block_json(block, blocks) for block in blocks],
        "clubs": _clubs_json(player, today, {ball.club_id for ball in balls}),
        "swings": _swings_json(player),
        "venues": _venues_json(player),
        **Done(player=player, by=by, blocks=blocks, now=now, today=today).as_json(),
        "server_time_ms": milliseconds(now),
    }


def current_plan(player: Player, today: date) -> WeekPlan | None:
    """Return the plan assigned for this week, else the next one assigned."""
    return WeekPlan.objects.assigned().filter(player=player, monday__gte=monday_of(today)).order_by("monday").first()


def _blocks_of(plan: WeekPlan | None) -> list[Block]:
    if plan is None:
        return []
    return list(Block.objects.to_do().filter(plan=plan).select_related("plan").prefetch_related("balls"))


ASSIGNED = (
    *("day", "minutes", "surface", "cue", "rain", "reason"),
    *("pass_made", "pass_of", "pass_within_pct", "on_pass", "on_miss"),
)
"""What a coach may say with a block; what was left empty is not told."""


def _block_json(block: Block, plan: list[Block]) -> dict:
    words = ("title", "kind", "instructions", "cautions", "logging", "notes")
    aims, log, score = KINDS[block.kind].parts(block.parameters)
    first = _first_time(block, plan)
    return {
        "id": str(block.pk),
        **{name: getattr(block, name) for name in words},
        # Of a spot that the player picks nobody knows one.
        "number_shown": block.number_shown and aims != "spot",
        **({"repeats": str(first.pk)} if first else {}),
        "log": log,
        "score": score,
        "asked": block.balls_asked,
        **{name: value for name in ASSIGNED if (value := getattr(block, name)) not in ("", None)},
        "venue": id_json(block.venue_id),
        "balls": [_ball_json(ball) for ball in block.balls.all()],
    }


def _first_time(block: Block, plan: list[Block]) -> Block | None:
    """Return the block of the same plan that a check day repeats: until that is done nothing is told of it."""
    if block.kind != "check_day":
        return None
    drawn = attrgetter("seed", "algorithm", "inputs_sha256")
    return next((each for each in plan if each.kind != block.kind and drawn(each) == drawn(block)), None)


def _ball_json(ball: Ball) -> dict:
    words = ("n", "swing", "target_name", "target_m", "direction_deg", "elevation_m")
    return {
        "id": str(ball.pk),
        "club": str(ball.club_id),
        "target": id_json(ball.target_id),
        **{name: getattr(ball, name) for name in words},
        "below": _neighbour_json(ball.below_swing, ball.below_carry_m),
        "above": _neighbour_json(ball.above_swing, ball.above_carry_m),
    }


def _neighbour_json(swing: str, carry_m: float | None) -> dict | None:
    return {"swing": swing, "carry_m": carry_m} if swing else None


def _clubs_json(player: Player, today: date, asked: Iterable) -> list[dict]:
    """Return the clubs in the bag and those that a ball still asks for, by loft; unknown lofts last."""
    clubs = Club.objects.filter(Q(carried=True) | Q(pk__in=asked), player=player).with_setups()
    rows = [(club, club.setup_on(today).loft_deg) for club in clubs]
    rows.sort(key=lambda row: (row[1] is None, row[1] or 0.0, row[0].label))
    return [{"id": str(club.pk), "label": club.label, "loft_deg": loft_deg} for club, loft_deg in rows]


def _swings_json(player: Player) -> list[dict]:
    own = SwingLength.objects.filter(academy=player.academy_id).values_list("code", flat=True)
    return [{"code": code, "name": swing_name(code)} for code in (*CLOCK_SWINGS, *own, FEEL)]


def _venues_json(player: Player) -> list[dict]:
    venues = Venue.objects.in_use().filter(academy=player.academy_id)
    targets = Prefetch("tee_lines__targets", Target.objects.in_use())
    return [
        {
            "id": str(venue.pk),
            "name": venue.name,
            "is_default": venue.is_default,
            "tee_lines": [_tee_line_json(line) for line in venue.tee_lines.all()],
        }
        for venue in venues.prefetch_related("tee_lines__bays", targets)
    ]


def _tee_line_json(line) -> dict:
    return {
        "id": str(line.pk),
        "name": line.name,
        "bays": [
            {"id": str(bay.pk), "name": bay.name, "arc_left_deg": bay.arc_left_deg, "arc_right_deg": bay.arc_right_deg}
            for bay in line.bays.all()
        ],
        "targets": [_target_json(target) for target in line.targets.all()],
    }


def _target_json(target: Target) -> dict:
    words = ("name", "distance_m", "direction_deg", "elevation_m")
    return {
        "id": str(target.pk),
        **{name: getattr(target, name) for name in words},
        "checked": target.checked_on is not None,
    }
