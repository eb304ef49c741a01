"""What changes more than one row of a range."""

from django.db import transaction
from django.utils.text import slugify

from practice.accounts.models import Academy
from practice.venues.models import TeeLine, Venue


@transaction.atomic
def add_venue(*, academy: Academy, name: str, is_default: bool, tee_line: str, **facts) -> Venue:
    """Add a range with its first tee line; an academy's first range is its usual one."""
    venue = Venue.objects.create(academy=academy, name=name, slug=_free_slug(academy, name), **facts)
    TeeLine.objects.create(venue=venue, name=tee_line)
    if is_default or Venue.objects.default_of(academy) is None:
        make_default(venue=venue)
    return venue


@transaction.atomic
def change_venue(*, venue: Venue, is_default: bool) -> None:
    """Store a range's facts; as the usual range it takes the place of the one before."""
    facts = {name: getattr(venue, name) for name in ("name", "time_zone", "bucket_sizes")}
    Venue.objects.filter(pk=venue.pk).update(**facts)
    if is_default:
        make_default(venue=venue)
    else:
        Venue.objects.filter(pk=venue.pk).update(is_default=False)


@transaction.atomic
def make_default(*, venue: Venue) -> None:
    """Make this the academy's usual range; there is only one at a time."""
    Venue.objects.filter(academy=venue.academy_id, is_default=True).exclude(pk=venue.pk).update(is_default=False)
    Venue.objects.filter(pk=venue.pk).update(is_default=True)


def _free_slug(academy: Academy, name: str) -> str:
    """Return a slug made of the name that no range of the academy has."""
    stem = slugify(name)[:70] or "range"
    taken = {Venue.ELSEWHERE, *Venue.objects.filter(academy=academy).values_list("slug", flat=True)}
    numbered = (stem, *(f"{stem}-{number}" for number in range(2, len(taken) + 3)))
    return next(slug for slug in numbered if slug not in taken)
