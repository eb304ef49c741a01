"""What a block came to."""

from practice.drills.kinds import MAX_BALLS, whole_number, yes_or_no
from practice.sessions.checks import identifier, numbers_within
from practice.sessions.items.in_session import SessionKind
from practice.sessions.items.kind import Rejected
from practice.sessions.models import BlockOutcome

count = whole_number(0, MAX_BALLS)


class OutcomeKind(SessionKind):
    """How many balls were hit in a block, or beside the plan, and one answer. Never kept out for what it names."""

    model = BlockOutcome
    schema = {
        **dict.fromkeys(("block", "visit"), identifier),
        **dict.fromkeys(("balls", "made", "best_run"), count),
        "yes": yes_or_no,
        "leaves_m": numbers_within(0, 100, most=MAX_BALLS),
    }
    required = ("balls",)

    def entry(self, item):
        given = item.values
        answers = {name: given.get(name) for name in ("made", "best_run", "yes", "leaves_m")}
        told = {"made": answers["made"], "in a row": answers["best_run"], "distances": len(answers["leaves_m"] or [])}
        for what, counted in told.items():
            if counted and counted > given["balls"]:
                raise Rejected(
                    f"Correct this count: {counted} {what} of {given['balls']} balls hit.", "more than were hit"
                )
        return self.entry_of(item, balls=given["balls"], **answers)
