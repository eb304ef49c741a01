"""What every request passes: the content policy, sign-in unless a view says otherwise, and a sign-in that rolls on."""

from datetime import timedelta

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, resolve_url
from django.utils import timezone

from practice.accounts.models import Device

RENEW_AFTER = timedelta(days=1)


class ContentPolicyMiddleware:
    """Sends the one policy of the settings with every answer."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        response.headers["Content-Security-Policy"] = settings.CONTENT_SECURITY_POLICY
        return response


class SignInRequiredMiddleware(LoginRequiredMiddleware):
    """Denies by default. A lapsed sign-in is a full redirect to a page, and 401 JSON to a script."""

    def handle_no_permission(self, request, view_func):
        if request.headers.get("Accept", "").startswith("application/json"):
            return JsonResponse({"error": "signed_out", "message": "Sign in again; nothing was lost."}, status=401)
        if request.headers.get("HX-Request"):
            return HttpResponse(status=401, headers={"HX-Redirect": resolve_url(self.get_login_url(view_func))})
        if request.method not in ("GET", "HEAD"):
            # A form's address answers no GET: leading back to it after the sign-in would end at an error page.
            return redirect(self.get_login_url(view_func))
        return super().handle_no_permission(request, view_func)


class RollingSignInMiddleware:
    """Renews a sign-in once a day, so that a device in use never has to sign in again.

    Once a day and not at every request, because each renewal writes two rows.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        renewed_at = request.session.get("renewed_at")
        now = timezone.now()
        if renewed_at is not None and now.timestamp() - renewed_at > RENEW_AFTER.total_seconds():
            request.session["renewed_at"] = now.timestamp()
            request.session.set_expiry(None)
            Device.objects.filter(session_key=request.session.session_key).update(last_seen_at=now)
        return self.get_response(request)
