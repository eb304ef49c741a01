"""Signing in and out, the devices that are signed in, and the codes a coach hands out."""

import secrets
from datetime import timedelta

import segno
from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render, resolve_url
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.safestring import mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.accounts.access import fetch_editable
from practice.accounts.actions import (
    RESEND_GRACE,
    LinkRefused,
    check_may_hand_link,
    find_link,
    make_sign_in_link,
    redeem_sign_in_link,
)
from practice.accounts.devices import device_lines, kind_of, label_of, revoke, sign_in_here, sign_out_here
from practice.accounts.forms import SignInForm
from practice.accounts.models import Device, SignInLink, User
from practice.accounts.zones import zone
from practice.players.actions import give_sign_in
from practice.players.models import Player

NONCE_COOKIE = "ledger_enter"


def start_of(user: User) -> str:
    """Return the name of the page on which this user's work begins."""
    return "players:roster" if user.coaches() else "practice_sessions:shell"


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    return redirect(start_of(request.user))


def onward(request: HttpRequest) -> str:
    """Return where to go after the sign-in: only ever an address of this site."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    hosts = {request.get_host()}
    is_ours = url_has_allowed_host_and_scheme(wanted, allowed_hosts=hosts, require_https=request.is_secure())
    return wanted if is_ours else resolve_url(settings.LOGIN_REDIRECT_URL)


@login_not_required  # where people sign in
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    if request.user.is_authenticated:
        return redirect(onward(request))
    form = SignInForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid():
        device = Device.objects.create(user=form.user, label=label_of(request.headers.get("User-Agent", "")))
        sign_in_here(request, device)
        return redirect(onward(request))
    status = 422 if request.method == "POST" else 200
    return render(request, "accounts/sign_in.html", {"form": form, "next": onward(request)}, status=status)


@login_not_required  # sent again, it must end at the same page as the first time
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    sign_out_here(request)
    return redirect(settings.LOGOUT_REDIRECT_URL)


@require_safe
def devices(request: HttpRequest) -> HttpResponse:
    lines = device_lines(request.user, here=request.session.get("device", ""))
    return render(request, "accounts/devices.html", {"devices": lines})


@require_POST
def revoke_device(request: HttpRequest, device) -> HttpResponse:
    device = fetch_editable(Device.objects, request.user, pk=device)
    revoke(device)
    messages.success(request, f"{device.label} is signed out.")
    if device.user_id == request.user.pk:
        return redirect("accounts:devices")
    player = Player.objects.editable_by(request.user).filter(user=device.user_id).first()
    return redirect("players:player", player.pk) if player else redirect("accounts:home")


@require_POST
def sign_in_link(request: HttpRequest, player) -> HttpResponse:
    """Make a code and show it: the page is the answer itself, because the token is kept nowhere."""
    player = fetch_editable(Player.objects.select_related("user"), request.user, pk=player)
    user = give_sign_in(player=player)
    check_may_hand_link(user=user, by=request.user)
    link, token = make_sign_in_link(academy=player.academy, user=user, made_by=request.user)
    address = request.build_absolute_uri(reverse("accounts:enter", args=[token]))
    code = segno.make_qr(address).svg_inline(omitsize=True, light="white", svgclass="code", title="Sign-in code")
    context = {
        "player": player,
        "address": address,
        # attributes only, made of the address alone by the library: nothing a user typed
        "code": mark_safe(code),
        "until": link.expires_at.astimezone(zone(player.academy.time_zone)),
        "minutes": settings.SIGN_IN_LINK_MINUTES,
        "reaches_phones": request.get_host().partition(":")[0] not in ("localhost", "127.0.0.1"),
    }
    return render(request, "accounts/sign_in_link.html", context)


@login_not_required  # whoever holds the link has no other sign-in; only an open one shows a name
@never_cache
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
    return response
