"""A range on the screen."""

from dataclasses import dataclass

from django.db.models import Prefetch

from practice.units import DistanceUnit
from practice.venues.forms import BayForm, TargetForm, TeeLineForm
from practice.venues.models import Bay, Target, TeeLine, Venue


@dataclass(frozen=True)
class TargetRow:
    """One target in words."""

    target: Target
    distance: str
    direction: str
    elevation: str


@dataclass(frozen=True)
class LineCard:
    """One tee line with its bays, its targets, and the forms that add to them."""

    line: TeeLine
    bays: list[Bay]
    targets: list[TargetRow]
    archived: list[Target]
    bay_form: BayForm | None
    target_form: TargetForm | None


@dataclass(frozen=True)
class VenuePage:
    """All that a range's page shows; there are no forms for those who only read."""

    venue: Venue
    lines: list[LineCard]
    line_form: TeeLineForm | None


def venue_page(venue: Venue, *, editable: bool, sent=None) -> VenuePage:
    """Return a range's page; `sent`, a form that came back with faults, stands in the place of its empty one."""
    lines = venue.tee_lines.prefetch_related(
        Prefetch("bays", Bay.objects.order_by("name")),
        Prefetch("targets", Target.objects.order_by("distance_m", "name")),
    )
    return VenuePage(
        venue=venue,
        lines=[_line_card(line, venue, sent if editable else None, editable=editable) for line in lines],
        line_form=(_sent(sent, TeeLineForm, venue) or line_form(venue)) if editable else None,
    )


def _sent(sent, kind: type, parent):
    """Return the form that was sent, where it is of this kind and about this parent."""
    about = getattr(sent, "parent", None)
    return sent if isinstance(sent, kind) and about == parent else None


def _line_card(line: TeeLine, venue: Venue, sent, *, editable: bool) -> LineCard:
    unit = DistanceUnit(venue.academy.distance_unit)
    targets = line.targets.all()
    return LineCard(
        line=line,
        bays=list(line.bays.all()),
        targets=[target_row(target, unit) for target in targets if target.archived_at is None],
        archived=[target for target in targets if target.archived_at],
        bay_form=(_sent(sent, BayForm, line) or bay_form(line)) if editable else None,
        target_form=(_sent(sent, TargetForm, line) or target_form(line)) if editable else None,
    )


def target_row(target: Target, unit: DistanceUnit) -> TargetRow:
    """Return a target in words, in the academy's unit."""
    degrees = abs(target.direction_deg)
    side = "right" if target.direction_deg > 0 else "left"
    level = abs(target.elevation_m) < 0.05
    return TargetRow(
        target=target,
        distance=unit.show(target.distance_m) if target.distance_m else "not known",
        direction=f"{degrees:.0f}° {side}" if degrees >= 0.5 else "straight ahead",
        elevation="level" if level else unit.show(target.elevation_m, digits=1, signed=True),
    )


def line_form(venue: Venue, data=None) -> TeeLineForm:
    """Return the form of a new tee line."""
    return _about(venue, TeeLineForm(data, instance=TeeLine(venue=venue), siblings=venue.tee_lines.all()))


def bay_form(line: TeeLine, data=None, *, bay: Bay | None = None) -> BayForm:
    """Return the form of a bay, new unless given."""
    siblings = Bay.objects.filter(tee_line=line)
    return _about(line, BayForm(data, instance=bay or Bay(tee_line=line), siblings=siblings))


def target_form(line: TeeLine, data=None, *, target: Target | None = None) -> TargetForm:
    """Return the form of a target, new unless given."""
    academy = line.venue.academy
    form = TargetForm(
        data,
        instance=target or Target(tee_line=line),
        siblings=Target.objects.filter(tee_line=line),
        unit=DistanceUnit(academy.distance_unit),
        today=academy.today(),
    )
    return _about(line, form)


def _about(parent, form):
    form.parent = parent
    return form
