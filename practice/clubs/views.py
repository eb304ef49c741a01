"""The bag: the player reads it, the staff changes it."""

import uuid
from datetime import date

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.accounts.access import fetch_editable, fetch_staffed, fetch_visible
from practice.clubs import actions, pages
from practice.clubs.forms import BagValuesForm, CarriesForm, ClubForm, NewClubForm, ReadingForm, ReviewForm, SetupForm
from practice.clubs.models import Club, ClubSetup
from practice.players.models import Handed, Player
from practice.sessions.actions import resettle_setups

PLAYERS = Player.objects.select_related("academy")
CLUBS = Club.objects.select_related("player__academy").with_setups()


@require_safe
def bag(request: HttpRequest, player: uuid.UUID) -> HttpResponse:
    """Show a player's bag."""
    found = fetch_visible(PLAYERS, request.user, pk=player)
    editable = Player.objects.editable_by(request.user).filter(pk=found.pk).exists()
    context = {"page": pages.bag_page(found), "editable": editable, "section": "players"}
    return render(request, "clubs/bag.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest, player: uuid.UUID) -> HttpResponse:
    """Add a club to the bag."""
    found = fetch_editable(PLAYERS, request.user, pk=player)
    form = NewClubForm(request.POST or None, player=found)
    if form.is_bound and form.is_valid():
        club = actions.add_club(player=found, **form.cleaned_data)
        _tell_too_many(request, found)
        return redirect("clubs:club", club.pk)
    return _show_form(request, form, "Add a club", found)


def _tell_too_many(request: HttpRequest, player: Player) -> None:
    """Say it on the next page where there are more clubs in the bag than a round allows."""
    if words := pages.too_many_words(Club.objects.filter(player=player).carried().count()):
        messages.warning(request, words)


def _show_form(
    request: HttpRequest, form, title: str, player: Player, *, club: Club | None = None, **more
) -> HttpResponse:
    context = {"form": form, "title": title, "player": player, "club": club, "section": "players", **more}
    return render(request, "clubs/form.html", context, status=422 if request.method == "POST" else 200)


def _show_club(request: HttpRequest, club: Club, *, status: int = 200, **sent) -> HttpResponse:
    """Show a club; a form that came back with faults stands in the place of its empty one."""
    editable = Club.objects.editable_by(request.user).filter(pk=club.pk).exists()
    forms = {"carries_form": _carries_form(club), "reading_form": ReadingForm(today=club.player.academy.today())}
    context = {"page": pages.club_page(club), "picture": _face(club), "editable": editable, "section": "players"}
    return render(request, "clubs/club.html", context | forms | sent, status=status)


def _face(club: Club):
    """Return the drawing of the face with the spots that are known on it, as its player sees it; None without any."""
    if club.sweet_spot_mm is None and club.intended_spot_mm is None:
        return None
    from analytics.pages.face_picture import face_picture

    left = club.player.handed == Handed.LEFT
    return face_picture([], [], None, club.sweet_spot_mm, club.intended_spot_mm, left_handed=left)


def _carries_form(club: Club, data=None) -> CarriesForm:
    return CarriesForm(data, club=club, swings=pages.swings_of(club.player), unit=club.player.shown_unit)


@require_safe
def club(request: HttpRequest, club: uuid.UUID) -> HttpResponse:
    """Show one club: its setups, loft readings and stated carries."""
    return _show_club(request, fetch_visible(CLUBS, request.user, pk=club))


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, club: uuid.UUID) -> HttpResponse:
    """Change a club's label, kind, or whether it is carried."""
    found = fetch_editable(CLUBS, request.user, pk=club)
    form = ClubForm(request.POST or None, player=found.player, instance=found)
    if form.is_bound and form.is_valid():
        form.save()
        return redirect("clubs:bag", found.player_id)
    return _show_form(request, form, "Change the club", found.player, club=found)


@require_http_methods(["GET", "HEAD", "POST"])
def add_setup(request: HttpRequest, club: uuid.UUID) -> HttpResponse:
    """Note that a club was bent, regripped or replaced."""
    found = fetch_editable(CLUBS, request.user, pk=club)
    now = found.setup_now
    new = ClubSetup(club=found, loft_deg=now.loft_deg, bounce_deg=now.bounce_deg, reason="bent")
    return _setup_form(request, new, "Bent, regripped or new")


