"""Signing in and out with a password, and setting one."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import PasswordChangeForm, SetPasswordForm
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import cache_control
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from practice.accounts.devices import forget_who_was_here, label_of, sign_in_here, sign_in_here_alone, sign_out_here
from practice.accounts.forms import SignInForm
from practice.accounts.models import Device, User


def start_of(user: User) -> str:
    """Return the name of the page on which this user's work begins."""
    return "players:roster" if user.coaches else "practice_sessions:shell"


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
@cache_control(no_store=True)
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    if request.user.is_authenticated:
        return redirect(onward(request))
    form = SignInForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid():
        device = Device.objects.create(user=form.user, label=label_of(request.headers.get("User-Agent", "")))
        sign_in_here(request, device)
        return forget_who_was_here(redirect(onward(request)))
    status = 422 if request.method == "POST" else 200
    return render(request, "accounts/sign_in.html", {"form": form, "next": onward(request)}, status=status)


@login_not_required  # sent again, it must end at the same page as the first time
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    sign_out_here(request)
    return forget_who_was_here(redirect(settings.LOGOUT_REDIRECT_URL))


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    """Set one's own password; who has one gives it first, for a phone may lie around."""
    if not request.user.email:
        raise PermissionDenied("A password goes with an e-mail, and you have none here: you sign in with a code.")
    form_class = PasswordChangeForm if request.user.has_usable_password() else SetPasswordForm
    form = form_class(request.user, request.POST or None)
    form.label_suffix = ""
    if request.method == "POST" and form.is_valid():
        form.save()
        sign_in_here_alone(request, label_of(request.headers.get("User-Agent", "")))
        messages.success(request, "Your password is set. Other devices are signed out.")
        return redirect("accounts:devices")
    status = 422 if request.method == "POST" else 200
    return render(request, "accounts/password.html", {"form": form}, status=status)
