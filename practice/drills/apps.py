from django.apps import AppConfig


class DrillsConfig(AppConfig):
    name = "practice.drills"
