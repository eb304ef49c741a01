"""Devices: what a sign-in leaves behind on the server, what it is called, and how it ends."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.contrib.auth import login, logout
from django.contrib.sessions.models import Session
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from practice.accounts.models import Device, User

BROWSERS = (("Edg", "Edge"), ("OPR", "Opera"), ("Firefox", "Firefox"), ("Chrom", "Chrome"), ("Safari", "Safari"))
"""Mark in the user agent and the word for it, in this order: earlier browsers also carry the later marks."""


def kind_of(user_agent: str) -> str:
    """Return phone, tablet or computer."""
    if "iPad" in user_agent or ("Android" in user_agent and "Mobile" not in user_agent):
        return "tablet"
    return "phone" if "Mobi" in user_agent else "computer"


def label_of(user_agent: str) -> str:
    """Return general words for a browser's user agent, such as "Phone (Chrome)"."""
    browser = next((word for mark, word in BROWSERS if mark in user_agent), "")
    kind = kind_of(user_agent).capitalize()
    return f"{kind} ({browser})" if browser else kind


@transaction.atomic
def sign_in_here(request: HttpRequest, device: Device) -> None:
    """Sign the device's user in on this browser, and end whatever sign-in this browser had before.

    A device that signed in before is signed in again under a new session; its old one ends, because its cookie may
    never have arrived.
    """
    before = Device.objects.filter(pk=request.session.get("device"), revoked_at=None)
    before.exclude(pk=device.pk).update(revoked_at=timezone.now(), session_key="")
    login(request, device.user)
    request.session["device"] = str(device.pk)
    request.session["renewed_at"] = timezone.now().timestamp()
    request.session.save()
    Session.objects.filter(session_key=device.session_key).exclude(pk=request.session.session_key).delete()
    device.session_key = request.session.session_key
    device.last_seen_at = timezone.now()
    device.save(update_fields=["session_key", "last_seen_at"])


@transaction.atomic
def sign_in_here_alone(request: HttpRequest, label: str) -> None:
    """Sign the user in anew on this browser after a change of password, and end every other sign-in of theirs."""
    user = request.user
    for device in user.devices.signed_in():
        revoke(device)
    sign_in_here(request, Device.objects.create(user=user, label=label))


@transaction.atomic
def sign_out_here(request: HttpRequest) -> None:
    """End this browser's sign-in, and its device with it."""
    device = Device.objects.filter(pk=request.session.get("device")).first()
    if device is not None:
        revoke(device)
    logout(request)


def forget_who_was_here(response: HttpResponse) -> HttpResponse:
    """Tell the phone page of this browser, by a cookie that it reads and removes, to forget whose plan it showed last.

    The page opens from what the phone holds, before it hears from the server: it would show one player's plan to the
    next who signs in, or to whoever picks the phone up after a sign-out.
    """
    response.set_cookie(
        "ledger_signed_out",
        "1",
        max_age=settings.SESSION_COOKIE_AGE,
        secure=settings.SESSION_COOKIE_SECURE,
        samesite="Lax",
    )
    return response


@transaction.atomic
def revoke(device: Device) -> None:
    """End the device's sign-in: its next request is a stranger's. Again changes nothing."""
    Session.objects.filter(session_key=device.session_key).delete()
    Device.objects.filter(pk=device.pk, revoked_at=None).update(revoked_at=timezone.now(), session_key="")


@dataclass(frozen=True)
class DeviceLine:
    """A signed-in device as a page shows it."""

    id: UUID
    label: str
    since: datetime
    last_seen: datetime
    is_this_one: bool


def device_lines(user: User | None, *, here: str = "") -> list[DeviceLine]:
    """Return the user's signed-in devices; `here` is the id of the one that asks."""
    if user is None:
        return []
    return [
        DeviceLine(device.pk, device.label, device.created_at, device.last_seen_at, str(device.pk) == here)
        for device in user.devices.signed_in()
    ]
