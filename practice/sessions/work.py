"""What a phone needs to know: who is signed in, and all of a player's current work, as JSON."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.db.models import Prefetch, Q

from practice.accounts.models import User
from practice.accounts.zones import zone
from practice.clubs.models import Club, SwingLength
from practice.clubs.swings import CLOCK_SWINGS, FEEL, swing_name
from practice.planner.models import Ball, Block, WeekPlan
from practice.planner.weeks import monday_of
from practice.players.models import Player
from practice.sessions.models import BlockTally, EyeGuess, PainStop, Shot, SkippedBall, TurfSwing, Visit
from practice.sessions.values import VALUE_FIELDS
from practice.venues.models import Target, Venue

VISIT_WORDS = (
    *("setting", "label", "stand", "offset_m", "measured_by", "resolution_m"),
    *("ball_type", "surface", "wind", "wind_from"),
)


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
    }


def work_json(player: Player, now: datetime, *, by: User) -> dict:
    """Return all of a player's current work, for a user who may log for the player.

    The number of statements does not grow with what there is.
    """
    today = now.astimezone(zone(player.academy.time_zone)).date()
    plan = current_plan(player, today)
    blocks = _blocks_of(plan)
    balls = [ball for block in blocks for ball in block.balls.all()]
    versions = _versions_of(player, blocks)
    answering = _balls_answering(versions)
    return {
        "player": player_json(player),
        "plan": plan and {"id": str(plan.pk), "monday": plan.monday.isoformat(), "note": plan.note},
        "blocks": [_block_json(block) for block in blocks],
        "clubs": _clubs_json(player, today, {ball.club_id for ball in balls}),
        "swings": _swings_json(player),
        "venues": _venues_json(player),
        "visit": _last_visit_json(player),
        "shots": _shots_json(player, answering, by),
        "skips": _skips_json(player, answering),
        "guesses": _guesses_json(player, now),
        "turf": _turf_json(player, now, versions),
        "tallies": _tallies_json(player, versions),
        "stopped_today": PainStop.objects.on(player, today).exists(),
        "server_time_ms": milliseconds(now),
    }


def current_plan(player: Player, today: date) -> WeekPlan | None:
    """Return the plan assigned for this week, else the next one assigned."""
    return WeekPlan.objects.assigned().filter(player=player, monday__gte=monday_of(today)).order_by("monday").first()


def _blocks_of(plan: WeekPlan | None) -> list[Block]:
    if plan is None:
        return []
    return list(Block.objects.to_do().filter(plan=plan).select_related("plan").prefetch_related("balls"))


def _block_json(block: Block) -> dict:
    words = ("title", "kind", "instructions", "cautions", "number_shown", "logging", "notes")
    return {
        "id": str(block.pk),
        **{name: getattr(block, name) for name in words},
        "venue": _id(block.venue_id),
        "balls": [_ball_json(ball) for ball in block.balls.all()],
    }


def _ball_json(ball: Ball) -> dict:
    words = ("n", "swing", "target_name", "target_m", "direction_deg", "elevation_m")
    return {
        "id": str(ball.pk),
        "club": str(ball.club_id),
        "target": _id(ball.target_id),
        **{name: getattr(ball, name) for name in words},
        "below": _neighbour_json(ball.below_swing, ball.below_carry_m),
        "above": _neighbour_json(ball.above_swing, ball.above_carry_m),
    }


def _neighbour_json(swing: str, carry_m: float | None) -> dict | None:
    return {"swing": swing, "carry_m": carry_m} if swing else None


def _id(pk) -> str | None:
    return None if pk is None else str(pk)


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


def _last_visit_json(player: Player) -> dict | None:
    """Return the last visit, whose choices the phone offers again; one that only holds a place is none."""
    own = Visit.objects.filter(player=player, deleted=False, revision__gt=0)
    visit = own.order_by("-started_at", "-pk").first()
    if visit is None:
        return None
    values = {name: getattr(visit, name) for name in VISIT_WORDS}
    values |= {name: _id(getattr(visit, f"{name}_id")) for name in ("venue", "tee_line", "bay")}
    started_at = visit.started_at.isoformat()
    return {"id": str(visit.uid), "revision": visit.revision, "values": values, "started_at": started_at}


def _versions_of(player: Player, blocks: list[Block]) -> dict[Block, Block]:
    """Return the blocks of which what was done counts for these blocks, each with the one it counts for.

    Beside the blocks themselves those of the versions of the week before: a coach who edits a week makes a copy of
    it, and what was done until then was not done in vain. A block that was drawn anew starts from its first ball.
    """
    versions = {block: block for block in blocks}
    if not any(block.replaces_id for block in blocks):
        return versions
    earlier = Block.objects.filter(plan__player=player, plan__monday=blocks[0].plan.monday).prefetch_related("balls")
    by_id = {block.pk: block for block in earlier}
    for block in blocks:
        asked = [_asked(ball) for ball in block.balls.all()]
        before = by_id.get(block.replaces_id)
        while before:
            if [_asked(ball) for ball in before.balls.all()] == asked:
                versions[before] = block
            before = by_id.get(before.replaces_id)
    return versions


def _balls_answering(versions: dict[Block, Block]) -> dict:
    """Return the balls of these versions, each with the ball it counts for."""
    pairs = [zip(old.balls.all(), new.balls.all(), strict=True) for old, new in versions.items()]
    return {old.pk: new.pk for balls in pairs for old, new in balls}


def _asked(ball: Ball) -> tuple:
    return ball.n, ball.club_id, ball.swing, ball.target_id, ball.target_m


def _shots_json(player: Player, answering: dict, by: User) -> list[dict]:
    """Return the shots at these balls; also those a coach set aside, for they were hit.

    The player may correct them all, a coach those that were last set on the coach's own devices.
    """
    own = player.user_id == by.pk
    shots = Shot.objects.filter(player=player, ball__in=answering, deleted=False)
    links = ("club_id", "target_id", "visit__uid")
    return [
        {
            "id": str(shot["uid"]),
            "revision": shot["revision"],
            "deleted": False,
            "hit_at": shot["hit_at"].isoformat(),
            "may_correct": own or shot["device__user"] == by.pk,
            "values": {name: shot[name] for name in VALUE_FIELDS}
            | {name.partition("_")[0]: _id(shot[name]) for name in links}
            | {"ball": str(answering[shot["ball_id"]])},
        }
        for shot in shots.in_order().values(
            "uid", "revision", "hit_at", "ball_id", "device__user", *links, *VALUE_FIELDS
        )
    ]


def _skips_json(player: Player, answering: dict) -> list[dict]:
    skips = SkippedBall.objects.filter(player=player, ball__in=answering, deleted=False)
    rows = skips.values_list("uid", "revision", "ball_id")
    return [{"id": str(uid), "revision": revision, "ball": str(answering[ball])} for uid, revision, ball in rows]


def _guesses_json(player: Player, now: datetime) -> list[dict]:
    """Return the guesses of the last day, so that an eye check goes on where it was left."""
    guesses = EyeGuess.objects.filter(player=player, deleted=False, guessed_at__gt=now - timedelta(days=1))
    return [
        {
            "id": str(guess.uid),
            "revision": guess.revision,
            "at": guess.guessed_at.isoformat(),
            "values": {"guess_m": guess.guess_m, "measured_m": guess.measured_m},
        }
        for guess in guesses.order_by("guessed_at", "pk")
    ]


def _turf_json(player: Player, now: datetime, versions: dict[Block, Block]) -> list[dict]:
    """Return the swings over turf of the last day, so that the page goes on counting."""
    swings = TurfSwing.objects.live().filter(player=player, done_at__gt=now - timedelta(days=1))
    current = {old.pk: new.pk for old, new in versions.items()}
    links = ("block_id", "club_id", "visit__uid")
    words = ("contact", "ground", "surface")
    return [
        {
            "id": str(swing["uid"]),
            "revision": swing["revision"],
            "at": swing["done_at"].isoformat(),
            "values": {name: swing[name] for name in words}
            | {name.partition("_")[0]: _id(swing[name]) for name in links}
            | {"block": _id(current.get(swing["block_id"], swing["block_id"]))},
        }
        for swing in swings.order_by("done_at", "pk").values("uid", "revision", "done_at", *links, *words)
    ]


def _tallies_json(player: Player, versions: dict[Block, Block]) -> list[dict]:
    """Return what was remembered of these blocks."""
    current = {old.pk: new.pk for old, new in versions.items()}
    counts = ("balls", "on", "long", "short", "mishits")
    tallies = BlockTally.objects.live().filter(player=player, block__in=current)
    return [
        {
            "id": str(tally["uid"]),
            "revision": tally["revision"],
            "at": tally["done_at"].isoformat(),
            "values": {name: tally[name] for name in counts}
            | {"block": str(current[tally["block_id"]]), "visit": _id(tally["visit__uid"])},
        }
        for tally in tallies.order_by("done_at", "pk").values(
            "uid", "revision", "done_at", "block_id", "visit__uid", *counts
        )
    ]
