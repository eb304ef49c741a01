"""The phone's page and its JSON, sync, and the coach's list of shots."""

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.http import HttpRequest, HttpResponse, JsonResponse, UnreadablePostError
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.accounts.access import fetch_visible
from practice.accounts.zones import zone
from practice.compress import compressed
from practice.players.models import Player
from practice.sessions.actions import set_shot_aside, take_shot_back_in
from practice.sessions.checks import parse_json
from practice.sessions.forms import SetAsideForm
from practice.sessions.models import Shot
from practice.sessions.shot_list import shot_line, shot_pages
from practice.sessions.sync import MAX_ITEMS, answer_items
from practice.sessions.work import milliseconds, own_players, player_json, squad_of, work_json


def json_answer(content: dict, status: int = 200) -> JsonResponse:
    """Answer a script; a NaN in the content would be no JSON, and raises."""
    return JsonResponse(content, status=status, json_dumps_params={"allow_nan": False})


def json_fault(status: int, error: str, message: str) -> JsonResponse:
    """Tell a script what went wrong: a word for it, a sentence for the player."""
    return json_answer({"error": error, "message": message}, status)


def handshake(request: HttpRequest, own: list[Player], squad: list[Player]) -> dict:
    """Return who is signed in, on which device, for whom they may log, and what the server's clock says."""
    return {
        "user": str(request.user.pk),
        "name": request.user.name,
        "device": request.session.get("device"),
        "csrf": get_token(request),
        "players": [player_json(player) for player in own],
        "squad": [{"id": str(player.pk), "name": player.name} for player in squad],
        "server_time_ms": milliseconds(timezone.now()),
    }


@cache_control(no_store=True)
@require_safe
def me(request: HttpRequest) -> JsonResponse:
    return json_answer(handshake(request, own_players(request.user), squad_of(request.user)))


@compressed
@cache_control(no_store=True)
@require_safe
def work(request: HttpRequest) -> JsonResponse:
    """The handshake and one player's work: the one that is named, else the user's own, else nobody's."""
    own, squad = own_players(request.user), squad_of(request.user)
    players = {str(player.pk): player for player in (*squad, *own)}
    wanted = request.GET.get("player") or (str(own[0].pk) if own else "")
    if wanted and wanted not in players:
        return json_fault(404, "no_player", "There is no player here that is yours.")
    player = players.get(wanted)
    told = work_json(player, timezone.now(), by=request.user) if player else {"player": None}
    return json_answer({"me": handshake(request, own, squad), **told})


@require_POST
def sync(request: HttpRequest) -> JsonResponse:
    """Take what a phone recorded. The whole is refused only where it holds no items that could be answered."""
    if request.content_type != "application/json":
        return json_fault(400, "bad_request", "Send the entries as application/json.")
    try:
        sent = parse_json(request.body)
    except RequestDataTooBig:
        return json_fault(413, "too_large", f"Send less at once: at most {MAX_ITEMS} entries.")
    except (ValueError, UnreadablePostError):
        return json_fault(400, "bad_request", "This is not JSON. Send it again; nothing was stored.")
    items = sent.get("items") if isinstance(sent, dict) else None
    if not isinstance(items, list):
        return json_fault(400, "bad_request", 'There is no list of entries; send {"items": [...]}.')
    if len(items) > MAX_ITEMS:
        return json_fault(413, "too_large", f"Send less at once: at most {MAX_ITEMS} entries.")
    received_at = timezone.now()
    answers = answer_items(user=request.user, sent=items, received_at=received_at)
    return json_answer({"answers": answers, "server_time_ms": milliseconds(received_at)})


@require_safe
def shots(request: HttpRequest, player: UUID) -> HttpResponse:
    player = fetch_visible(Player.objects.select_related("academy"), request.user, pk=player)
    page, sessions = shot_pages(player, request.GET.get("page"))
    may_set_aside = Player.objects.editable_by(request.user).filter(pk=player.pk).exists()
    context = {"player": player, "page": page, "sessions": sessions, "may_set_aside": may_set_aside}
    return render(request, "sessions/shots.html", context | {"section": "players"})


def fetch_settable_aside(request: HttpRequest, player: UUID, shot: UUID) -> Shot:
    """Return the shot that the user, as a coach, may set aside: 404 for one not seen, 403 for the player."""
    seen = Shot.objects.filter(player=player, uid=shot, deleted=False)
    rows = seen.select_related("player__academy", "session__venue", "club", "target")
    found = rows.settable_aside_by(request.user).first()
    if found is None:
        fetch_visible(seen, request.user)
        raise PermissionDenied("Only a coach sets a shot aside. You can correct it on your phone.")
    return found


def back_to_list(request: HttpRequest, shot: Shot) -> HttpResponse:
    """Return to the page of the list from which the coach came, at the shot."""
    page = request.GET.get("page", "")
    query = f"?page={page}" if page.isdecimal() else ""
    return redirect(f"{reverse('practice_sessions:shots', args=[shot.player_id])}{query}#shot-{shot.uid}")


@require_http_methods(["GET", "HEAD", "POST"])
def set_aside(request: HttpRequest, player: UUID, shot: UUID) -> HttpResponse:
    shot = fetch_settable_aside(request, player, shot)
    form = SetAsideForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        set_shot_aside(shot=shot, by=request.user, reason=form.cleaned_data["reason"])
        messages.success(request, "The shot is set aside: no figure counts it. You can take it back in at any time.")
        return back_to_list(request, shot)
    here = zone(shot.session.venue.time_zone)
    line = shot_line(shot, shot.player.shown_unit, at=f"{shot.hit_at.astimezone(here):%H:%M}")
    context = {"player": shot.player, "day": shot.session.local_date, "line": line, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "sessions/set_aside.html", context | {"section": "players"}, status=status)


@require_POST
def back_in(request: HttpRequest, player: UUID, shot: UUID) -> HttpResponse:
    shot = fetch_settable_aside(request, player, shot)
    take_shot_back_in(shot=shot)
    messages.success(request, "The shot counts again.")
    return back_to_list(request, shot)
