"""The code that a coach shows: one use, one browser, minutes only."""

import re
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from practice.accounts.actions import (
    RESEND_GRACE,
    LinkRefused,
    digest,
    make_sign_in_link,
    redeem_sign_in_link,
)
from practice.accounts.models import Device, Membership, Role, SignInLink, User
from practice.players.models import Player
from tests import make
from tests.practice.litany import Cast, make_cast

PHONE = "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0 Mobile Safari/537.36"


def show_code(cast: Cast, player: Player | None = None, *, by: str = "coach"):
    """Press the coach's button and return the page."""
    player = player or cast.player
    return cast.client(by).post(reverse("accounts:sign_in_link", args=[player.pk]))


def new_address(cast: Cast, player: Player | None = None) -> str:
    """Return the path of a new code."""
    return re.search(r"/enter/[^/]+/", show_code(cast, player).context["address"])[0]


def new_phone() -> Client:
    return Client(headers={"User-Agent": PHONE})


def make_older(address: str, by: timedelta) -> None:
    """Let time pass for a link."""
    SignInLink.objects.filter(token_sha256=digest(address.split("/")[2])).update(expires_at=timezone.now() - by)


@pytest.mark.django_db
class TestShowingACode:
    def test_it_holds_a_qr_code_of_attributes_only_and_the_address_once_more_as_text(self):
        page = show_code(make_cast())
        html = page.content.decode()
        assert "<svg" in html
        assert "style=" not in html
        assert f'value="{page.context["address"]}"' in html

    def test_only_a_digest_of_the_token_is_stored(self):
        address = new_address(make_cast())
        token, link = address.split("/")[2], SignInLink.objects.get()
        assert len(token) == 43
        assert token not in str(SignInLink.objects.values().get())
        assert link.token_sha256 == digest(token)

    def test_it_expires_in_the_minutes_of_the_setting(self):
        new_address(make_cast())
        link = SignInLink.objects.get()
        assert link.expires_at - link.created_at == pytest.approx(
            timedelta(minutes=settings.SIGN_IN_LINK_MINUTES), abs=timedelta(seconds=1)
        )

    def test_it_says_until_when_it_works_by_the_academys_own_clock(self):
        """Tokyo is 9 hours ahead of UTC all year (IANA time zone database)."""
        cast = make_cast()
        cast.academy.time_zone = "Asia/Tokyo"
        cast.academy.save()
        page = show_code(cast)
        until = SignInLink.objects.get().expires_at + timedelta(hours=9)
        assert f"<strong>{until:%H:%M}</strong>" in page.content.decode()

    def test_the_first_code_makes_a_user_without_e_mail_or_password_and_the_next_finds_it(self):
        cast = make_cast()
        junior = make.make_player(cast.academy, "Junior", is_junior=True)
        for _ in range(2):
            show_code(cast, junior)
        user = User.objects.get(name="Junior")
        junior.refresh_from_db()
        assert junior.user == user
        assert user.email is None
        assert not user.has_usable_password()
        assert [m.role for m in user.memberships.all()] == [Role.PLAYER]

    def test_a_new_code_ends_the_one_before(self):
        cast = make_cast()
        first, second = new_address(cast), new_address(cast)
        assert new_phone().get(first).status_code == 410
        assert new_phone().get(second).status_code == 200

    def test_a_new_code_leaves_those_of_other_players_open(self):
        cast = make_cast()
        first = new_address(cast, cast.team_mate)
        new_address(cast)
        assert new_phone().get(first).status_code == 200

    def test_nobody_gets_in_as_a_coach_by_a_players_code(self):
        cast = make_cast()
        Membership.objects.create(academy=cast.academy, user=cast.player.user, role=Role.OWNER)
        assert show_code(cast).status_code == 403
        assert not SignInLink.objects.exists()

    def test_nobody_gets_into_another_academy_by_a_players_code(self):
        cast = make_cast()
        Membership.objects.create(academy=make.make_academy(), user=cast.player.user, role=Role.PLAYER)
        assert show_code(cast).status_code == 403
        assert not SignInLink.objects.exists()


