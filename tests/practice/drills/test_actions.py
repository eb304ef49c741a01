"""The drills that an academy starts with."""

import pytest

from practice.drills.actions import add_default_drills
from practice.drills.kinds import KINDS
from practice.drills.models import Drill
from tests import make

pytestmark = pytest.mark.django_db


def test_an_academy_is_given_one_drill_of_each_kind_with_that_kinds_words():
    academy = make.make_academy()
    for _ in range(2):
        add_default_drills(academy)
    drills = {drill.kind: drill for drill in Drill.objects.all()}
    assert drills.keys() == KINDS.keys()
    assert len(drills) == Drill.objects.count()
    for kind, drill in drills.items():
        assert (drill.title, drill.cautions) == (KINDS[kind].title, KINDS[kind].cautions)
        assert drill.parameters == {name: default for name, (_, default) in KINDS[kind].parameters.items()}


def test_a_drill_of_the_academys_own_is_left_as_it_is():
    academy = make.make_academy()
    own = Drill.objects.create(academy=academy, kind="carry_test", title="Our test")
    add_default_drills(academy)
    assert list(Drill.objects.filter(academy=academy, kind="carry_test")) == [own]
