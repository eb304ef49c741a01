"""Where a block can be hit: a whole tee line, or one bay with the arc that it allows."""

from dataclasses import dataclass

from django.db.models import Prefetch

from practice.accounts.models import Academy
from practice.venues.models import Bay, Target, TeeLine, Venue


@dataclass(frozen=True)
class Place:
    """A tee line of a range, narrowed to one bay's arc where a bay is chosen."""

    venue: Venue
    tee_line: TeeLine
    bay: Bay | None = None

    @property
    def code(self) -> str:
        """What a form sends for this place."""
        return str((self.bay or self.tee_line).pk)

    @property
    def name(self) -> str:
        words = f"{self.venue.name}, {self.tee_line.name}"
        return f"{words}, {self.bay.name}" if self.bay else words

    def targets(self):
        """Return the targets that may be hit at from here, nearest first."""
        targets = Target.objects.in_use().filter(tee_line=self.tee_line)
        return targets.inside(self.bay) if self.bay else targets


def places_of(academy: Academy) -> list[Place]:
    """Return every place of the academy's ranges, the default range first, each line before its bays."""
    lines = TeeLine.objects.prefetch_related(Prefetch("bays", Bay.objects.order_by("name")))
    venues = Venue.objects.in_use().filter(academy=academy).prefetch_related(Prefetch("tee_lines", lines))
    return [
        Place(venue, line, bay)
        for venue in venues
        for line in venue.tee_lines.all()
        for bay in (None, *line.bays.all())
    ]
