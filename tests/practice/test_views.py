"""The litany of every view, and a walk over all addresses. The rows stand in each app's litany.py."""

from uuid import UUID

import pytest
from django.test import Client
from django.urls import URLPattern, reverse

from practice.ids import uuid7
from tests.practice.litany import METHODS, ROLES, all_rows, make_cast, views
from tests.practice.policy import policy_faults

PUBLIC = {
    "accounts:sign_in": "where people sign in",
    "accounts:sign_out": "sent again, it must end at the same page as the first time",
    "accounts:enter": "a player with a link has no other sign-in; it shows a name to holders of an open link only",
    "planner:feed": "a calendar program signs in nowhere: the secret address opens titles and days of a plan only",
    "practice_sessions:worker": "the worker that keeps the phone's page, without data like the page",
    "practice_sessions:shell": "the phone's page, without data, so that it opens with no signal",
}
"""The views that answer somebody who is not signed in, and why."""

ROWS = all_rows()
pytestmark = pytest.mark.django_db


def somewhere(name: str, pattern: URLPattern) -> str:
    """Return an address of this view with made-up ids."""
    converters = pattern.pattern.converters
    return reverse(name, kwargs={key: uuid7() if "UUID" in type(c).__name__ else "x" for key, c in converters.items()})


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("row", ROWS, ids=str)
def test_each_of_the_cast_gets_the_answer_that_the_row_names_under_a_strict_policy(row, role):
    cast = make_cast()
    address = row.address(cast)
    response = row.ask(cast.client(role), address, row.data(cast))
    assert response.status_code == row.status_for(role)
    assert policy_faults(response) == []


@pytest.mark.parametrize("row", [row for row in ROWS if row.works < 400], ids=str)
def test_an_id_of_nothing_is_a_404(row):
    cast = make_cast()
    address = row.address(cast)
    for part in address.keys() - set(row.forgiven):
        wrong = {**address, part: uuid7() if isinstance(address[part], UUID) else "nonsense"}
        assert row.ask(cast.client("owner"), wrong, row.data(cast)).status_code == 404, part


@pytest.mark.parametrize("view", sorted({row.view for row in ROWS}))
def test_a_wrong_method_is_a_405(view):
    cast = make_cast()
    rows = [row for row in ROWS if row.view == view]
    address = rows[0].address(cast)
    for method in set(METHODS) - {row.method for row in rows}:
        response = rows[0].ask(cast.client("owner"), address, {}, method=method)
        assert response.status_code == 405, method


def test_every_view_has_its_rows_in_a_litany():
    assert {name for name, _ in views()} - {row.view for row in ROWS} == set()


@pytest.mark.parametrize(("name", "pattern"), [pytest.param(*view, id=view[0]) for view in views()])
def test_only_the_views_on_the_short_list_answer_somebody_who_is_not_signed_in(name, pattern):
    page = Client().get(somewhere(name, pattern))
    script = Client().get(somewhere(name, pattern), headers={"Accept": "application/json"})
    turned_away = page.status_code == 302 and page.url.startswith(reverse("accounts:sign_in"))
    assert turned_away == (script.status_code == 401) == (name not in PUBLIC)


def test_the_short_list_names_no_view_that_is_gone():
    assert PUBLIC.keys() <= {name for name, _ in views()}
