"""Whose sign-in a request comes with: Django's sessions and users, asked for by statements that are made once.

Every request asks for both, and logging a ball asks for little else that takes as long.
"""

import json
from functools import lru_cache
from uuid import UUID

from django.conf import settings
from django.contrib.auth.backends import ModelBackend
from django.contrib.sessions.backends import db
from django.contrib.sessions.models import Session
from django.core import signing
from django.utils import timezone

from practice.accounts.models import User
from practice.statements import Statement

SESSIONS = Statement(lambda key: Session.objects.filter(session_key=key).values_list("session_data", "expire_date"))
# Neither date is asked of the one who is signed in.
USERS = Statement(lambda user: User.objects.filter(pk=user).defer("last_login", "created_at"))


class SessionStore(db.SessionStore):
    def load(self) -> dict:
        for data, expires_at in SESSIONS.rows(self.session_key):
            if expires_at > timezone.now():
                return self.decode(data)
        self._session_key = None
        return {}

    def decode(self, session_data: str) -> dict:
        try:
            payload = _payload(session_data, self.key_salt, settings.SECRET_KEY)
        except Exception:
            # Django's own says in the log what is wrong with it, and signs nobody in.
            return super().decode(session_data)
        return json.loads(payload)


class _Payload:
    """In the place of what reads JSON: leaves it as it stands."""

    def loads(self, payload: bytes) -> bytes:
        return payload


@lru_cache(1024)
def _payload(session_data: str, salt: str, secret_key: str) -> bytes:
    """Return a session's JSON, or raise where its signature is wrong.

    A phone comes with the same session again and again, and to check the signature takes as long as to read the row.
    """
    return signing.loads(session_data, key=secret_key, salt=salt, serializer=_Payload)


class UserBackend(ModelBackend):
    def get_user(self, user_id: UUID) -> User | None:
        return next((user for user in USERS.rows(user_id) if self.user_can_authenticate(user)), None)
