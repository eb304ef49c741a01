from django.apps import AppConfig


class SessionsConfig(AppConfig):
    name = "practice.sessions"
    # Django has an app labelled "sessions" of its own.
    label = "practice_sessions"
