"""What a player remembers of a block."""

from practice.drills.kinds import MAX_BALLS, whole_number
from practice.sessions.checks import identifier
from practice.sessions.items.in_session import SessionKind
from practice.sessions.items.kind import Rejected
from practice.sessions.models import BlockTally

RESULTS = ("on", "long", "short", "mishits")


class TallyKind(SessionKind):
    """How many balls of a block went where, counted at its end; the rest was not seen."""

    model = BlockTally
    schema = {
        **dict.fromkeys(("block", "visit"), identifier),
        "balls": whole_number(1, MAX_BALLS),
        **dict.fromkeys(RESULTS, whole_number(0, MAX_BALLS)),
    }
    required = ("block", "balls", *RESULTS)

    def entry(self, item):
        counts = {name: item.values[name] for name in ("balls", *RESULTS)}
        if item.values["block"] not in self.blocks:
            raise Rejected("This block is not in your plan any more. Load the plan again.", "unknown block")
        seen = sum(counts[name] for name in RESULTS)
        if seen > counts["balls"]:
            told = f"you counted {seen} balls on, long, short or mishit, and hit {counts['balls']}"
            raise Rejected(f"Correct this count: {told}.", "more than were hit")
        return self.entry_of(item, **counts)
