"""Forms about a player."""

from datetime import date

from django import forms

from practice.accounts.models import Academy
from practice.ids import uuid7
from practice.players.models import Player
from practice.units import DistanceUnit


class PlayerForm(forms.ModelForm):
    """What a coach notes about a player."""

    class Meta:
        model = Player
        fields = (
            "name",
            "handed",
            "distance_unit",
            "is_junior",
            "consent_noted_on",
            "consent_note",
            "daily_ball_limit",
        )
        labels = {
            "distance_unit": "Distances in",
            "is_junior": "Junior",
            "consent_noted_on": "Consent noted on",
            "consent_note": "Who consented, and how",
            "daily_ball_limit": "Your own limit of balls a day",
        }
        help_texts = {
            "consent_noted_on": "For a minor: the day a parent or guardian agreed that practice is recorded.",
            "daily_ball_limit": "Not a medical limit. Leave it empty for the one of your academy, if it set any.",
        }
        error_messages = {"name": {"required": "Enter the player's name."}}
        widgets = {
            # ISO, whatever the language: the only form a date field of a browser takes
            "consent_noted_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "daily_ball_limit": forms.NumberInput(attrs={"min": 1, "max": 1000, "inputmode": "numeric"}),
        }

    def __init__(self, *args, today: date, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)
        self.today = today
        units = self.fields["distance_unit"]
        units.choices = [("", "the academy's unit"), *DistanceUnit.choices]

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())

    def clean_consent_noted_on(self) -> date | None:
        noted_on = self.cleaned_data["consent_noted_on"]
        if noted_on and noted_on > self.today:
            raise forms.ValidationError("This day has not come yet. Enter the day on which consent was given.")
        return noted_on

    def clean_daily_ball_limit(self) -> int | None:
        limit = self.cleaned_data["daily_ball_limit"]
        if limit is not None and not 1 <= limit <= 1000:
            raise forms.ValidationError("Enter 1 to 1000 balls, or leave it empty for no limit.")
        return limit


class NewPlayerForm(PlayerForm):
    """A new player; asks for the academy only where the coach has a choice."""

    id = forms.UUIDField(widget=forms.HiddenInput)
    academy = forms.ModelChoiceField(Academy.objects.none(), empty_label=None)

    class Meta(PlayerForm.Meta):
        fields = ("academy", *PlayerForm.Meta.fields)

    def __init__(self, *args, academies: list[Academy], **kwargs):
        super().__init__(*args, today=max(academy.today() for academy in academies), **kwargs)
        self.fields["academy"].queryset = Academy.objects.filter(pk__in=[academy.pk for academy in academies])
        self.initial["id"] = uuid7()
        if len(academies) == 1:
            self.fields["academy"].widget = forms.HiddenInput()
            self.initial["academy"] = academies[0].pk
