"""Stays at a range or course, with their conditions."""

from django.db import models
from django.db.models import Q

from practice.players.models import Player
from practice.sessions.models.allowed import one_of, within
from practice.sessions.models.phone_items import OwnQuerySet, PhoneItem
from practice.sessions.words import BallType, MeasuredBy, Setting, Stand, Surface, Wind, WindFrom
from practice.venues.models import Bay, TeeLine, Venue


class Visit(PhoneItem):
    """One stay at a range or course: where the player stood and how distances were known. Shots copy its conditions."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="visits")
    venue = models.ForeignKey(Venue, models.RESTRICT, related_name="+")
    tee_line = models.ForeignKey(TeeLine, models.SET_NULL, null=True, blank=True, related_name="+")
    bay = models.ForeignKey(Bay, models.SET_NULL, null=True, blank=True, related_name="+")
    started_at = models.DateTimeField()
    setting = models.CharField(max_length=6, choices=Setting, default=Setting.RANGE)
    label = models.CharField(max_length=40, blank=True)
    stand = models.CharField(max_length=9, choices=Stand, default=Stand.UNCHECKED)
    offset_m = models.FloatField(default=0.0)
    measured_by = models.CharField(max_length=7, choices=MeasuredBy, default=MeasuredBy.EYE)
    resolution_m = models.FloatField(null=True, blank=True)
    ball_type = models.CharField(max_length=7, choices=BallType, blank=True)
    surface = models.CharField(max_length=5, choices=Surface, blank=True)
    wind = models.CharField(max_length=6, choices=Wind, blank=True)
    wind_from = models.CharField(max_length=6, choices=WindFrom, blank=True)

    objects = OwnQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "uid"], name="visit_id_once_a_player"),
            models.CheckConstraint(condition=one_of("setting", Setting, empty=False), name="visit_setting"),
            models.CheckConstraint(condition=one_of("stand", Stand, empty=False), name="visit_stand"),
            models.CheckConstraint(condition=Q(offset_m__gte=-50, offset_m__lte=50), name="visit_offset"),
            models.CheckConstraint(condition=one_of("measured_by", MeasuredBy, empty=False), name="visit_measured_by"),
            models.CheckConstraint(condition=within("resolution_m", 0, 50), name="visit_resolution"),
            models.CheckConstraint(condition=one_of("ball_type", BallType), name="visit_ball_type"),
            models.CheckConstraint(condition=one_of("surface", Surface), name="visit_surface"),
            models.CheckConstraint(condition=one_of("wind", Wind), name="visit_wind"),
            models.CheckConstraint(condition=one_of("wind_from", WindFrom), name="visit_wind_from"),
        ]

    def __str__(self):
        return f"{self.player} at {self.venue}"
