"""Who may see what: the two doors through which views, sync, exports and frames reach a row."""

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import models
from django.db.models import Q
from django.http import Http404

from practice.columns import Columns, insert_columns


class AcademyQuerySet(models.QuerySet):
    """Rows that an academy owns.

    A model says by `own` which lookup leads to the user whose own row it is ("" where no player's), by
    `own_is_editable` whether that user may change it, and by `shared` whether every player of the academy may read it.
    """

    own = ""
    own_is_editable = False
    shared = False

    def _staffed_by(self, user) -> Q:
        from_memberships = user.memberships.filter(role__in=("owner", "coach")).values("academy")
        return Q(academy__in=from_memberships)

    def _owned_by(self, user) -> Q:
        return Q(**{self.own: user}) if self.own else Q(pk__in=[])

    def visible_to(self, user):
        """Return the rows that the user may know of; anything else is a 404."""
        allowed = self._staffed_by(user) | self._owned_by(user)
        if self.shared:
            allowed |= Q(academy__in=user.memberships.values("academy"))
        return self.filter(allowed)

    def editable_by(self, user):
        """Return the rows that the user may change; a visible one that is not here is a 403."""
        allowed = self._staffed_by(user)
        if self.own_is_editable:
            allowed |= self._owned_by(user)
        return self.filter(allowed)

    def looked_after_by(self, user):
        """Return the rows of the academies in which the user is owner or coach."""
        return self.filter(self._staffed_by(user))

    def bulk_create(self, objs, *args, **kwargs):
        """Insert many rows, each checked against its parent's academy first."""
        objs = list(objs)
        for obj in objs:
            obj.take_academy()
        return super().bulk_create(objs, *args, **kwargs)


class AcademyOwned(models.Model):
    """A row that carries its academy, equal to its parent's: what a sharded database would distribute by."""

    academy = models.ForeignKey("accounts.Academy", models.CASCADE, related_name="+")

    academy_from = ""
    """Name of the field whose row this one belongs to; "" where the academy itself is the parent."""

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        self.take_academy()
        super().save(*args, **kwargs)

    def take_academy(self):
        """Take the parent's academy, or refuse one that differs."""
        if not self.academy_from:
            return
        parents = getattr(self, self.academy_from).academy_id
        if self.academy_id is None:
            self.academy_id = parents
        if self.academy_id != parents:
            raise ValidationError(f"A {self._meta.verbose_name} belongs to the academy of its {self.academy_from}.")


def insert_of(model: type[AcademyOwned], owner, columns: Columns) -> list:
    """Insert new rows, given as columns, that belong to one owner and take its academy; return their keys."""
    count = len(next(iter(columns.values())))
    return insert_columns(model, columns | {"academy_id": [owner.academy_id] * count})


def fetch_visible(queryset, user, **lookup):
    """Return the one row that the user may see, or raise 404."""
    found = queryset.visible_to(user).filter(**lookup).first()
    if found is None:
        raise Http404("There is nothing here for you.")
    return found


def fetch_editable(queryset, user, **lookup):
    """Return the one row that the user may change: 404 where they may not see it, 403 where they may only look."""
    found = queryset.editable_by(user).filter(**lookup).first()
    if found is None:
        fetch_visible(queryset, user, **lookup)
        raise PermissionDenied("You can look at this but not change it.")
    return found


def fetch_staffed(user, academy):
    """Return the academy of that id if the user is on its staff; a player of it gets 403, anybody else 404."""
    own = list(user.memberships.filter(academy=academy).select_related("academy"))
    if not own:
        raise Http404("There is nothing here for you.")
    if not any(membership.role in ("owner", "coach") for membership in own):
        raise PermissionDenied("You can look at what is made of this but not change it.")
    return own[0].academy
