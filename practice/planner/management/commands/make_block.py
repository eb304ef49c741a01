"""Print a random-target block without storing it."""

import json

from django.core.management.base import BaseCommand, CommandError

from practice.drills.kinds import MAX_BALLS
from practice.planner.generator import GeneratorError, TargetOption, draw_block
from practice.planner.recipes import notes_on_give
from practice.players.lookup import find_player
from practice.players.models import Player
from practice.venues.models import Target, TeeLine, Venue


class Command(BaseCommand):
    help = "Print a random-target block for a player as JSON; nothing is stored."

    def add_arguments(self, parser):
        parser.add_argument("--player", required=True, metavar="SLUG")
        parser.add_argument("--academy", metavar="SLUG", help="needed only if two academies have such a player")
        parser.add_argument("--balls", type=int, required=True, metavar="N", help=f"1 to {MAX_BALLS}")
        parser.add_argument("--seed", type=int, required=True, metavar="S")
        parser.add_argument("--venue", metavar="SLUG", help="the academy's default range unless given")
        parser.add_argument("--tee-line", metavar="NAME", help="the range's first by name unless given")
        parser.add_argument("--hidden", action="store_true", help="do not show the player the distance")
        parser.add_argument("--format", choices=["json"], default="json")

    def handle(self, **options):
        from analytics.reach import reach_of_bag

        if not 1 <= options["balls"] <= MAX_BALLS:
            raise CommandError(f"--balls must be from 1 to {MAX_BALLS}.")
        player = find_player(options["player"], options["academy"])
        line = the_tee_line(player, options["venue"], options["tee_line"])
        bag = reach_of_bag(player, full_swings=True)
        clubs = [bagged.reach for bagged in bag if bagged.reach]
        if not clubs:
            raise CommandError(
                f"No carry is known for any club of {player}: run a carry test, or state a carry in the bag first."
            )
        targets, unknown = the_targets(line)
        try:
            drawn = draw_block(
                clubs, targets, balls=options["balls"], seed=options["seed"], number_shown=not options["hidden"]
            )
        except GeneratorError as fault:
            raise CommandError(str(fault)) from None
        notes = [f"No carry is known for the club “{b.club.label}”: it is left out." for b in bag if not b.reach]
        notes += [f"The distance of the target “{name}” is not known: it is left out." for name in unknown]
        notes += notes_on_give(bag, drawn)
        self.stdout.write(
            json.dumps(as_json(player, line.venue, drawn, notes), indent=2, allow_nan=False, ensure_ascii=False)
        )


def as_json(player: Player, venue: Venue, drawn, notes: list[str]) -> dict:
    """Return a drawn block as the command prints it."""
    return {
        "player": player.slug,
        "venue": venue.slug,
        "seed": drawn.seed,
        "algorithm": drawn.algorithm,
        "inputs_sha256": drawn.inputs_sha256,
        "notes": [*notes, *drawn.notes],
        "balls": [
            {"n": ball.n, "club": ball.club, "swing": ball.swing, "target": ball.target, "target_m": ball.target_m}
            for ball in drawn.balls
        ],
    }


def the_tee_line(player: Player, venue: str | None, name: str | None) -> TeeLine:
    """Return the tee line that is hit from."""
    ranges = Venue.objects.in_use().filter(academy=player.academy)
    found = ranges.filter(slug=venue) if venue else ranges.filter(is_default=True)
    if not (chosen := found.first()):
        known = ", ".join(ranges.values_list("slug", flat=True)) or "none yet"
        wanted = f"There is no range {venue!r}" if venue else "The academy has no default range"
        raise CommandError(f"{wanted}; name one with --venue SLUG. Ranges: {known}.")
    lines = chosen.tee_lines.order_by("name")
    line = lines.filter(name=name).first() if name else lines.first()
    if line is None:
        known = ", ".join(lines.values_list("name", flat=True)) or "none yet"
        raise CommandError(f"{chosen} has no tee line{f' {name!r}' if name else ''}. Tee lines: {known}.")
    return line


def the_targets(line: TeeLine) -> tuple[list[TargetOption], list[str]]:
    """Return the line's targets by distance, then name, and the names of those whose distance is not known."""
    targets = Target.objects.in_use().filter(tee_line=line)
    known = [TargetOption(target.name, target.distance_m) for target in targets if target.distance_m is not None]
    if not known:
        raise CommandError(f"{line.venue}, {line} has no target with a known distance; enter one first.")
    return known, [target.name for target in targets if target.distance_m is None]
