"""Who coaches at an academy, and who owns it. There is always an owner."""

from dataclasses import dataclass
from uuid import UUID

from django.contrib.auth.hashers import make_password
from django.db import transaction

from practice.accounts.models import Academy, Membership, Role, User


class LastOwner(Exception):
    """Refuses to leave an academy without an owner."""

    def __init__(self):
        super().__init__("An academy needs an owner. Make somebody else an owner first.")


@dataclass(frozen=True)
class StaffLine:
    """One of the staff as the page shows them."""

    id: UUID
    name: str
    email: str
    is_owner: bool
    has_password: bool


def staff_lines(academy: Academy) -> list[StaffLine]:
    """Return owners and coaches by name."""
    found = academy.memberships.staff().select_related("user").order_by("user__name", "user__email")
    return [
        StaffLine(
            id=membership.user.pk,
            name=membership.user.name,
            email=membership.user.email or "",
            is_owner=membership.role == Role.OWNER,
            has_password=membership.user.has_usable_password(),
        )
        for membership in found
    ]


@transaction.atomic
def add_coach(*, academy: Academy, name: str, email: str) -> User:
    """Return the user with this e-mail, made where there is none, who coaches at the academy from now on."""
    fresh = {"name": name, "password": make_password(None)}
    user, _ = User.objects.get_or_create(email=email, defaults=fresh)
    if not user.memberships.staff().filter(academy=academy).exists():
        Membership.objects.create(academy=academy, user=user, role=Role.COACH)
    return user


@transaction.atomic
def change_role(*, academy: Academy, user: User, role: Role) -> None:
    """Make one of the staff an owner, or a coach. Again changes nothing."""
    if role != Role.OWNER:
        _leave_an_owner(academy, without=user.pk)
    academy.memberships.staff().filter(user=user).update(role=role)


@transaction.atomic
def remove_from_staff(*, academy: Academy, user_id: UUID) -> None:
    """End what the user may do here as one of the staff; what they did stays. Again changes nothing."""
    _leave_an_owner(academy, without=user_id)
    academy.memberships.staff().filter(user=user_id).delete()


def _leave_an_owner(academy: Academy, *, without: UUID) -> None:
    """Refuse to go on if nobody else owns the academy; under the lock two owners cannot remove each other."""
    Academy.objects.select_for_update().get(pk=academy.pk)
    if not academy.memberships.filter(role=Role.OWNER).exclude(user=without).exists():
        raise LastOwner
