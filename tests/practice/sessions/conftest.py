import pytest

from tests import make
from tests.practice.sessions.stage import Stage, make_stage


@pytest.fixture
def stage(db) -> Stage:
    return make_stage(make.make_academy())
