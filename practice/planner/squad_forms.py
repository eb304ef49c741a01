"""The form of a squad's week: what is given, to whom, and who gets another number of balls."""

import uuid
from collections.abc import Sequence

from django import forms
from django.core.exceptions import ValidationError

from practice.drills.kinds import MAX_BALLS
from practice.planner import giving
from practice.planner.forms import SEEDS, new_seed
from practice.planner.models import WeekPlan, WeekTemplate
from practice.planner.repeats import BlockRecipe, recipes_of
from practice.players.models import Player

MOST_IN_A_WEEK = 5 * MAX_BALLS


class SquadForm(forms.Form):
    """A template or a player's week, for all or some of the players of an academy."""

    source = forms.ChoiceField(
        label="Which week",
        error_messages={
            "required": "Choose a template or a player’s week.",
            "invalid_choice": "That week is not there any more. Choose another one.",
        },
    )
    players = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one player.",
            "invalid_choice": "A player that was chosen is off the roster now. Choose again.",
        },
    )
    replace = forms.BooleanField(
        required=False,
        label="Replace weeks that are there already",
        help_text="Without it they stay, and their players get nothing new.",
    )
    assign = forms.BooleanField(
        required=False, label="Assign at once", help_text="Without it the weeks are drafts that no player sees."
    )

    def __init__(
        self, data, *, players: Sequence[Player], templates: Sequence[WeekTemplate], plans: Sequence[WeekPlan]
    ):
        super().__init__(data, label_suffix="")
        self.squad = {str(player.pk): player for player in players}
        self.templates = {f"template-{template.pk}": template for template in templates}
        self.plans = {f"week-{plan.pk}": plan for plan in plans}
        self.fields["source"].choices = [
            ("Templates", [(code, str(template)) for code, template in self.templates.items()]),
            ("Players’ weeks", [(code, self._words(plan)) for code, plan in self.plans.items()]),
        ]
        self.fields["players"].choices = [(code, player.name) for code, player in self.squad.items()]
        self.initial["players"] = list(self.squad)
        for code in self.squad:
            self.fields[f"balls_{code}"] = forms.IntegerField(
                required=False, min_value=1, max_value=MOST_IN_A_WEEK, widget=forms.NumberInput(attrs={"min": 1})
            )

    @staticmethod
    def _words(plan: WeekPlan) -> str:
        return f"{plan.player.name}, week of {plan.monday:%-d %B} ({plan.get_state_display().lower()})"

    def rows(self) -> list[tuple]:
        """Return for each player the box that chooses and the field for another number of balls."""
        boxes = zip(self["players"], self.squad.items(), strict=True)
        return [(box, player, self[f"balls_{code}"]) for box, (code, player) in boxes]

    def chosen(self) -> list[Player]:
        return [player for code, player in self.squad.items() if code in self.cleaned_data["players"]]

    def balls(self) -> dict[uuid.UUID, int]:
        """Return the players with another number of balls in the week."""
        numbers = {player.pk: self.cleaned_data[f"balls_{code}"] for code, player in self.squad.items()}
        return {player: number for player, number in numbers.items() if number}

    def recipes(self) -> list[BlockRecipe]:
        code = self.cleaned_data["source"]
        return giving.recipes_in(self.templates[code]) if code in self.templates else recipes_of(self.plans[code])

    def clean_source(self) -> str:
        code = self.cleaned_data["source"]
        if code in self.plans and not self.plans[code].blocks.exists():
            raise ValidationError("There is nothing in that week.")
        return code


class SeenWeeksForm(forms.Form):
    """The weeks that the coach saw: their seed, and a digest of what was drawn for whom."""

    seed = forms.IntegerField(min_value=0, max_value=SEEDS - 1)
    digest = forms.RegexField(r"^[0-9a-f]{64}$")

    def seed_or_new(self) -> int:
        """Return the seed that was seen; a new one where none came, so that there is something to look at."""
        return self.cleaned_data["seed"] if self.is_valid() else new_seed()
