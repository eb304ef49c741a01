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
