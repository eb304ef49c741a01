"""The codes a coach hands out, and what happens where one is opened."""

import secrets
from datetime import timedelta

import segno
from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_http_methods, require_POST

from practice.accounts.access import fetch_editable
from practice.accounts.actions import (
    RESEND_GRACE,
    LinkRefused,
    check_may_hand_link,
    find_link,
    make_sign_in_link,
    redeem_sign_in_link,
)
from practice.accounts.devices import forget_who_was_here, kind_of, label_of, sign_in_here
from practice.accounts.models import Academy, SignInLink, User
from practice.accounts.views.sign_in import start_of
from practice.accounts.zones import zone
from practice.players.actions import give_sign_in
from practice.players.models import Player

NONCE_COOKIE = "ledger_enter"
THIS_COMPUTER = ("localhost", "127.0.0.1", "[::1]")


@require_POST
def sign_in_link(request: HttpRequest, player) -> HttpResponse:
    player = fetch_editable(Player.objects.select_related("academy", "user"), request.user, pk=player)
    user = give_sign_in(player=player)
    return show_code(request, academy=player.academy, user=user, back=reverse("players:player", args=[player.pk]))


def show_code(request: HttpRequest, *, academy: Academy, user: User, back: str) -> HttpResponse:
    """Make a code and show it: the page is the answer to the POST itself, because the token is kept nowhere."""
    check_may_hand_link(user=user, by=request.user)
    link, token = make_sign_in_link(academy=academy, user=user, made_by=request.user)
    address = request.build_absolute_uri(reverse("accounts:enter", args=[token]))
    code = segno.make_qr(address).svg_inline(omitsize=True, light="white", svgclass="code", title="Sign-in code")
    context = {
        "name": user.name,
        "back": back,
        "address": address,
        # attributes only, made of the address alone by the library: nothing a user typed
        "code": mark_safe(code),
        "until": f"{link.expires_at.astimezone(zone(academy.time_zone)):%H:%M}",
        "minutes": settings.SIGN_IN_LINK_MINUTES,
        "reaches_phones": request.get_host().rpartition(":")[0] not in THIS_COMPUTER,
    }
    return render(request, "accounts/sign_in_link.html", context)


@login_not_required  # whoever holds the link has no other sign-in; only an open one shows a name
@cache_control(no_store=True)
@require_http_methods(["GET", "HEAD", "POST"])
def enter(request: HttpRequest, token: str) -> HttpResponse:
    """GET asks and changes nothing, since previews open links; POST signs in."""
    nonce = request.COOKIES.get(NONCE_COOKIE, "")
    try:
        if request.method == "POST":
            return _enter_with(request, token, nonce)
        link = find_link(token, nonce)
    except LinkRefused as refused:
        context = {"message": refused.message}
        return render(request, "accounts/enter_refused.html", context, status=refused.status)
    response = render(request, "accounts/enter.html", _enter_context(request, link))
    response.set_cookie(
        NONCE_COOKIE,
        nonce or secrets.token_urlsafe(32),
        max_age=timedelta(minutes=settings.SIGN_IN_LINK_MINUTES) + RESEND_GRACE,
        path=request.path,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
    return response


def _enter_context(request: HttpRequest, link: SignInLink) -> dict:
    """Return whom the link signs in, on what, and who is signed out by it."""
    is_other = request.user.is_authenticated and request.user != link.user
    return {
        "name": link.user.name,
        "device_kind": kind_of(request.headers.get("User-Agent", "")),
        "signed_out": request.user.name if is_other else "",
    }


def _enter_with(request: HttpRequest, token: str, nonce: str) -> HttpResponse:
    device = redeem_sign_in_link(token=token, nonce=nonce, label=label_of(request.headers.get("User-Agent", "")))
    sign_in_here(request, device)
    response = HttpResponseRedirect(reverse(start_of(device.user)))
    response.status_code = 303
    return forget_who_was_here(response)
