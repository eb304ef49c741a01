"""Signing in with e-mail and password, staying signed in, and signing out."""

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from practice.accounts.models import Device
from practice.accounts.throttle import TRIES
from tests import make

pytestmark = pytest.mark.django_db
SIGN_IN = "/sign-in/"


@pytest.fixture
def coach():
    return make.make_staff(make.make_academy(), password=make.PASSWORD)


def sign_in(client: Client, email: str, password: str = make.PASSWORD, **more):
    return client.post(SIGN_IN, {"email": email, "password": password, **more})


def test_a_coach_signs_in_and_lands_on_the_roster(client, coach):
    assert sign_in(client, coach.email).url == reverse("accounts:home")
    assert client.get("/").url == reverse("players:roster")


def test_a_player_with_an_e_mail_signs_in_and_lands_on_the_phone_page(client):
    player = make.make_player(make.make_academy(), signs_in=True)
    player.user.email = "player.with.mail@example.org"
    player.user.set_password(make.PASSWORD)
    player.user.save()
    sign_in(client, player.user.email)
    assert client.get("/").url == reverse("practice_sessions:shell")


def test_the_e_mail_is_taken_without_regard_to_case(client, coach):
    assert sign_in(client, f" {coach.email.upper()} ").status_code == 302


@pytest.mark.parametrize(
    ("email", "password"), [("known", "wrong"), ("nobody@example.org", make.PASSWORD), ("", ""), ("no mail", "x")]
)
def test_a_wrong_sign_in_comes_back_with_the_form_and_keeps_the_e_mail(client, coach, email, password):
    email = coach.email if email == "known" else email
    response = sign_in(client, email, password)
    assert response.status_code == 422
    assert f'value="{email}"' in response.content.decode() or not email
    assert not Device.objects.exists()


def test_a_sign_in_leaves_a_device_that_the_session_knows(client, coach):
    agent = "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0 Mobile Safari/537.36"
    client.post(SIGN_IN, {"email": coach.email, "password": make.PASSWORD}, headers={"User-Agent": agent})
    device = Device.objects.get()
    assert (device.user, device.label) == (coach, "Phone (Chrome)")
    assert device.session_key == client.session.session_key
    assert client.session["device"] == str(device.pk)
    assert client.session["renewed_at"] <= timezone.now().timestamp()


def test_signing_in_leads_on_to_the_page_that_was_asked_for(client, coach):
    asked = client.get(reverse("players:add"))
    assert asked.url == f"{SIGN_IN}?next={reverse('players:add')}"
    assert sign_in(client, coach.email, next=reverse("players:add")).url == reverse("players:add")


@pytest.mark.parametrize(
    "elsewhere", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)", "\\\\x"]
)
def test_signing_in_never_leads_to_another_site(client, coach, elsewhere):
    assert sign_in(client, coach.email, next=elsewhere).url == reverse("accounts:home")
    assert client.get(SIGN_IN, {"next": elsewhere}).url == reverse("accounts:home")


def test_a_form_sent_after_the_sign_in_lapsed_does_not_lead_back_to_an_address_without_a_page(client):
    assert client.post(reverse("players:add")).url == SIGN_IN


def test_guessing_a_password_soon_has_to_wait_and_the_right_one_too(client, coach):
    for _ in range(TRIES):
        sign_in(client, coach.email, "a wrong password")
    response = sign_in(client, coach.email)
    assert response.status_code == 422
    assert "Wait 15 minutes" in response.content.decode()


def test_guesses_from_one_address_do_not_lock_out_another(client, coach):
    for _ in range(TRIES):
        sign_in(client, coach.email, "a wrong password")
    assert sign_in(Client(REMOTE_ADDR="192.0.2.7"), coach.email).status_code == 302


def test_a_right_password_forgets_the_wrong_tries_before_it(coach):
    for _ in range(2):
        for _ in range(TRIES - 1):
            sign_in(Client(), coach.email, "a wrong password")
        assert sign_in(Client(), coach.email).status_code == 302


def test_the_log_names_neither_the_e_mail_nor_the_password(client, coach, caplog):
    sign_in(client, coach.email, "a wrong password")
    assert "wrong e-mail or password" in caplog.text
    assert coach.email not in caplog.text
    assert "a wrong password" not in caplog.text


def test_signing_out_ends_the_device_and_may_be_sent_again(client, coach):
    sign_in(client, coach.email)
    for _ in range(2):
        assert client.post("/sign-out/").url == SIGN_IN
    assert Device.objects.get().revoked_at is not None
    assert client.get("/players/").status_code == 302
    assert not Session.objects.exists()


def test_signing_in_and_out_tells_the_phone_page_to_forget_who_was_here(client, coach):
    """It shows what the phone holds before the server is asked, so that only a cookie can tell it."""
    for answer in (sign_in(client, coach.email), client.post("/sign-out/")):
        cookie = answer.cookies["ledger_signed_out"]
        assert (cookie.value, cookie["path"], cookie["samesite"], cookie["httponly"]) == ("1", "/", "Lax", "")


def test_signing_in_as_somebody_else_ends_the_sign_in_before(client, coach):
    other = make.make_staff(make.make_academy(), password=make.PASSWORD)
    sign_in(client, coach.email)
    client.post("/sign-out/")
    sign_in(client, other.email)
    assert [device.user for device in Device.objects.signed_in()] == [other]


def test_a_sign_in_lasts_twelve_months_and_rolls_on_with_use(client, coach):
    sign_in(client, coach.email)
    long_ago = timezone.now() - timedelta(days=200)
    session = client.session
    session["renewed_at"] = long_ago.timestamp()
    session.save()
    Device.objects.update(last_seen_at=long_ago)
    Session.objects.update(expire_date=timezone.now() + timedelta(days=165))
    response = client.get("/devices/")
    year_from_now = timezone.now() + timedelta(days=365)
    assert abs(Session.objects.get().expire_date - year_from_now) < timedelta(minutes=1)
    assert response.cookies["ledger_session"]["max-age"] == 365 * 24 * 3600
    assert timezone.now() - Device.objects.get().last_seen_at < timedelta(minutes=1)


def test_a_sign_in_is_not_written_again_within_a_day(client, coach):
    sign_in(client, coach.email)
    assert "ledger_session" not in client.get("/devices/").cookies
