from django.apps import AppConfig


class VenuesConfig(AppConfig):
    name = "practice.venues"
