"""A stay at a range."""

from practice.sessions.actions import resettle_visits
from practice.sessions.checks import identifier, number_within, one_of, text
from practice.sessions.items.kind import LatestKind, Rejected
from practice.sessions.models import Visit
from practice.sessions.values import PhoneEntry
from practice.sessions.words import BallType, MeasuredBy, Setting, Stand, Surface, Wind, WindFrom
from practice.statements import Statement
from practice.venues.models import Bay, TeeLine, Venue

PLACES = {
    "venue": Statement(lambda academy, venues: Venue.objects.filter(pk__in=venues, academy=academy)),
    "tee_line": Statement(lambda academy, lines: TeeLine.objects.filter(pk__in=lines, academy=academy)),
    "bay": Statement(lambda academy, bays: Bay.objects.filter(pk__in=bays, academy=academy)),
}


class VisitKind(LatestKind):
    """A stay at a range. A later revision moves along what was done on it."""

    model = Visit
    schema = {
        "venue": identifier,
        "tee_line": identifier,
        "bay": identifier,
        "setting": one_of(Setting.values),
        "label": text(40),
        "stand": one_of(Stand.values),
        "offset_m": number_within(-50, 50),
        "measured_by": one_of(MeasuredBy.values),
        "resolution_m": number_within(0, 50),
        "ball_type": one_of(["", *BallType.values]),
        "surface": one_of(["", *Surface.values]),
        "wind": one_of(["", *Wind.values]),
        "wind_from": one_of(["", *WindFrom.values]),
    }
    required = ("venue",)
    rows = ("venue", "tee_line", "bay")
    defaults = {name: Visit._meta.get_field(name).get_default() for name in schema.keys() - {*rows}}

    def __init__(self, delivery, items):
        super().__init__(delivery, items)
        academy = delivery.player.academy_id
        self.venues, self.tee_lines, self.bays = (self.named(PLACES[name], academy, name) for name in self.rows)

    def entry(self, item):
        venue = self.venues.get(item.values["venue"])
        if venue is None:
            raise Rejected("This range is not on your academy's list any more. Choose another one.", "unknown venue")
        # A line or bay that the coach removed meanwhile is no reason to lose the visit.
        tee_line = self.tee_lines.get(item.values.get("tee_line"))
        if tee_line and tee_line.venue_id != venue.pk:
            tee_line = None
        bay = self.bays.get(item.values.get("bay"))
        if bay and (tee_line is None or bay.tee_line_id != tee_line.pk):
            bay = None
        rows = {"venue": venue, "tee_line": tee_line, "bay": bay}
        started_at = item.happened_at(self.delivery.received_at)
        values = self.defaults | item.values | rows | {"started_at": started_at}
        return PhoneEntry(**self.delivery.envelope(item), values=values)

    def store(self, entries):
        answers = super().store(entries)
        resettle_visits(player=self.player, uids={entry.uid for entry in entries})
        return answers