@pytest.mark.django_db
class TestOpeningACode:
    def test_a_look_at_it_shows_a_button_and_uses_nothing_up(self):
        cast = make_cast()
        address = new_address(cast)
        for _ in range(3):
            response = new_phone().get(address)
            assert f"Sign in as {cast.player.name} on this phone" in response.content.decode()
        assert new_phone().head(address).status_code == 200
        assert SignInLink.objects.open().count() == 1
        assert not Device.objects.exists()

    def test_the_nonce_is_a_short_lived_cookie_for_this_address_that_no_script_reads(self):
        address = new_address(make_cast())
        cookie = new_phone().get(address).cookies["ledger_enter"]
        assert len(cookie.value) == 43
        assert (cookie["path"], cookie["httponly"], cookie["samesite"]) == (address, True, "Lax")
        assert 0 < cookie["max-age"] <= 20 * 60

    def test_a_second_look_keeps_the_nonce(self):
        phone, address = new_phone(), new_address(make_cast())
        first = phone.get(address).cookies["ledger_enter"].value
        assert phone.get(address).cookies["ledger_enter"].value == first

    def test_no_cache_keeps_it(self):
        assert "no-store" in new_phone().get(new_address(make_cast()))["Cache-Control"]

    def test_a_code_that_is_too_old_says_what_to_do_and_names_nobody(self):
        cast = make_cast()
        phone, address = new_phone(), new_address(cast)
        phone.get(address)
        make_older(address, timedelta(seconds=1))
        for response in (phone.get(address), phone.post(address)):
            html = response.content.decode()
            assert response.status_code == 410
            assert "Ask your coach for a new code" in html
            assert cast.player.name not in html

    def test_an_unknown_code_says_what_to_do(self):
        response = new_phone().get("/enter/unknown/")
        assert response.status_code == 404
        assert "Ask your coach for a new code" in response.content.decode()

    def test_it_says_who_is_signed_in_here_and_would_be_signed_out(self):
        cast = make_cast()
        html = cast.client("coach").get(new_address(cast)).content.decode()
        assert f"signed in as {cast.coach.name}" in html


