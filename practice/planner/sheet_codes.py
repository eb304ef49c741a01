"""The codes of the printed sheet: circled by pencil at the range, typed in by the same letters afterwards."""

from hashlib import sha256
from math import floor
from uuid import UUID

from practice.planner.models import Logging
from practice.units import DistanceUnit

DEPTHS = {
    "ss": (-2, "far short"),
    "s": (-1, "short"),
    "o": (0, "on it"),
    "l": (1, "long"),
    "ll": (2, "far long"),
}
"""How many by-eye zones past the target, + is long, and the words."""

SIDES = {"l": (-1, "left"), "m": (0, "in the middle"), "r": (1, "right")}
"""How many by-eye zones to the side, + is right, and the words."""

MISHITS = {"f": "fat", "t": "thin", "p": "topped", "s": "shank"}
"""The contacts of a mishit, as shots store them."""

NOT_SEEN = "n"
NO_MATCH = "x"
"""The through did not match the back: no stock ball."""

ALPHABET = "23456789ABCDEFGHJKMNPQRTVWXY"
"""What a sheet's code is made of: no two that a pencil makes alike."""

CODE_LENGTH = 4


THIRD = 3


def is_noted(logging: str, n: int, last: int) -> bool:
    """Return whether ball n of a block gets a result: under "third" every third and the last."""
    return logging != Logging.THIRD or n % THIRD == 0 or n == last


def block_code(block: UUID) -> str:
    """Return the short code by which a block of a sheet is found again; of a player's blocks two may share one."""
    number = int.from_bytes(sha256(block.bytes).digest()[:8])
    code = ""
    for _ in range(CODE_LENGTH):
        number, place = divmod(number, len(ALPHABET))
        code += ALPHABET[place]
    return code


def zone_m(unit: DistanceUnit, target_m: float | None) -> float:
    """Return the size of a by-eye zone in metres, the same as on the phone.

    A tenth of the distance in steps of 5 yards or metres, smaller where 5 would be half the shot; for a ball without a
    distance that of 50.
    """
    target = 50.0 if target_m is None else unit.from_m(target_m)
    return unit.to_m(2.0 if target < 15 else max(5.0, 5.0 * floor(target / 50 + 0.5)))
