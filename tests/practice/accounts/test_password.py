"""Setting one's own password."""

import pytest
from django.test import Client
from django.urls import reverse

from practice.accounts.models import Device
from tests import make

pytestmark = pytest.mark.django_db
NEW = {"new_password1": "another long one", "new_password2": "another long one"}


@pytest.fixture
def coach():
    return make.make_staff(make.make_academy(), password=make.PASSWORD)


def signed_in(user) -> Client:
    client = Client()
    client.post(reverse("accounts:sign_in"), {"email": user.email, "password": make.PASSWORD})
    return client


def test_a_new_password_ends_every_other_sign_in_and_keeps_this_one(coach):
    here, elsewhere = signed_in(coach), signed_in(coach)
    assert here.post(reverse("accounts:password"), {"old_password": make.PASSWORD, **NEW}).status_code == 302
    assert here.get(reverse("accounts:devices")).status_code == 200
    assert elsewhere.get(reverse("accounts:devices")).status_code == 302
    device = Device.objects.signed_in().get()
    assert (str(device.pk), device.session_key) == (here.session["device"], here.session.session_key)
    coach.refresh_from_db()
    assert coach.check_password("another long one")


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"old_password": "not this", **NEW}, "old password was entered incorrectly"),
        ({"old_password": make.PASSWORD, **NEW, "new_password2": "typed otherwise"}, "match"),
        ({"old_password": make.PASSWORD, "new_password1": "short", "new_password2": "short"}, "too short"),
    ],
)
def test_a_fault_is_told_and_changes_nothing(coach, sent, words):
    response = signed_in(coach).post(reverse("accounts:password"), sent)
    assert response.status_code == 422
    assert words in response.content.decode()
    coach.refresh_from_db()
    assert coach.check_password(make.PASSWORD)


def test_a_coach_who_came_by_a_code_sets_the_first_password_without_an_old_one():
    coach = make.make_staff(make.make_academy())
    client = Client()
    client.force_login(coach)
    assert client.post(reverse("accounts:password"), NEW).status_code == 302
    coach.refresh_from_db()
    assert coach.check_password("another long one")