@pytest.mark.django_db
class TestUsingACode:
    def test_it_signs_the_phone_in_and_goes_on_to_the_practice(self):
        cast = make_cast()
        phone, address = new_phone(), new_address(cast)
        phone.get(address)
        response = phone.post(address)
        device = Device.objects.get()
        assert (response.status_code, response.url) == (303, reverse("practice_sessions:shell"))
        assert (device.user, device.label) == (cast.player.user, "Phone (Chrome)")
        assert phone.session["device"] == str(device.pk)
        assert phone.get("/devices/").status_code == 200
        assert phone.cookies["ledger_signed_out"].value == "1"  # the phone page shows nothing of who was here before

    def test_the_same_phone_again_gets_the_same_answer_and_the_same_device(self):
        phone, address = new_phone(), new_address(make_cast())
        phone.get(address)
        answers = [phone.post(address) for _ in range(3)]
        assert {(answer.status_code, answer.url) for answer in answers} == {(303, "/play/")}
        assert phone.session["device"] == str(Device.objects.get().pk)
        assert phone.get(address).status_code == 200
        assert phone.get("/devices/").status_code == 200

    def test_a_phone_that_never_got_the_answer_is_signed_in_by_asking_again(self):
        phone, address = new_phone(), new_address(make_cast())
        nonce = phone.get(address).cookies["ledger_enter"]
        phone.post(address)
        lost, phone.cookies = phone.cookies, Client().cookies
        phone.cookies["ledger_enter"] = nonce.value
        assert phone.post(address).status_code == 303
        assert phone.session["device"] == str(Device.objects.get().pk)
        stranger = Client()
        stranger.cookies = lost
        assert stranger.get("/devices/").status_code == 302, "the answer that was lost signs nobody in"

    def test_another_phone_gets_410_and_what_to_do(self):
        address = new_address(make_cast())
        first, second = new_phone(), new_phone()
        for phone in (first, second):
            phone.get(address)
        assert first.post(address).status_code == 303
        refused = second.post(address)
        assert refused.status_code == second.get(address).status_code == 410
        assert "Ask your coach for a new code" in refused.content.decode()
        assert Device.objects.count() == 1

    def test_a_phone_without_the_nonce_is_told_that_cookies_are_needed(self):
        response = new_phone().post(new_address(make_cast()))
        assert response.status_code == 400
        assert "cookies" in response.content.decode()
        assert SignInLink.objects.open().count() == 1

    def test_a_page_of_another_site_cannot_press_the_button(self):
        phone, address = Client(enforce_csrf_checks=True), new_address(make_cast())
        phone.get(address)
        response = phone.post(address)
        assert response.status_code == 403
        assert "cookies" in response.content.decode()
        assert SignInLink.objects.open().count() == 1

    @pytest.mark.parametrize(("late", "status"), [(RESEND_GRACE - timedelta(seconds=9), 303), (RESEND_GRACE, 410)])
    def test_the_same_phone_may_ask_again_for_a_little_longer_than_the_code_lasts(self, late, status):
        phone, address = new_phone(), new_address(make_cast())
        phone.get(address)
        phone.post(address)
        make_older(address, late)
        assert phone.post(address).status_code == status

    def test_a_revoked_phone_does_not_come_back_by_asking_again(self):
        cast = make_cast()
        phone, address = new_phone(), new_address(cast)
        phone.get(address)
        phone.post(address)
        cast.client("coach").post(reverse("accounts:revoke_device", args=[Device.objects.get().pk]))
        assert phone.post(address).status_code == 410

    def test_it_replaces_whoever_was_signed_in_on_this_phone(self):
        cast = make_cast()
        phone, first, second = new_phone(), new_address(cast), new_address(cast, cast.team_mate)
        for address in (first, second):
            phone.get(address)
            phone.post(address)
        assert [device.user for device in Device.objects.signed_in()] == [cast.team_mate.user]
        assert phone.get("/devices/").context["user"] == cast.team_mate.user

    def test_a_new_code_on_the_same_phone_leaves_one_device_that_can_be_revoked(self):
        cast = make_cast()
        phone = new_phone()
        for _ in range(2):
            address = new_address(cast)
            phone.get(address)
            phone.post(address)
        replaced, current = Device.objects.order_by("pk")
        assert list(Device.objects.signed_in()) == [current]
        for device, status in ((replaced, 200), (current, 302)):
            cast.client("coach").post(reverse("accounts:revoke_device", args=[device.pk]))
            assert phone.get("/devices/").status_code == status

    def test_the_log_has_the_reason_and_names_nobody(self, caplog):
        cast = make_cast()
        address = new_address(cast)
        make_older(address, timedelta(seconds=1))
        new_phone().post(address)
        assert "too old" in caplog.text
        assert str(SignInLink.objects.get().pk) in caplog.text
        assert cast.player.name not in caplog.text


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(("nonces", "won"), [(["one"] * 4, 4), (["one", "two", "three", "four"], 1)])
def test_of_requests_at_the_same_moment_one_uses_the_code_and_its_repeats_get_the_same_device(nonces, won):
    cast = make_cast()
    _, token = make_sign_in_link(academy=cast.academy, user=cast.player.user, made_by=cast.coach)
    together = Barrier(len(nonces))

    def redeem(nonce: str):
        together.wait(timeout=20)
        try:
            return redeem_sign_in_link(token=token, nonce=nonce, label="Phone").pk
        except LinkRefused as refused:
            return refused.status
        finally:
            connection.close()

    with ThreadPoolExecutor(len(nonces)) as threads:
        answers = list(threads.map(redeem, nonces))
    device = Device.objects.get()
    assert sorted(map(str, answers)) == sorted([str(device.pk)] * won + ["410"] * (len(nonces) - won))
