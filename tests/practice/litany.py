"""The litany said for every view: works, wrong role, team mate, outsider, signed out, bad id, wrong method.

Each app keeps its rows in a module `litany.py` beside its tests, as a list `ROWS`; `all_rows` collects them and
test_views.py says the litany for each. A view that answers GET and POST has a row for each.
"""

import importlib
import pkgutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

import tests
from practice.accounts.models import Academy, Role, User
from practice.players.models import Player
from tests import make

ROLES = ("owner", "coach", "player", "team_mate", "outsider", "signed_out")
METHODS = ("get", "post", "put", "patch", "delete")


@dataclass(frozen=True)
class Cast:
    """One academy with its people, and the coach of another one."""

    academy: Academy
    owner: User
    coach: User
    player: Player
    team_mate: Player
    outsider: User

    def client(self, role: str) -> Client:
        """Return a browser signed in as one of the cast."""
        client = Client()
        someone = getattr(self, role, None)
        if someone is not None:
            client.force_login(someone.user if isinstance(someone, Player) else someone)
        return client


def make_cast() -> Cast:
    """Make the cast; the outsider coaches somewhere else."""
    academy = make.make_academy()
    return Cast(
        academy=academy,
        owner=make.make_staff(academy, role=Role.OWNER),
        coach=make.make_staff(academy),
        player=make.make_player(academy, signs_in=True),
        team_mate=make.make_player(academy, signs_in=True),
        outsider=make.make_staff(make.make_academy()),
    )


def nothing(cast: Cast) -> dict:
    return {}


def the_player(cast: Cast) -> dict:
    """Return the part of the address that names the player."""
    return {"player": cast.player.pk}


@dataclass(frozen=True)
class Row:
    """What one method of one view answers to each of the cast.

    `address` makes what the view is about and returns the parts of its address; `data` is called after it and
    returns what is sent. `works` is what owner and coach get where they have no status of their own. The defaults are
    those of a coach's page about one player; a page about nobody has other answers for team mate and outsider.
    `forgiven` names the parts of the address of which an unknown id is no fault: what is to be removed may be gone.
    """

    view: str
    address: Callable[[Cast], dict] = nothing
    method: str = "get"
    data: Callable[[Cast], dict] = nothing
    works: int = 200
    owner: int = 0
    coach: int = 0
    player: int = 403
    team_mate: int = 404
    outsider: int = 404
    signed_out: int = 302
    headers: dict = field(default_factory=dict)
    forgiven: tuple[str, ...] = ()

    def __str__(self):
        """Name the row; one view may have a row for each state of what it is about."""
        return f"{self.view} {self.method} {self.address.__name__}"

    def status_for(self, role: str) -> int:
        """Return the status that this role gets."""
        return getattr(self, role) or self.works

    def ask(self, client: Client, address: dict, data: dict, *, method: str = ""):
        """Send the request, by this row's method or another one."""
        send = getattr(client, method or self.method)
        return send(reverse(self.view, kwargs=address), data, headers=self.headers)


def all_rows() -> list[Row]:
    """Return the rows of every app: those of the modules named litany below tests/."""
    names = [found.name for found in pkgutil.walk_packages(tests.__path__, "tests.") if found.name.endswith(".litany")]
    modules = [importlib.import_module(name) for name in sorted(names) if name != __name__]
    return [row for module in modules for row in module.ROWS]


def views(patterns=None, space: str = "") -> Iterator[tuple[str, URLPattern]]:
    """Yield every address as (namespace:name, pattern)."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLPattern):
            yield f"{space}{pattern.name}", pattern
        else:
            yield from views(pattern.url_patterns, f"{space}{pattern.namespace}:" if pattern.namespace else space)
