from django.apps import AppConfig


class PlayersConfig(AppConfig):
    name = "practice.players"
