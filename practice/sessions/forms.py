"""Forms of the coach's side of what was done."""

from datetime import date, timedelta

from django import forms

from practice.planner.models import Block
from practice.sessions.models import Shot
from practice.sessions.words import BallType, MeasuredBy, Surface
from practice.venues.models import Venue

UNKNOWN = ("", "unknown")


class SetAsideForm(forms.Form):
    reason = forms.CharField(
        label="Why does this shot not count?",
        help_text="For example: hit a second ball by mistake, the monitor read another bay.",
        max_length=Shot._meta.get_field("set_aside_reason").max_length,
        error_messages={"required": "Give a reason: the player reads it, and so will you in a month."},
    )


class SheetForm(forms.Form):
    """What holds for all balls of a typed sheet."""

    day = forms.DateField(
        label="Hit on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": "Enter the day on which the balls were hit."},
    )
    venue = forms.ModelChoiceField(
        Venue.objects.none(),
        required=False,
        label="Where",
        empty_label="a place not on the list",
        error_messages={"invalid_choice": "That range is closed since. Choose another one."},
    )
    measured_by = forms.ChoiceField(
        choices=MeasuredBy.choices,
        label="Distances typed as numbers are known by",
        help_text="What was circled in letters is always by eye.",
    )
    ball_type = forms.ChoiceField(choices=[*BallType.choices, UNKNOWN], required=False, label="Which balls")
    surface = forms.ChoiceField(choices=[*Surface.choices, UNKNOWN], required=False, label="Off what")

    def __init__(self, data, *, block: Block, of_shots: bool, today: date):
        self.today = today
        due = block.plan.monday + timedelta(days=block.day or 0)
        initial = {
            "day": min(due, today) if block.day is not None else today,
            "venue": block.venue_id or Venue.objects.default_of(block.academy_id),
            "measured_by": MeasuredBy.EYE.value,
            "ball_type": "",
            "surface": block.surface,
        }
        super().__init__(data, initial=initial, label_suffix="")
        known = Venue.objects.in_use().filter(academy=block.academy_id).exclude(slug=Venue.ELSEWHERE)
        self.fields["venue"].queryset = known
        if not of_shots:
            del self.fields["measured_by"], self.fields["ball_type"]
        self.fields["day"].widget.attrs["max"] = f"{today:%Y-%m-%d}"

    @property
    def known_by(self) -> str:
        """How distances typed as numbers are known, as far as that was said; by eye until then."""
        return (self.is_bound and self.is_valid() and self.cleaned_data.get("measured_by")) or MeasuredBy.EYE.value

    def clean_day(self) -> date:
        day = self.cleaned_data["day"]
        if day > self.today:
            raise forms.ValidationError("That day is still to come. Enter the day on which the balls were hit.")
        if day.year < 2000:
            raise forms.ValidationError("Enter the year in full, such as 2026.")
        return day
