"""The words a shot is described with: short stable values, as stored, exported and imported."""

from django.db import models


class Contact(models.TextChoices):
    CLEAN = "clean"
    FAT = "fat"
    THIN = "thin"
    TOPPED = "topped"
    SHANK = "shank"


MISHITS = (Contact.FAT, Contact.THIN, Contact.TOPPED, Contact.SHANK)
"""Contacts with which the ball did not do what that swing does."""


TURF_CONTACTS = (Contact.CLEAN, Contact.THIN, Contact.FAT)
"""How a swing can meet the turf; the others need a ball and its flight to tell."""


class Ground(models.TextChoices):
    """What a swing left on the ground."""

    BRUSH = "brush", "brushed"
    DIVOT = "divot"
    NONE = "none", "no ground"


class Voice(models.TextChoices):
    """What goes through a smooth swing, and tells by breaking that the swing did."""

    HUM = "hum", "a hum"
    BREATH = "breath", "a breath out"


class ContactNote(models.TextChoices):
    """A slightly heavy or thin ball that still flew is clean, with a note."""

    HEAVY = "heavy", "a little heavy"
    THIN = "thin", "a little thin"


class MeasuredBy(models.TextChoices):
    MONITOR = "monitor", "launch monitor"
    LASER = "laser"
    EYE = "eye", "by eye"


class DistanceIs(models.TextChoices):
    CARRY = "carry"
    FINISH = "finish"


class Setting(models.TextChoices):
    RANGE = "range"
    COURSE = "course"


class BallType(models.TextChoices):
    RANGE = "range", "range balls"
    OWN = "own", "own balls"
    LIMITED = "limited", "limited-flight balls"


class Surface(models.TextChoices):
    MAT = "mat"
    GRASS = "grass"
    SAND = "sand"


class Lie(models.TextChoices):
    FAIRWAY = "fairway"
    ROUGH = "rough"
    BARE = "bare"
    SAND = "sand"


class Wind(models.TextChoices):
    CALM = "calm", "calm (under 2 m/s)"
    BREEZE = "breeze", "breeze (2 to 4 m/s)"
    WINDY = "windy", "windy (over 4 m/s)"


class WindFrom(models.TextChoices):
    AHEAD = "ahead", "into the wind"
    BEHIND = "behind", "down the wind"
    LEFT = "left", "from the left"
    RIGHT = "right", "from the right"


class Source(models.TextChoices):
    PHONE = "phone"
    CSV = "csv"
    API = "api"
    SHEET = "sheet"


class Stand(models.TextChoices):
    """How the player's own place against the tee line is known."""

    LINE = "line", "on the tee line"
    OFFSET = "offset", "in front of or behind it"
    LASERED = "lasered", "distances lasered from here"
    UNCHECKED = "unchecked", "nobody checked"