@require_http_methods(["GET", "HEAD", "POST"])
def setup(request: HttpRequest, club: uuid.UUID, valid_from: str) -> HttpResponse:
    """Correct a setup that was entered wrongly; it is named by its first day, or "first"."""
    found = fetch_editable(CLUBS, request.user, pk=club)
    try:
        day = None if valid_from == "first" else date.fromisoformat(valid_from)
    except ValueError:
        raise Http404("Setups are named by their first day.") from None
    held = found.setups.filter(valid_from=day).select_related("club__player__academy").first()
    if held is None:
        raise Http404("This club has no setup from that day.")
    return _setup_form(request, held, "Correct this setup")


def _setup_form(request: HttpRequest, setup: ClubSetup, title: str) -> HttpResponse:
    """Store a setup and move the club's shots to the setups that held on their days."""
    club = setup.club
    form = SetupForm(request.POST or None, instance=setup, today=club.player.academy.today())
    if not (form.is_bound and form.is_valid()):
        return _show_form(request, form, title, club.player, club=club, bending=True)
    with transaction.atomic():
        form.save()
        moved = resettle_setups(club=club)
    if moved:
        shots = "1 shot now counts" if moved == 1 else f"{moved} shots now count"
        messages.info(request, f"{shots} for the setup that held on the day.")
    return redirect("clubs:club", club.pk)


@require_POST
def add_reading(request: HttpRequest, club: uuid.UUID) -> HttpResponse:
    """Note a measured loft with the setup that held on the day; the same reading again is the one that is there."""
    found = fetch_editable(CLUBS, request.user, pk=club)
    form = ReadingForm(request.POST, today=found.player.academy.today())
    if not form.is_valid():
        return _show_club(request, found, reading_form=form, status=422)
    held = found.setup_on(form.cleaned_data["measured_on"])
    held.readings.get_or_create(**form.cleaned_data, defaults={"made_by": request.user})
    return redirect("clubs:club", found.pk)


@require_POST
def state_carries(request: HttpRequest, club: uuid.UUID) -> HttpResponse:
    """State carries until they are tested."""
    found = fetch_editable(CLUBS, request.user, pk=club)
    form = _carries_form(found, request.POST)
    if not form.is_valid():
        return _show_club(request, found, carries_form=form, status=422)
    today = found.player.academy.today()
    actions.state_carries(club=found, carries_m=form.carries_m(), stated_by=request.user, stated_on=today)
    return redirect("clubs:club", found.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def review(request: HttpRequest, player: uuid.UUID) -> HttpResponse:
    """Walk through a bag: lofts, grooves, gaps, drift. Stored whole, or with any fault not at all."""
    from analytics.drift import bag_drift, drift_words, suspects

    found = fetch_editable(PLAYERS, request.user, pk=player)
    today = found.academy.today()
    clubs = sorted(Club.objects.filter(player=found).carried().with_setups(), key=Club.loft_key)
    held = found.bag_reviews.filter(done_on=today).first()
    form = ReviewForm(request.POST if request.method == "POST" else None, clubs=clubs, review=held)
    if form.is_bound and form.is_valid():
        facts = {"lofts_deg": form.lofts_deg(), "grooves": form.grooves()}
        facts |= {name: form.cleaned_data[name] for name in ("gaps_looked_at", "notes")}
        stored = actions.review_bag(player=found, today=today, by=request.user, **facts)
        lofts = "every loft is checked" if stored.lofts_checked else "some lofts are still to be read"
        messages.success(request, f"The review is kept; {lofts}.")
        return redirect("clubs:bag", found.pk)
    context = {"form": form, "player": found, "clubs": clubs, "section": "players"}
    context |= {"drifts": drift_words(bag_drift(found)), "suspects": suspects(found)}
    return render(request, "clubs/review.html", context, status=422 if form.is_bound else 200)


@require_safe
def reviews(request: HttpRequest) -> HttpResponse:
    """Show whose bag is due for a review, the longest overdue first."""
    academies = list(request.user.staffed_academies())
    if not academies:
        raise PermissionDenied("This page is for coaches. Your own practice is on the start page.")
    players = Player.objects.editable_by(request.user).on_the_roster().select_related("academy")
    context = {"lines": pages.review_lines(players), "academies": academies, "section": "players"}
    return render(request, "clubs/reviews.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def bag_values(request: HttpRequest, academy: uuid.UUID) -> HttpResponse:
    """Set how far the academy's clubs may be bent and how long a review holds."""
    found = fetch_staffed(request.user, academy)
    form = BagValuesForm(request.POST if request.method == "POST" else None, instance=found)
    if form.is_bound and form.is_valid():
        form.save()
        messages.success(request, "Kept. Every bag of the academy goes by these values now.")
        return redirect("clubs:reviews")
    context = {"form": form, "academy": found, "section": "players"}
    return render(request, "clubs/bag_values.html", context, status=422 if form.is_bound else 200)
