"""The drills that an academy starts with."""

from django.db import transaction

from practice.accounts.models import Academy
from practice.drills.kinds import KINDS
from practice.drills.models import Drill


@transaction.atomic
def add_default_drills(academy: Academy) -> None:
    """Give the academy one drill of each kind with that kind's own words; what it has already stays as it is."""
    for kind, words in KINDS.items():
        if not Drill.objects.filter(academy=academy, kind=kind).exists():
            Drill.objects.create(
                academy=academy,
                kind=kind,
                title=words.title,
                instructions=words.instructions,
                cautions=words.cautions,
            )
