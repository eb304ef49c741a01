"""Devices: what they are called, who sees them, and how they end."""

import pytest
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse

from practice.accounts.devices import kind_of, label_of
from practice.accounts.models import Device
from tests import make
from tests.practice.litany import make_cast

BROWSERS = {
    "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.0 "
    "Mobile/15E148 Safari/604.1": "Phone (Safari)",
    "Mozilla/5.0 (iPad; CPU OS 17_0 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/17.0 "
    "Mobile/15E148 Safari/604.1": "Tablet (Safari)",
    "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0 "
    "Safari/537.36": "Tablet (Chrome)",
    "Mozilla/5.0 (Android 15; Mobile; rv:140.0) Gecko/140.0 Firefox/140.0": "Phone (Firefox)",
    "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0 Safari/537.36 "
    "Edg/140.0": "Computer (Edge)",
    "": "Computer",
    "something else": "Computer",
}
"""User agents as the makers of these browsers document them, from memory."""


@pytest.mark.parametrize("user_agent", BROWSERS)
def test_a_device_is_called_in_general_words(user_agent):
    assert label_of(user_agent) == BROWSERS[user_agent]


def test_the_kind_of_device_is_said_in_lower_case_inside_a_sentence():
    assert kind_of("Mobile") == "phone"


def signed_in(user) -> Client:
    """Return a browser that signed in by password, with its device."""
    user.email, client = f"u{user.pk}@example.org", Client()
    user.set_password(make.PASSWORD)
    user.save()
    client.post(reverse("accounts:sign_in"), {"email": user.email, "password": make.PASSWORD})
    return client


@pytest.mark.django_db
class TestDevices:
    def test_people_see_their_own_devices_and_which_one_they_hold(self):
        cast = make_cast()
        signed_in(cast.player.user)
        signed_in(cast.team_mate.user)
        lines = signed_in(cast.player.user).get("/devices/").context["devices"]
        assert [line.is_this_one for line in lines] == [True, False]

    def test_a_revoked_device_is_a_stranger_at_its_next_request(self):
        cast = make_cast()
        phone = signed_in(cast.player.user)
        device = Device.objects.get()
        for _ in range(2):
            answer = cast.client("coach").post(reverse("accounts:revoke_device", args=[device.pk]))
            assert answer.url == reverse("players:player", args=[cast.player.pk])
        assert phone.get("/devices/", headers={"Accept": "application/json"}).status_code == 401
        assert phone.get("/devices/").url.startswith("/sign-in/")

    def test_revoking_again_keeps_the_moment_of_the_first_time(self):
        cast = make_cast()
        signed_in(cast.player.user)
        moments = set()
        for _ in range(2):
            cast.client("coach").post(reverse("accounts:revoke_device", args=[Device.objects.get().pk]))
            moments.add(Device.objects.get().revoked_at)
        assert len(moments) == 1

    def test_revoking_one_device_leaves_the_others_signed_in(self):
        cast = make_cast()
        lost = signed_in(cast.player.user)
        kept = signed_in(cast.player.user)
        kept.post(reverse("accounts:revoke_device", args=[lost.session["device"]]))
        assert kept.get("/devices/").status_code == 200
        assert lost.get("/devices/").status_code == 302

    def test_revoking_the_device_in_hand_signs_out(self):
        cast = make_cast()
        phone = signed_in(cast.player.user)
        phone.post(reverse("accounts:revoke_device", args=[phone.session["device"]]))
        assert phone.get("/devices/").status_code == 302
        assert not Session.objects.exists()

    def test_the_list_costs_the_same_with_many_devices(self, django_assert_num_queries):
        cast = make_cast()
        client = cast.client("player")
        client.get("/devices/")
        for count in (1, 20):
            Device.objects.bulk_create(Device(user=cast.player.user, label="Phone") for _ in range(count))
            with django_assert_num_queries(4):
                client.get("/devices/")
