"""The command with which an operator starts: an academy and its owner."""

import io

import pytest
from django.core.management import CommandError, call_command

from practice.accounts.models import Academy, Membership, Role, User
from practice.drills.models import Drill
from tests.make import PASSWORD, make_academy, make_user

pytestmark = pytest.mark.django_db
OWNER = ["--owner-name", "Sam Reed", "--owner-email", "Sam@Example.org"]


@pytest.fixture(autouse=True)
def typed(monkeypatch):
    """Type a password that is not shown."""
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{PASSWORD}\n"))


def test_an_academy_is_made_with_an_owner_who_can_sign_in_and_drills_to_start_with():
    call_command("add_academy", "Dune Academy", *OWNER, "--time-zone", "Europe/Oslo", stdout=io.StringIO())
    academy = Academy.objects.get(slug="dune-academy")
    owner = Membership.objects.get(academy=academy, role=Role.OWNER).user
    assert (academy.time_zone, owner.email) == ("Europe/Oslo", "sam@example.org")
    assert owner.check_password(PASSWORD)
    assert Drill.objects.filter(academy=academy).exists()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"name": "Links"}, "There is an academy 'links' already"),
        ({"name": "?"}, "at least one letter or digit"),
        ({"time_zone": "Moon/Base"}, "is not a time zone"),
        ({"owner_email": "nobody"}, "valid email"),
        ({"owner_email": "Taken@example.org"}, "the e-mail of another account"),
        ({"password": "short"}, "too short"),
    ],
)
def test_a_fault_is_told_and_nothing_is_made(change, says, monkeypatch):
    make_academy(slug="links")
    make_user(email="taken@example.org")
    if password := change.pop("password", None):
        monkeypatch.setattr("sys.stdin", io.StringIO(password))
    given = {"name": "Dune Academy", "owner_name": "Sam Reed", "owner_email": "sam@example.org"} | change
    with pytest.raises(CommandError, match=says):
        call_command("add_academy", given.pop("name"), stdout=io.StringIO(), **given)
    assert (Academy.objects.count(), User.objects.count()) == (1, 1)
