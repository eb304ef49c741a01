"""The coach's analysis pages."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.accounts.access import fetch_staffed, fetch_visible
from practice.accounts.forms import CarryChartDaysForm, PassingForm
from practice.accounts.models import Academy
from practice.pages import render_page
from practice.planner.weeks import monday_of
from practice.players.models import Player

PLAYERS = Player.objects.select_related("academy")


@require_safe
def dashboard(request: HttpRequest, player) -> HttpResponse:
    """Show a player's distance control: every club and swing, and the trend of the one chosen."""
    from analytics.pages.dashboard import player_dashboard

    found = fetch_visible(PLAYERS, request.user, pk=player)
    shown = player_dashboard(found, request.GET.get("cell", ""))
    return render_page(request, "analytics/dashboard.html", {"dashboard": shown, "section": "players"}, partial="trend")


@require_safe
def carries(request: HttpRequest, player) -> HttpResponse:
    """Show a player's carry chart: every club and swing length, from stock balls only."""
    from analytics.pages.carries import carries_page

    found = fetch_visible(PLAYERS, request.user, pk=player)
    page = carries_page(found, request.GET.get("balls", ""))
    context = {"page": page, "section": "players", **_for_coach(request, found)}
    return render_page(request, "analytics/carries.html", context)


@require_safe
def shots_for_targets(request: HttpRequest, player) -> HttpResponse:
    """Show which stock shot fits which distance."""
    from analytics.pages.shots_for_targets import RadiusForm, targets_page

    found = fetch_visible(PLAYERS, request.user, pk=player)
    form = RadiusForm(request.GET.dict(), unit=found.shown_unit)
    page = targets_page(found, request.GET.get("balls", ""), form.chosen())
    context = {"page": page, "form": form, "section": "players", **_for_coach(request, found)}
    status = 200 if form.is_valid() else 422
    return render_page(request, "analytics/shots_for_targets.html", context, status=status)


@require_safe
def loft_change(request: HttpRequest, player) -> HttpResponse:
    """Show what another loft of a club, or a club more, would do."""
    from analytics.pages.bend_words import CAUTION
    from analytics.pages.loft_change import loft_change_page

    found = fetch_visible(PLAYERS, request.user, pk=player)
    page = loft_change_page(found, request.GET.dict())
    context = {"page": page, "caution": CAUTION, "section": "players", **_for_coach(request, found)}
    status = 422 if page.is_faulty else 200
    return render_page(request, "analytics/loft_change.html", context, partial="change", status=status)


@require_safe
def loft_plan(request: HttpRequest, player) -> HttpResponse:
    """Show which clubs to bend so that the full carries step evenly."""
    from analytics.pages.bend_words import CAUTION
    from analytics.pages.loft_plan import loft_plan_page

    found = fetch_visible(PLAYERS, request.user, pk=player)
    page = loft_plan_page(found, request.GET)
    context = {"page": page, "caution": CAUTION, "section": "players", **_for_coach(request, found)}
    status = 422 if page.is_faulty else 200
    return render_page(request, "analytics/loft_plan.html", context, partial="plan", status=status)


@require_safe
def work_order(request: HttpRequest, player) -> HttpResponse:
    """Show the order for the club fitter as it is printed."""
    from analytics.pages.bend_words import CAUTION
    from analytics.pages.work_order import work_order

    found = fetch_visible(PLAYERS, request.user, pk=player)
    order = work_order(found, request.GET.getlist("bend"))
    context = {"order": order, "caution": CAUTION, "section": "players"}
    return render_page(request, "analytics/work_order.html", context, status=422 if order.faults else 200)


def _for_coach(request: HttpRequest, player: Player) -> dict:
    """Return whether the reader coaches this player, and the week in which a carry test can be planned."""
    coaches = Player.objects.editable_by(request.user).filter(pk=player.pk).exists()
    return {"coaches_player": coaches, "monday": monday_of(player.academy.today()).isoformat()}


@require_http_methods(["GET", "HEAD", "POST"])
def carry_chart_days(request: HttpRequest, academy) -> HttpResponse:
    """Set how many days of stock balls count."""
    found = fetch_staffed(request.user, academy)
    form = CarryChartDaysForm(_sent(request), instance=found)
    if form.is_bound and form.is_valid():
        form.save()
        messages.success(request, f"The last {found.carry_chart_days} days count in every carry chart.")
        return redirect("analytics:carry_chart_days", found.pk)
    return _show_form(request, "analytics/carry_chart_days.html", form, found)


