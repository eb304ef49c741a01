"""The drills that an academy starts with."""

import pytest
from django.utils import timezone

from practice.drills.actions import add_default_drills
from practice.drills.kinds import KINDS
from practice.drills.models import Drill
from tests import make

pytestmark = pytest.mark.django_db


def test_an_academy_is_given_one_drill_of_each_kind_but_its_own_with_that_kinds_words():
    academy = make.make_academy()
    for _ in range(2):
        add_default_drills(academy)
    drills = {drill.kind: drill for drill in Drill.objects.all()}
    assert drills.keys() == KINDS.keys() - {"own"}
    assert len(drills) == Drill.objects.count()
    for kind, drill in drills.items():
        assert (drill.title, drill.cautions) == (KINDS[kind].title, KINDS[kind].cautions)
        assert drill.parameters == {name: default for name, (_, default) in KINDS[kind].parameters.items()}


def test_a_drill_of_the_academys_own_is_left_as_it_is():
    academy = make.make_academy()
    own = Drill.objects.create(academy=academy, kind="carry_test", title="Our test")
    add_default_drills(academy)
    assert list(Drill.objects.filter(academy=academy, kind="carry_test")) == [own]


def test_a_kind_that_the_academy_put_away_does_not_come_back():
    academy = make.make_academy()
    Drill.objects.create(academy=academy, kind="ladder", title="Ours", archived_at=timezone.now())
    add_default_drills(academy)
    assert not Drill.objects.in_use().filter(kind="ladder").exists()


def test_a_title_that_the_academy_uses_already_gets_a_number():
    academy = make.make_academy()
    Drill.objects.create(academy=academy, kind="free", title="Ladder")
    add_default_drills(academy)
    assert Drill.objects.get(academy=academy, kind="ladder").title == "Ladder (2)"
