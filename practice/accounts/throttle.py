"""Slows the guessing of passwords: so many wrong tries for one e-mail from one address, then a wait.

Counts stand in the cache of each server process, so several processes allow as many times more tries.
"""

import hashlib

from django.core.cache import cache

TRIES = 10
WAIT_MINUTES = 15


class WrongTries:
    """The wrong tries of one e-mail from one address; the cache is given a digest and no personal data."""

    def __init__(self, email: str, address: str):
        named = f"{email.lower()} {address}".encode()
        self.key = f"wrong-tries-{hashlib.sha256(named).hexdigest()}"

    def too_many(self) -> bool:
        """Return whether the next try has to wait."""
        return cache.get(self.key, 0) >= TRIES

    def add(self) -> None:
        """Count one more."""
        cache.set(self.key, cache.get(self.key, 0) + 1, WAIT_MINUTES * 60)

    def forget(self) -> None:
        """Start anew after a right one."""
        cache.delete(self.key)
