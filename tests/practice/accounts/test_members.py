"""Who coaches at an academy: an owner adds, promotes and removes; there is always an owner."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from practice.accounts.models import Membership, Role, SignInLink, User
from tests import make

pytestmark = pytest.mark.django_db


def post(cast, view: str, user=None, data=None, *, by: str = "owner"):
    parts = [cast.academy.pk, *([user.pk] if user else [])]
    return cast.client(by).post(reverse(f"accounts:{view}", args=parts), data or {})


def add(cast, email: str = "Alex@Example.org", name: str = "Alex Dunes"):
    return post(cast, "add_member", data={"email": email, "name": name})


def roles_of(cast, user) -> list[str]:
    return sorted(Membership.objects.filter(academy=cast.academy, user=user).values_list("role", flat=True))


def test_a_new_coach_gets_in_by_the_code_that_is_shown_and_sees_the_roster(cast):
    address = re.search(r"/enter/[^/]+/", add(cast).context["address"])[0]
    phone = Client()
    phone.get(address)
    assert phone.post(address).url == reverse("players:roster")
    assert phone.get(reverse("players:roster")).status_code == 200
    assert User.objects.get(email="alex@example.org").has_usable_password() is False


def test_the_same_form_sent_twice_adds_one_coach(cast):
    for _ in range(2):
        assert add(cast).status_code == 200
    assert roles_of(cast, User.objects.get(email="alex@example.org")) == [Role.COACH]


def test_somebody_who_signs_in_already_keeps_name_and_password_and_gets_no_code(cast):
    somebody = make.make_staff(make.make_academy(), password=make.PASSWORD)
    assert add(cast, somebody.email.upper(), "Another Name").url == reverse("accounts:members", args=[cast.academy.pk])
    assert roles_of(cast, somebody) == [Role.COACH]
    somebody.refresh_from_db()
    assert somebody.name != "Another Name"
    assert not SignInLink.objects.exists()


def test_no_owner_becomes_somebody_of_another_academy_by_adding_them(cast):
    assert add(cast, cast.outsider.email).status_code == 302
    assert post(cast, "member_link", cast.outsider).status_code == 403
    assert not SignInLink.objects.exists()


def test_an_owner_who_is_added_again_stays_an_owner(cast):
    add(cast, cast.owner.email)
    assert roles_of(cast, cast.owner) == [Role.OWNER]


@pytest.mark.parametrize(("email", "name", "words"), [("no mail", "A", "valid email"), ("a@example.org", "", "name")])
def test_a_form_with_a_fault_comes_back(cast, email, name, words):
    response = add(cast, email, name)
    assert response.status_code == 422
    assert words in response.content.decode()


def test_a_coach_becomes_an_owner_and_a_coach_again_however_often_it_is_sent(cast):
    for view, role in (("make_owner", Role.OWNER), ("make_owner", Role.OWNER), ("make_coach", Role.COACH)):
        post(cast, view, cast.coach)
        assert roles_of(cast, cast.coach) == [role]


def test_a_coach_who_is_removed_sees_nothing_of_the_academy_any_more(cast):
    for _ in range(2):
        assert post(cast, "remove_member", cast.coach).status_code == 302
    assert roles_of(cast, cast.coach) == []
    assert cast.client("coach").get(reverse("players:player", args=[cast.player.pk])).status_code == 404


def test_a_player_who_also_coached_stays_a_player(cast):
    Membership.objects.create(academy=cast.academy, user=cast.player.user, role=Role.COACH)
    post(cast, "remove_member", cast.player.user)
    assert roles_of(cast, cast.player.user) == [Role.PLAYER]


@pytest.mark.parametrize("view", ["make_coach", "remove_member"])
def test_the_last_owner_stays_and_is_told_why(cast, view):
    client = cast.client("owner")
    address = reverse(f"accounts:{view}", args=[cast.academy.pk, cast.owner.pk])
    assert "Make somebody else an owner first" in client.post(address, follow=True).content.decode()
    assert roles_of(cast, cast.owner) == [Role.OWNER]


def test_an_owner_may_step_back_once_there_is_another(cast):
    post(cast, "make_owner", cast.coach)
    assert post(cast, "make_coach", cast.owner).url == reverse("accounts:home")
    assert roles_of(cast, cast.owner) == [Role.COACH]


def test_the_page_is_found_from_the_roster_by_owners_only(cast):
    address = reverse("accounts:members", args=[cast.academy.pk])
    assert address in cast.client("owner").get("/players/").content.decode()
    assert address not in cast.client("coach").get("/players/").content.decode()


def test_the_list_costs_the_same_with_many_coaches(cast, django_assert_num_queries):
    client = cast.client("owner")
    for count in (0, 10):
        for _ in range(count):
            make.make_staff(cast.academy)
        with django_assert_num_queries(5):
            client.get(reverse("accounts:members", args=[cast.academy.pk]))
