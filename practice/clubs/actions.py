"""What changes a club together with what is known of it."""

from datetime import date

from django.db import transaction

from practice.clubs.models import Club, ClubSetup, StatedCarry
from practice.players.models import Player


@transaction.atomic
def add_club(*, player: Player, loft_deg: float | None, bounce_deg: float | None, **facts) -> Club:
    """Add a club with its first setup, which is open to the past."""
    club = Club.objects.create(player=player, **facts)
    ClubSetup.objects.create(club=club, loft_deg=loft_deg, bounce_deg=bounce_deg)
    return club


@transaction.atomic
def state_carries(*, club: Club, carries_m: dict[str, float | None], stated_by, stated_on: date) -> None:
    """State a club's carry for each swing, in metres; None takes the statement back."""
    held = {stated.swing: stated.carry_m for stated in club.stated_carries.all()}
    for swing, carry_m in carries_m.items():
        if carry_m is None:
            club.stated_carries.filter(swing=swing).delete()
        elif held.get(swing) != carry_m:
            facts = {"carry_m": carry_m, "stated_by": stated_by, "stated_on": stated_on}
            StatedCarry.objects.update_or_create(club=club, swing=swing, defaults=facts)
