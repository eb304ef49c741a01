"""What a coach gives for a suggested week, and what says that it is the one that was seen."""

from dataclasses import dataclass

from django import forms

from practice.planner.places import Place
from practice.planner.stages import Stage

USUAL_BALLS, USUAL_VISITS = 60, 2

STAGE_NAMES = {
    Stage.LOFTS: "Lofts",
    Stage.STRIKE: "Strike",
    Stage.STOCK: "Stock carries",
    Stage.FRESH: "Fresh balls",
    Stage.COURSE: "On the course",
    Stage.PASSED: "All passed: keep it",
}
"""The stages in words, earliest first."""


@dataclass(frozen=True)
class UsualWeek:
    """Balls and visits that a week has where the coach gives none, and in words where they come from."""

    balls: int = USUAL_BALLS
    visits: int = USUAL_VISITS
    source: str = ""


class SuggestForm(forms.Form):
    """Balls and visits of the week, where it is hit, and the stage where the coach knows better."""

    balls = forms.IntegerField(
        label="Balls in the week",
        min_value=1,
        help_text="With what you keep of the draft. A fifth or more of them is left free.",
        error_messages=dict.fromkeys(("required", "invalid", "min_value"), "Give a number of balls, such as 60."),
    )
    visits = forms.IntegerField(
        label="Visits to the range",
        min_value=1,
        max_value=7,
        help_text="To do more, add a day before you add balls.",
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"), "Give 1 to 7 visits, a day each."
        ),
    )
    stage = forms.TypedChoiceField(
        label="Work at",
        choices=[
            ("", "the earliest stage that is not passed"),
            *((stage.value, name) for stage, name in STAGE_NAMES.items() if stage != Stage.LOFTS),
        ],
        coerce=Stage,
        empty_value=None,
        required=False,
        error_messages={"invalid_choice": "Choose one of the stages."},
    )
    place = forms.ChoiceField(
        label="Where",
        required=False,
        error_messages={"invalid_choice": "That place is not there any more: choose again."},
    )

    def __init__(self, data=None, *, places: list[Place], usual: UsualWeek):
        self.usual = usual
        given = None if data is None or not ({"balls", "visits"} & set(data)) else data
        initial = {"balls": usual.balls, "visits": usual.visits, "stage": "", "place": ""}
        super().__init__(given, initial=initial, label_suffix="")
        if not self.is_bound and usual.source:
            self.fields["balls"].help_text += f" {usual.source}"
        self.fields["place"].choices = [(place.code, place.name) for place in places]
        if len(places) < 2:
            del self.fields["place"]

    def asked(self) -> dict:
        """Return what was asked for: the usual where nothing was, or not what a number can be."""
        given = self.cleaned_data if self.is_bound and self.is_valid() else {}
        stage = given.get("stage") or None
        usual = self.usual
        return {"balls": given.get("balls", usual.balls), "visits": given.get("visits", usual.visits), "stage": stage}


class SeenWeekForm(forms.Form):
    """The suggested week that the coach saw."""

    seen = forms.RegexField(r"^[0-9a-f]{64}$")
