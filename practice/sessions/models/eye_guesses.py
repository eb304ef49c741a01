"""Distances judged by eye, with what a laser said."""

from django.db import models
from django.db.models import Q

from practice.players.models import Player
from practice.sessions.models.allowed import within
from practice.sessions.models.phone_items import OwnQuerySet, PhoneItem


class EyeGuessQuerySet(OwnQuerySet):
    def checked(self):
        """Return the guesses that a laser answered."""
        return self.filter(deleted=False, measured_m__isnull=False)


class EyeGuess(PhoneItem):
    """A distance judged by eye, kept before the laser was read; `measured_m` is missing where it never was."""

    player = models.ForeignKey(Player, models.CASCADE, related_name="eye_guesses")
    guessed_at = models.DateTimeField()
    guess_m = models.FloatField()
    measured_m = models.FloatField(null=True, blank=True)

    objects = EyeGuessQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "eye guesses"
        constraints = [
            models.UniqueConstraint(fields=["player", "uid"], name="eye_guess_id_once_a_player"),
            models.CheckConstraint(condition=Q(guess_m__gte=0.5, guess_m__lte=400), name="eye_guess_guess"),
            models.CheckConstraint(condition=within("measured_m", 0.5, 400), name="eye_guess_measured"),
        ]

    def __str__(self):
        return f"{self.player} guessed {self.guess_m:g} m"