@require_http_methods(["GET", "HEAD", "POST"])
def passing_values(request: HttpRequest, academy) -> HttpResponse:
    """Set what a player passes a stage of the suggested week with."""
    found = fetch_staffed(request.user, academy)
    form = PassingForm(_sent(request), instance=found)
    if form.is_bound and form.is_valid():
        form.save()
        messages.success(request, "Kept. Every suggested week goes by these values now.")
        return redirect("analytics:passing_values", found.pk)
    return _show_form(request, "analytics/passing_values.html", form, found)


@require_http_methods(["GET", "HEAD", "POST"])
def putting_table(request: HttpRequest, academy) -> HttpResponse:
    """Change the putts that the academy expects from each distance."""
    from analytics.putting_table import PuttingTableForm

    found = fetch_staffed(request.user, academy)
    form = PuttingTableForm(_sent(request), academy=found)
    if form.is_bound and form.is_valid():
        form.save()
        messages.success(request, "Kept. Every choice of a shot is worked out with this table now.")
        return redirect("analytics:putting_table", found.pk)
    return _show_form(request, "analytics/putting_table.html", form, found)


@require_POST
def reset_putting_table(request: HttpRequest, academy) -> HttpResponse:
    """Go back to the published table."""
    from analytics.putting_table import reset_to_published

    found = fetch_staffed(request.user, academy)
    reset_to_published(found)
    messages.success(request, "The published table counts again.")
    return redirect("analytics:putting_table", found.pk)


def _sent(request: HttpRequest):
    return request.POST if request.method == "POST" else None


def _show_form(request: HttpRequest, template: str, form, academy: Academy) -> HttpResponse:
    context = {"form": form, "academy": academy, "section": "players"}
    return render_page(request, template, context, status=422 if form.is_bound else 200)


@require_safe
def progress(request: HttpRequest, player) -> HttpResponse:
    """Show whether a player's distance control is changing, and what it would take to see more."""
    from analytics.pages.progress import EffortForm, progress_page

    found = fetch_visible(PLAYERS, request.user, pk=player)
    form = EffortForm.of(request.GET)
    page = progress_page(found, **form.asked())
    context = {"page": page, "form": form, "section": "players"}
    status = 200 if form.is_valid() else 422
    # The dashboard asks for the sentence alone, once it stands: following every visit takes longer than its own scores.
    partial = "progress-headline" if request.headers.get("HX-Target") == "progress-headline" else "effort"
    return render_page(request, "analytics/progress.html", context, partial=partial, status=status)


@require_safe
def judged(request: HttpRequest, player) -> HttpResponse:
    """Show each club and swing judged together with the player's others."""
    from analytics.pages.judged import judged_page

    found = fetch_visible(PLAYERS, request.user, pk=player)
    return render_page(request, "analytics/judged.html", {"page": judged_page(found), "section": "players"})


@require_safe
def gaps(request: HttpRequest, player) -> HttpResponse:
    """Show how evenly the clubs of a bag step, in loft and in carry, and which distances have no shot."""
    from analytics.pages.gaps import gaps_page

    found = fetch_visible(PLAYERS, request.user, pk=player)
    page = gaps_page(found, request.GET.get("balls", ""), request.GET.get("swing", ""))
    context = {"page": page, "section": "players", **_for_coach(request, found)}
    return render_page(request, "analytics/gaps.html", context)


@require_safe
def numbers(request: HttpRequest) -> HttpResponse:
    """Say how the numbers are made, for whoever reads them."""
    return render_page(request, "analytics/numbers.html", {"section": "players"})


@require_safe
def strike(request: HttpRequest, player) -> HttpResponse:
    """Show where on the face a player hits the ball with one club, and how closely."""
    from analytics.pages.strike import strike_page

    found = fetch_visible(PLAYERS, request.user, pk=player)
    page = strike_page(found, request.GET.get("club", ""))
    context = {"page": page, "section": "players", **_for_coach(request, found)}
    return render_page(request, "analytics/strike.html", context)


@require_safe
def wind_and_slope(request: HttpRequest, player) -> HttpResponse:
    """Show what a wind or a green of another height may do to a pitch."""
    from analytics.pages.wind_and_slope import ConditionsForm, wind_and_slope_page

    found = fetch_visible(PLAYERS, request.user, pk=player)
    form = ConditionsForm(request.GET.dict(), unit=found.shown_unit)
    page = wind_and_slope_page(found, form.asked())
    context = {"page": page, "form": form, "section": "players"}
    return render_page(request, "analytics/wind_and_slope.html", context, status=200 if form.is_valid() else 422)
