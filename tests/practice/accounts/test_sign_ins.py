"""Whose sign-in a request comes with, read by statements that are made once."""

from datetime import timedelta

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.urls import reverse
from django.utils import timezone

from practice.accounts.models import User
from tests.make import make_academy, make_player

pytestmark = pytest.mark.django_db


@pytest.fixture
def user(client) -> User:
    user = make_player(make_academy(), "Ada Brook", signs_in=True).user
    client.force_login(user)
    return user


def answers(client) -> int:
    return client.get(reverse("practice_sessions:me"), headers={"Accept": "application/json"}).status_code


def test_a_sign_in_holds_until_its_last_moment(client, user):
    sessions = Session.objects.filter(session_key=client.session.session_key)
    sessions.update(expire_date=timezone.now() + timedelta(minutes=1))
    assert answers(client) == 200
    sessions.update(expire_date=timezone.now() - timedelta(seconds=1))
    assert answers(client) == 401


def test_a_user_who_is_closed_or_gone_has_no_sign_in(client, user):
    users = User.objects.filter(pk=user.pk)
    users.update(is_active=False)
    assert answers(client) == 401
    users.update(is_active=True)
    client.force_login(user)
    assert answers(client) == 200
    users.delete()
    assert answers(client) == 401


def test_a_cookie_that_names_no_session_is_a_strangers(client, user):
    client.cookies[settings.SESSION_COOKIE_NAME] = "never-given-out-to-anybody"
    assert answers(client) == 401


def test_what_a_sign_in_holds_is_what_was_last_kept(client, user):
    for device in ("first", "second", "first"):
        session = client.session
        session["device"] = device
        session.save()
        assert client.get(reverse("practice_sessions:me")).json()["device"] == device


def test_what_one_request_does_to_what_it_read_no_other_reads(client, user):
    own, key = client.session, client.session.session_key
    own["seen"] = [1]
    own.save()
    type(own)(key)["seen"].append(2)
    assert type(own)(key)["seen"] == [1]


def test_a_sign_in_that_the_server_did_not_sign_is_nobodys(client, user, caplog):
    assert answers(client) == 200
    sessions = Session.objects.filter(session_key=client.session.session_key)
    data = sessions.get().session_data
    sessions.update(session_data=data[:-1] + ("A" if data[-1] != "A" else "B"))
    assert answers(client) == 401
    assert "Session data corrupted" in caplog.text


def test_a_sign_in_signed_with_another_secret_is_nobodys(client, user, settings):
    assert answers(client) == 200
    settings.SECRET_KEY = "x" * 50
    assert answers(client) == 401


def test_a_signature_is_checked_once(client, user, monkeypatch):
    assert answers(client) == 200
    monkeypatch.setattr("django.core.signing.loads", lambda *args, **kwargs: pytest.fail("checked again"))
    assert answers(client) == 200
