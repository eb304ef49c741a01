from django.apps import AppConfig


class ClubsConfig(AppConfig):
    name = "practice.clubs"
