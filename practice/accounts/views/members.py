"""Who coaches at an academy: its owners' page."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.accounts.access import fetch_editable
from practice.accounts.actions import may_hand_link
from practice.accounts.forms import MemberForm
from practice.accounts.members import LastOwner, add_coach, change_role, remove_from_staff, staff_lines
from practice.accounts.models import Academy, Membership, Role, User
from practice.accounts.views.links import show_code


def fetch_owned(request: HttpRequest, academy) -> Academy:
    """Return the academy if the user owns it; a coach or player of it gets 403, anybody else 404."""
    own = Membership.objects.select_related("academy")
    return fetch_editable(own, request.user, academy=academy, user_id=request.user.pk).academy


def fetch_colleague(request: HttpRequest, academy: Academy, user) -> User:
    """Return one of the academy's staff."""
    staff = Membership.objects.staff().select_related("user")
    return fetch_editable(staff, request.user, academy=academy, user_id=user).user


@require_safe
def members(request: HttpRequest, academy) -> HttpResponse:
    academy = fetch_owned(request, academy)
    context = {"section": "players", "academy": academy, "lines": staff_lines(academy)}
    return render(request, "accounts/members.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def add_member(request: HttpRequest, academy) -> HttpResponse:
    """Add a coach; somebody new gets a code to sign in with."""
    academy = fetch_owned(request, academy)
    form = MemberForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        user = add_coach(academy=academy, **form.cleaned_data)
        if not user.has_usable_password() and may_hand_link(user=user, by=request.user):
            return show_code(request, academy=academy, user=user, back=reverse("accounts:members", args=[academy.pk]))
        messages.success(request, f"{user.name} coaches here now, and signs in as before.")
        return redirect("accounts:members", academy.pk)
    status = 422 if request.method == "POST" else 200
    context = {"section": "players", "academy": academy, "form": form}
    return render(request, "accounts/member_form.html", context, status=status)


@require_POST
def member_link(request: HttpRequest, academy, user) -> HttpResponse:
    academy = fetch_owned(request, academy)
    user = fetch_colleague(request, academy, user)
    return show_code(request, academy=academy, user=user, back=reverse("accounts:members", args=[academy.pk]))


@require_POST
def make_owner(request: HttpRequest, academy, user) -> HttpResponse:
    return _give_role(request, academy, user, Role.OWNER)


@require_POST
def make_coach(request: HttpRequest, academy, user) -> HttpResponse:
    return _give_role(request, academy, user, Role.COACH)


def _give_role(request: HttpRequest, academy, user, role: Role) -> HttpResponse:
    academy = fetch_owned(request, academy)
    user = fetch_colleague(request, academy, user)
    try:
        change_role(academy=academy, user=user, role=role)
    except LastOwner as refused:
        messages.error(request, str(refused))
    return _back_to_members(request, academy)


@require_POST
def remove_member(request: HttpRequest, academy, user) -> HttpResponse:
    """Take somebody off the staff; who is not on it, perhaps since the form was sent before, stays off it."""
    academy = fetch_owned(request, academy)
    try:
        remove_from_staff(academy=academy, user_id=user)
    except LastOwner as refused:
        messages.error(request, str(refused))
    return _back_to_members(request, academy)


def _back_to_members(request: HttpRequest, academy: Academy) -> HttpResponse:
    """Return to the page of members, which is closed to somebody who just gave up being an owner."""
    still_owns = request.user.owned_academies().filter(pk=academy.pk).exists()
    return redirect("accounts:members", academy.pk) if still_owns else redirect("accounts:home")
