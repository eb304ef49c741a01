"""Who the pages are about: a player who reads metres, at a range of the academy."""

import pytest

from tests import make


@pytest.fixture
def academy():
    return make.make_academy(distance_unit="m")


@pytest.fixture
def player(academy):
    return make.make_player(academy, "Pat Moor", signs_in=True)


@pytest.fixture
def venue(academy):
    return make.make_range(academy)
