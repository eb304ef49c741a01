"""The devices that are signed in."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from practice.accounts.access import fetch_editable
from practice.accounts.devices import device_lines, revoke
from practice.accounts.models import Device
from practice.players.models import Player


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
