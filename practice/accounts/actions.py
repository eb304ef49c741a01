"""Sign-in links: made by a coach, opened once on one device."""

import hashlib
import logging
import secrets
from datetime import timedelta

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from practice.accounts.models import Academy, Device, Role, SignInLink, User

log = logging.getLogger(__name__)

RESEND_GRACE = timedelta(minutes=5)
"""How long after its expiry a redeemed link still answers the browser that redeemed it: browsers resend POSTs."""


ASK = "Ask your coach for a new code."


class LinkRefused(Exception):
    """A link that lets nobody in: the status to answer with, and what to do."""

    def __init__(self, status: int, message: str):
        super().__init__(message)
        self.status = status
        self.message = message


def digest(secret: str) -> str:
    """Return the SHA-256 of a secret in hexadecimal, which is all that is stored of it."""
    return hashlib.sha256(secret.encode()).hexdigest()


def may_hand_link(*, user: User, by: User) -> bool:
    """Tell whether a link to be this user gives nobody rights that its maker has not.

    A coach has those of the players of their academies; an owner those of everybody in theirs.
    """
    covered = Q(role=Role.PLAYER, academy__in=by.staffed_academies()) | Q(academy__in=by.owned_academies())
    return not user.memberships.exclude(covered).exists()


def check_may_hand_link(*, user: User, by: User) -> None:
    """Refuse a link to somebody with rights that its maker has not: whoever holds the link is that person."""
    if not may_hand_link(user=user, by=by):
        raise PermissionDenied(
            f"{user.name} is also on the staff, or at another academy, and signs in with an e-mail and password."
        )


@transaction.atomic
def make_sign_in_link(*, academy: Academy, user: User, made_by: User) -> tuple[SignInLink, str]:
    """Make a link and return it with its token, which is shown once and not stored.

    The user's earlier links end, so that only the code now on the coach's screen lets anybody in.
    """
    now = timezone.now()
    SignInLink.objects.filter(user=user).open().update(expires_at=now)
    token = secrets.token_urlsafe(32)
    link = SignInLink.objects.create(
        academy=academy,
        user=user,
        made_by=made_by,
        token_sha256=digest(token),
        expires_at=now + timedelta(minutes=settings.SIGN_IN_LINK_MINUTES),
    )
    log.info("sign-in link %s made by user %s", link.pk, made_by.pk)
    return link, token


def find_link(token: str, nonce: str) -> SignInLink:
    """Return the link that this token opens for the browser that holds the nonce, or raise LinkRefused."""
    link = SignInLink.objects.select_related("user", "device").filter(token_sha256=digest(token)).first()
    now = timezone.now()
    if link is None:
        raise refusal(404, f"This code is not known. {ASK}")
    if link.redeemed_at is None and link.expires_at <= now:
        raise refusal(410, f"This code is too old. {ASK}", link)
    if link.redeemed_at is None:
        return link
    same_browser = secrets.compare_digest(link.nonce_sha256, digest(nonce))
    if not same_browser or link.expires_at + RESEND_GRACE <= now or link.device.revoked_at is not None:
        raise refusal(410, f"This code was used already; each works once. {ASK}", link)
    return link


def refusal(status: int, message: str, link: SignInLink | None = None) -> LinkRefused:
    """Note in the log why a link is refused, and return what to raise."""
    log.warning("sign-in link %s refused: %s", link.pk if link else "(none)", message)
    return LinkRefused(status, message)


@transaction.atomic
def redeem_sign_in_link(*, token: str, nonce: str, label: str) -> Device:
    """Use the link up and return the device it leaves; the same nonce again gets the same device.

    One guarded UPDATE decides between two requests at the same moment.
    """
    link = find_link(token, nonce)
    if not nonce:
        raise refusal(400, "Signing in needs cookies. Allow them for this site, then open the code again.", link)
    if link.redeemed_at is None:
        device = Device.objects.create(user=link.user, label=label)
        unused = SignInLink.objects.filter(pk=link.pk).open()
        if unused.update(redeemed_at=timezone.now(), nonce_sha256=digest(nonce), device=device):
            log.info("sign-in link %s redeemed by device %s", link.pk, device.pk)
            return device
        device.delete()
        link = find_link(token, nonce)
    return Device.objects.select_for_update().get(pk=link.device_id)
