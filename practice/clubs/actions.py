"""What changes a club together with what is known of it."""

from datetime import date, timedelta

from django.db import transaction

from practice.clubs.models import BagReview, Club, ClubKind, ClubSetup, GrooveLook, LoftReading, StatedCarry
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


def asked_clubs(player: Player) -> list[Club]:
    """Return the carried clubs whose lofts and stock carries are asked for, by loft: wedges, else no putter."""
    bag = sorted(Club.objects.filter(player=player).for_pitching().with_setups(), key=Club.loft_key)
    return [club for club in bag if club.kind == ClubKind.WEDGE] or bag


def unread_clubs(clubs: list[Club], *, today: date, days: int) -> list[Club]:
    """Return those of the clubs of which, as they are set up now, no loft was read in the last days."""
    setups = [club.setup_now.pk for club in clubs]
    read = LoftReading.objects.filter(setup__in=setups, measured_on__gt=today - timedelta(days=days))
    known = set(read.values_list("setup", flat=True))
    return [club for club in clubs if club.setup_now.pk not in known]


@transaction.atomic
def review_bag(
    *, player: Player, today: date, by, lofts_deg: dict[Club, float], grooves: dict[Club, str], **facts
) -> BagReview:
    """Store a look through the bag, its loft readings and its grooves; again on the same day changes that look.

    The player is fetched with the academy; `facts` are the review's gaps_looked_at and notes.
    """
    for club, loft_deg in lofts_deg.items():
        reading = {"loft_deg": loft_deg, "measured_on": today}
        club.setup_on(today).readings.get_or_create(**reading, defaults={"made_by": by})
    clubs = asked_clubs(player)
    unread = unread_clubs(clubs, today=today, days=player.academy.bag_review_days)
    facts |= {"done_by": by, "lofts_checked": bool(clubs) and not unread}
    review, _ = BagReview.objects.update_or_create(player=player, done_on=today, defaults=facts)
    review.groove_looks.all().delete()
    GrooveLook.objects.bulk_create(GrooveLook(review=review, club=club, grooves=look) for club, look in grooves.items())
    return review
