"""The drills that an academy starts with."""

from django.db import transaction

from practice.accounts.models import Academy
from practice.drills.kinds import KINDS
from practice.drills.models import Drill


def drills_of(academy: Academy) -> list[Drill]:
    """Return all of an academy's drills, in the order of kinds and titles; what it never had of the defaults is added.

    So an academy is given a kind that came with a later version when somebody looks.
    """
    drills = Drill.objects.filter(academy=academy).order_by("title")
    if KINDS.keys() - {"own"} - {drill.kind for drill in drills}:
        add_default_drills(academy)
        drills = drills.all()
    kinds = list(KINDS)
    return sorted(drills, key=lambda drill: kinds.index(drill.kind))


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
