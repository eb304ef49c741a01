"""The drills that an academy starts with."""

from django.db import transaction

from practice.accounts.models import Academy
from practice.drills.kinds import KINDS
from practice.drills.models import Drill


@transaction.atomic
def add_default_drills(academy: Academy) -> None:
    """Give the academy a drill of each kind that it never had, with that kind's own words; its others stay as they are.

    There is none of the kind "own": such a drill the academy makes.
    """
    # One at a time, or two coaches who look at once would both add them.
    Academy.objects.select_for_update().get(pk=academy.pk)
    drills = list(Drill.objects.filter(academy=academy).values_list("kind", "title"))
    kinds, titles = ({drill[place] for drill in drills} for place in (0, 1))
    for kind, words in KINDS.items():
        if kind not in {*kinds, "own"}:
            Drill.objects.create(
                academy=academy,
                kind=kind,
                title=f"{words.title} (2)" if words.title in titles else words.title,
                instructions=words.instructions,
                cautions=words.cautions,
            )
