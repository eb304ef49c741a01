"""Whose sign-in a request comes with: Django's sessions and users, asked for by statements that are made once.

Every request asks for both, and logging a ball asks for little else that takes as long.
"""

from uuid import UUID

from django.contrib.auth.backends import ModelBackend
from django.contrib.sessions.backends import db
from django.contrib.sessions.models import Session
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


class UserBackend(ModelBackend):
    def get_user(self, user_id: UUID) -> User | None:
        return next((user for user in USERS.rows(user_id) if self.user_can_authenticate(user)), None)
