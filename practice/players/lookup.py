"""The academy and the player that a command names by slug."""

from difflib import get_close_matches

from django.core.management.base import CommandError, CommandParser
from django.db import connection

from practice.accounts.models import Academy
from practice.players.models import Player


def add_academy_argument(parser: CommandParser) -> None:
    """Give a command the option that tells two academies apart."""
    parser.add_argument("--academy", metavar="SLUG", help="needed only if a slug is in two academies")


def find_player(slug: str, academy: str | None = None) -> Player:
    """Return the player with this slug, or raise CommandError with what to do.

    Parameters
    ----------
    slug
        The player's slug.
    academy
        The academy's slug; needed only where two academies have a player of this slug.
    """
    check_tables()
    among = Player.objects.select_related("academy")
    if academy:
        among = among.filter(academy=find_academy(academy))
    found = list(among.filter(slug=slug).order_by("academy__slug"))
    if not found:
        raise CommandError(f"There is no player {slug!r}.{suggestion(slug, among.values_list('slug', flat=True))}")
    if len(found) > 1:
        slugs = ", ".join(player.academy.slug for player in found)
        raise CommandError(f"There is a player {slug!r} in more than one academy; add --academy with one of: {slugs}.")
    return found[0]


def find_academy(slug: str | None = None) -> Academy:
    """Return the academy with this slug, or the only one there is, or raise CommandError with what to do."""
    check_tables()
    every = {academy.slug: academy for academy in Academy.objects.order_by("slug")}
    if not every:
        raise CommandError(
            "There is no academy yet. Make yours with `manage.py add_academy`, or look around with `manage.py demo`."
        )
    if slug is None and len(every) > 1:
        raise CommandError(f"There is more than one academy; add --academy with one of: {', '.join(every)}.")
    if slug is not None and slug not in every:
        raise CommandError(f"There is no academy {slug!r}; there is: {', '.join(every)}.")
    return every[slug] if slug else next(iter(every.values()))


def check_tables() -> None:
    """Raise CommandError where the database was never migrated."""
    if Academy._meta.db_table not in connection.introspection.table_names():
        raise CommandError("The database is empty. Run `python manage.py migrate` or `python manage.py demo` first.")


def suggestion(slug: str, known) -> str:
    """Return a hint at slugs that look like the one given."""
    close = get_close_matches(slug, known, n=3)
    return f" Did you mean {' or '.join(close)}?" if close else ""
