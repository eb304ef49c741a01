"""What changes a player together with other rows."""

from uuid import UUID

from django.db import transaction
from django.utils.text import slugify

from practice.accounts.models import Academy, Membership, Role, User
from practice.players.models import Player


def free_slug(academy: Academy, name: str) -> str:
    """Return a slug made of the name that no player of the academy has: sam-lee, sam-lee-2, ..."""
    stem = slugify(name)[:70] or "player"
    taken = set(Player.objects.filter(academy=academy, slug__startswith=stem).values_list("slug", flat=True))
    number, slug = 1, stem
    while slug in taken:
        number += 1
        slug = f"{stem}-{number}"
    return slug


@transaction.atomic
def add_player(*, id: UUID, academy: Academy, **facts) -> Player:
    """Add a player under an id that the form brought along, so that a form sent twice adds one player."""
    facts["slug"] = free_slug(academy, facts["name"])
    player, _ = Player.objects.get_or_create(pk=id, defaults={"academy": academy, **facts})
    return player


@transaction.atomic
def give_sign_in(*, player: Player) -> User:
    """Return the player's user, made without e-mail or password where there is none yet."""
    player = Player.objects.select_for_update(of=("self",)).select_related("user").get(pk=player.pk)
    if player.user is None:
        player.user = User.objects.create_user(name=player.name)
        player.save(update_fields=["user"])
        Membership.objects.create(academy_id=player.academy_id, user=player.user, role=Role.PLAYER)
    return player.user
