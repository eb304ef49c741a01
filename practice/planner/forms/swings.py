"""Blocks of clubs and swing lengths, to no target."""

from django import forms

from practice.clubs.swings import CLOCK_SWINGS, swing_name
from practice.drills.forms import LABELS
from practice.planner.forms.blocks import ClubsForm


class SwingsForm(ClubsForm):
    """A block of clubs and swing lengths, to no target."""

    swings = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        label="Swing lengths",
        error_messages={"required": "Choose at least one swing length."},
    )

    def __init__(self, data, *, bench, bag):
        super().__init__(data, bench=bench, bag=bag)
        codes = [*CLOCK_SWINGS, *bench.own_swings]
        self.fields["swings"].choices = [(code, swing_name(code)) for code in codes]
        if "balls" in self.fields:
            self.fields["balls"].label = LABELS["balls_each"]

    def usual(self):
        return super().usual() | {"swings": list(CLOCK_SWINGS)}


class OneFaceForm(SwingsForm):
    """A block whose marks all go on one face: one club, one swing."""

    def __init__(self, data, *, bench, bag):
        super().__init__(data, bench=bench, bag=bag)
        self.fields["balls"].label = LABELS["balls"]

    def usual(self):
        return super().usual() | {"clubs": list(self.bag)[-1:], "swings": ["full"]}

    def clean_clubs(self):
        return self._only("clubs", "Choose one club: the marks of two would lie on one face.")

    def clean_swings(self):
        return self._only("swings", "Choose one swing length: the marks of two would lie on one face.")

    def _only(self, name: str, words: str) -> list[str]:
        if len(self.cleaned_data[name]) > 1:
            raise forms.ValidationError(words)
        return self.cleaned_data[name]
