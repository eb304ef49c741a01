"""Forms of a week's page: the note, and what is done to a block of a draft."""

from datetime import date

from django import forms

from practice.accounts.models import Academy
from practice.planner.check_day import too_early
from practice.planner.marks import MARK
from practice.planner.models import Block, Competition, WeekPlan
from practice.planner.models.blocks import SURFACES
from practice.planner.repeats import earlier_blocks

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class NoteForm(forms.ModelForm):
    """What the player reads above the week."""

    class Meta:
        model = WeekPlan
        fields = ["note"]
        labels = {"note": "Note to the player"}
        widgets = {"note": forms.Textarea(attrs={"rows": 2, "cols": 60})}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)


class ChosenBlockForm(forms.Form):
    """A block of a week."""

    block_id = forms.UUIDField()


class MovedBlockForm(ChosenBlockForm):
    """A block of a week and the place that it should have, counted from 1."""

    position = forms.IntegerField(min_value=1, max_value=999)


class TemplateNameForm(forms.Form):
    """What a template is called."""

    name = forms.CharField(max_length=60, error_messages={"required": "Give the template a name."})

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())


class CompetitionForm(forms.ModelForm):
    """A day on which a player competes."""

    class Meta:
        model = Competition
        fields = ("day", "title")
        labels = {"day": "Day of the competition", "title": "What (may stay empty)"}
        widgets = {"day": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        error_messages = {"day": {"required": "Enter the day of the competition."}}

    def __init__(self, data=None):
        super().__init__(data, auto_id="id_competition_%s", label_suffix="")

    def clean_day(self) -> date:
        day = self.cleaned_data["day"]
        if not 2000 <= day.year < 2100:
            raise forms.ValidationError("Enter a day of this century.")
        return day


class BallLimitsForm(forms.ModelForm):
    """An academy's own limits for players without one of their own."""

    class Meta:
        model = Academy
        fields = ("daily_ball_limit", "junior_daily_ball_limit")
        labels = {
            "daily_ball_limit": "Your own limit of balls a day",
            "junior_daily_ball_limit": "Your own limit of balls a day for juniors",
        }
        help_texts = {
            "daily_ball_limit": "Not a medical limit. Leave it empty for none.",
            "junior_daily_ball_limit": "Not a medical limit. A player’s own limit counts before it.",
        }

    def __init__(self, data=None, *, instance: Academy):
        super().__init__(data, instance=instance, label_suffix="")

    def clean(self) -> dict:
        given = super().clean()
        most, juniors = given.get("daily_ball_limit"), given.get("junior_daily_ball_limit")
        for name, limit in (("daily_ball_limit", most), ("junior_daily_ball_limit", juniors)):
            if limit is not None and not 1 <= limit <= 1000:
                self.add_error(name, "Enter 1 to 1000 balls.")
        if not self.errors and most is not None and juniors > most:
            self.add_error("junior_daily_ball_limit", f"Juniors hit less: enter at most {most}.")
        return given


class TermsForm(forms.ModelForm):
    """What is assigned with a block of a draft beside its balls."""

    day = forms.TypedChoiceField(
        choices=[("", "any day"), *enumerate(DAYS)], coerce=int, empty_value=None, required=False, label="Day"
    )
    surface = forms.ChoiceField(
        choices=[("", "any surface"), *((code, code) for code in SURFACES)], required=False, label="Surface needed"
    )
    number_shown = forms.BooleanField(
        required=False,
        label="Show the player the distance",
        help_text="Changing this draws the balls anew, to the same targets.",
    )
    pass_made = forms.IntegerField(min_value=1, max_value=200, required=False, label="Pass mark: balls made")
    pass_of = forms.IntegerField(min_value=1, max_value=200, required=False, label="out of")
    pass_within_pct = forms.IntegerField(min_value=1, max_value=100, required=False, label="within % of the distance")

    class Meta:
        model = Block
        fields = (
            *("day", "minutes", "surface", "logging", "number_shown", "cue"),
            *("pass_made", "pass_of", "pass_within_pct", "on_pass", "on_miss", "rain", "pinned"),
        )
        labels = {
            "logging": "The player logs",
            "cue": "One cue",
            "on_pass": "When passed",
            "on_miss": "When missed",
            "rain": "If it rains",
            "pinned": "Pinned: a new suggestion leaves it as it is",
        }

    def __init__(self, data=None, *, instance: Block):
        super().__init__(data, instance=instance, auto_id=f"id_%s_{instance.pk}", label_suffix="")
        self.fields["minutes"].widget.attrs |= {"min": 1, "max": 300}
        self.fields["logging"].choices = instance.loggings
        if len(instance.loggings) < 2:
            del self.fields["logging"]
        if "number_shown" not in instance.parameters or instance.marked_by != "landing":
            del self.fields["number_shown"]
        unmarked = {"": (*MARK, "on_pass", "on_miss"), "count": ("pass_within_pct",), "landing": ()}
        for name in unmarked[instance.marked_by]:
            del self.fields[name]

    def clean_day(self) -> int | None:
        day = self.cleaned_data["day"]
        earlier = earlier_blocks([self.instance]).get(self.instance.pk)
        if earlier and (fault := too_early(earlier.when, (self.instance.plan.monday, day))):
            raise forms.ValidationError(fault)
        return day

    def clean_minutes(self) -> int | None:
        minutes = self.cleaned_data["minutes"]
        if minutes is not None and not 1 <= minutes <= 300:
            raise forms.ValidationError("Enter 1 to 300 minutes, or leave it empty.")
        return minutes

    def clean_cue(self) -> str:
        return " ".join(self.cleaned_data["cue"].split())

    def clean(self) -> dict:
        given = super().clean()
        mark = [given.get(name) for name in MARK if name in self.fields]
        if self.errors or not mark:
            return given
        if any(mark) and not all(mark):
            self.add_error("pass_made", "Fill in the whole mark, such as 7 out of 10 within 10 %, or leave it empty.")
        elif all(mark) and mark[0] > mark[1]:
            self.add_error("pass_made", f"Nobody makes {mark[0]} out of {mark[1]}. Enter at most {mark[1]}.")
        elif not any(mark) and (given.get("on_pass") or given.get("on_miss")):
            self.add_error("on_pass", "Say first what passes: balls made, out of how many, within which share.")
        elif all(mark):
            self._check_reach(mark[1], given.get("logging") or self.instance.logging)
        return given

    def _check_reach(self, of: int, logging: str) -> None:
        """Refuse a mark out of more balls than are judged: it would never be passed nor missed."""
        judged = self.instance.balls_judged(logging)
        if not judged:
            fault = (
                "Logged once at the end, no ball of it is judged. Let every ball be logged, or leave the mark empty."
            )
            self.add_error("pass_made", fault)
        elif of > judged:
            as_logged = ", as it is logged" if judged < self.instance.balls_asked else ""
            balls = "1 ball of this block is" if judged == 1 else f"{judged} balls of this block are"
            self.add_error("pass_of", f"Only {balls} judged{as_logged}. Enter at most {judged}.")

    @property
    def redraws(self) -> bool:
        """Whether what was changed needs the balls drawn anew."""
        return "number_shown" in self.changed_data

    def terms(self) -> dict:
        """Return the terms by field, once the form is valid."""
        terms = {name: value for name, value in self.cleaned_data.items() if name != "number_shown"}
        if "pass_of" in terms and "pass_within_pct" not in terms:
            terms["pass_within_pct"] = terms["pass_of"] and 100  # a count has no distance to be within
        return terms
