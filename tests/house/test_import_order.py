"""Imports point one way; and the check that says so bites."""

import pytest

from tests.house import import_order
from tests.house.import_order import faults, faults_in, imports_of, modules

KNOWN = frozenset(
    {
        "analytics.pages.figures",
        "analytics.metrics.scores",
        "analytics.reports",
        "practice.accounts.models",
        "practice.players.models",
        "practice.planner.generator",
        "practice.sessions.models",
    }
)


def faults_of(module, source):
    return faults_in(module, source, known=KNOWN, path="example.py")


def test_every_module_imports_its_own_layer_or_a_lower_one():
    assert not faults(), "\n" + "\n".join(faults())


def test_the_listed_exceptions_still_exist():
    assert set(import_order.LAZY) <= set(modules())


@pytest.mark.parametrize(
    ("module", "source", "why"),
    [
        ("analytics.metrics.scores", "import django.db", "a pure module"),
        ("analytics.metrics.scores", "from practice.units import YARD_M", "a pure module"),
        ("practice.planner.generator", "import plotly", "a pure module"),
        ("practice.planner.generator", "from practice.planner import models", "a pure module"),
        ("practice.players.models", "from practice.sessions.models import Shot", "(a later part)"),
        ("practice.players.models", "from practice.sessions import models", "(a later part)"),
        ("practice.players.models", "from ..sessions.models import Shot", "(a later part)"),
        ("practice.players.models", "from analytics import reports", "layer 3 from layer 2"),
        ("practice.players.models", "from practice.players.views import show", "layer 4 from layer 2"),
        ("practice.players.models", "def f():\n    import practice.accounts.models", "only for the weight"),
        ("analytics.reports", "from analytics.views import page", "layer 4 from layer 3"),
        ("analytics.reports", "from analytics.pages import figures", "a later part"),
        ("analytics.reports", "import plotly.graph_objects", "only analytics.pages.figures"),
        ("practice.planner.views", "from analytics.reports import page", "inside the function"),
        ("practice.venues.views", "def show():\n    from analytics import reports", "not in LAZY"),
        ("practice.sessions.sync", "def f():\n    from analytics import reports", "layer 3 from layer 2"),
        ("practice.accounts.views", "def f():\n    from analytics import reports", "stay light"),
        ("practice.cleverness", "", "has no layer"),
        ("analytics.cleverness", "", "has no layer"),
    ],
)
def test_the_check_finds(module, source, why):
    (fault,) = faults_of(module, source)
    assert why in fault
    assert fault.startswith("example.py")


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("analytics.metrics.trend", "import numpy as np\nfrom analytics.metrics.scores import score"),
        ("analytics.metrics.trend", "from .scores import score"),
        (
            "practice.sessions.actions",
            "from practice.accounts.models import User\nfrom . import models",
        ),
        ("practice.planner.actions", "from practice.planner import generator"),
        ("analytics.pages.figures", "import plotly.graph_objects"),
        ("analytics.pages.dashboard", "from analytics import reports"),
        ("practice.urls", "from practice.accounts.views import home"),
        ("practice.players.models", "def f():\n    import json"),
    ],
)
def test_the_check_lets_pass(module, source):
    assert faults_of(module, source) == []


def test_a_listed_edge_may_import_layer_3_inside_a_function(monkeypatch):
    monkeypatch.setattr(import_order, "LAZY", ("practice.planner.views",))
    assert faults_of("practice.planner.views", "def show():\n    from analytics import reports") == []
    assert faults_of("practice.planner.views", "from analytics import reports") != []


def test_relative_imports_of_a_package_start_at_the_package_itself():
    source = "from .scores import score\nfrom .. import reports"
    found = imports_of("analytics.metrics", source, known=KNOWN, is_package=True)
    assert [each.module for each in found] == ["analytics.metrics.scores", "analytics.reports"]
