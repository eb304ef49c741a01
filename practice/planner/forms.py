"""What a coach chooses for a block, and for a week."""

import secrets
import uuid

from django import forms

from practice.clubs.swings import CLOCK_SWINGS, swing_name
from practice.drills.kinds import KINDS, MAX_BALLS
from practice.planner.generator import MOST_TARGETS, DrawnBlock
from practice.planner.models import Logging, WeekPlan
from practice.planner.recipes import BagClub, Recipe
from practice.units import DistanceUnit

SEEDS = 2**31


def new_seed() -> int:
    """Return a seed that nobody can foresee, for one drawing."""
    return secrets.randbelow(SEEDS)


class SeenForm(forms.Form):
    """The drawing that the coach saw: its seed, what it was drawn from, and the id the block will have."""

    seed = forms.IntegerField(min_value=0, max_value=SEEDS - 1)
    inputs_sha256 = forms.RegexField(r"^[0-9a-f]{64}$")
    block = forms.UUIDField()

    def seed_or_new(self) -> int:
        """Return the seed that was seen; a new one where none came, so that there is a drawing to look at."""
        return self.cleaned_data["seed"] if self.is_valid() else new_seed()

    def is_of(self, drawn: DrawnBlock) -> bool:
        """Return whether this is the drawing that the coach saw."""
        return self.is_valid() and self.cleaned_data["inputs_sha256"] == drawn.inputs_sha256

    @classmethod
    def of(cls, drawn: DrawnBlock, block_id: uuid.UUID | None = None) -> dict:
        """Return what this form's hidden fields hold for a drawing."""
        return {"seed": drawn.seed, "inputs_sha256": drawn.inputs_sha256, "block": block_id or uuid.uuid4()}


class BlockForm(forms.Form):
    """What every kind of block asks for: which clubs, and how much of it is logged."""

    clubs = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one club.",
            "invalid_choice": "A club that was chosen is no longer carried. Choose again.",
        },
    )
    logging = forms.TypedChoiceField(
        choices=Logging,
        required=False,
        empty_value=Logging.EVERY.value,
        label="The player logs",
        help_text="Every third: hit three, log the last. At the end: counts alone, of which no figure is made.",
    )

    def __init__(self, data, *, bench, bag: list[BagClub]):
        self.bench, self.bag = bench, {str(bagged.club.pk): bagged for bagged in bag}
        initial = {**bench.drill.parameters, "clubs": self.usual_clubs()}
        super().__init__(data, initial=initial, label_suffix="")
        self.fields["clubs"].choices = [(code, self.club_words(bagged)) for code, bagged in self.bag.items()]
        self.fields["logging"].choices = Logging.choices_for(bench.drill.kind)

    def usual_clubs(self) -> list[str]:
        return list(self.bag)

    def club_words(self, bagged: BagClub) -> str:
        return bagged.club.label

    def _recipe(self, names: list[str], **more) -> Recipe:
        given = self.cleaned_data
        return Recipe(
            drill=self.bench.drill,
            clubs=[self.bag[code] for code in self.bag if code in given["clubs"]],
            parameters={name: given[name] for name in names},
            logging=given["logging"],
            **more,
        )


class RandomTargetForm(BlockForm):
    """A random-target block: balls, clubs, targets, and what the player is shown."""

    balls = forms.IntegerField(
        min_value=1,
        max_value=MAX_BALLS,
        error_messages={
            "max_value": f"A block holds at most {MAX_BALLS} balls. Make it smaller and spread it over days.",
            "min_value": "A block needs at least one ball.",
        },
    )
    targets = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one target.",
            "invalid_choice": "A target that was chosen cannot be hit at from this place. Choose again.",
        },
    )
    number_shown = forms.BooleanField(
        required=False,
        label="Show the player the distance",
        help_text="Without it the player sees the target only and judges the distance.",
    )
    full_swings = forms.BooleanField(
        required=False, label="Full swings allowed", help_text="Without it each club reaches less far."
    )
    field_order = ["balls", "clubs", "targets", "logging", "number_shown", "full_swings"]

    def __init__(self, data, *, bench, bag):
        self.targets = {str(target.pk): target for target in bench.targets if target.distance_m is not None}
        self.unit: DistanceUnit = bench.player.shown_unit
        super().__init__(data, bench=bench, bag=bag)
        self.fields["targets"].choices = [
            (code, f"{target.name} · {self.unit.show(target.distance_m)}") for code, target in self.targets.items()
        ]
        self.initial["targets"] = list(self.targets)[:MOST_TARGETS]

    def usual_clubs(self):
        return [code for code, bagged in self.bag.items() if bagged.reach]

    def club_words(self, bagged):
        if bagged.reach is None:
            return f"{bagged.club.label} · {bagged.basis_words}"
        low, high = (self.unit.from_m(m) for m in (bagged.reach.shortest_m, bagged.reach.longest_m))
        return f"{bagged.club.label} · {low:.0f} to {high:.0f} {self.unit.value}, {bagged.basis_words}"

    def clean_clubs(self):
        unknown = [self.bag[code].club.label for code in self.cleaned_data["clubs"] if not self.bag[code].reach]
        if unknown:
            raise forms.ValidationError(
                f"How far the {', '.join(unknown)} goes is not known yet. Plan a carry test, or state a carry in the "
                "bag."
            )
        return self.cleaned_data["clubs"]

    def recipe(self) -> Recipe:
        """Return what to draw from, once the form is valid."""
        chosen = self.cleaned_data["targets"]
        recipe = self._recipe(
            ["balls", "number_shown", "full_swings", "clubs", "targets"],
            place=self.bench.place,
            targets=[target for code, target in self.targets.items() if code in chosen],
        )
        recipe.parameters["place"] = self.bench.place.code
        return recipe


class CarryTestForm(BlockForm):
    """A carry test: which clubs, which swing lengths, how many balls of each."""

    swings = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        label="Swing lengths",
        error_messages={"required": "Choose at least one swing length."},
    )
    balls_each = forms.IntegerField(min_value=1, max_value=20, label="Balls for each club and swing")
    field_order = ["clubs", "swings", "balls_each", "logging"]

    def __init__(self, data, *, bench, bag):
        super().__init__(data, bench=bench, bag=bag)
        codes = [*CLOCK_SWINGS, *bench.own_swings]
        self.fields["swings"].choices = [(code, swing_name(code)) for code in codes]
        self.initial["swings"] = list(CLOCK_SWINGS)

    def recipe(self) -> Recipe:
        """Return what to draw from, once the form is valid."""
        return self._recipe(["balls_each", "swings", "clubs"])


FORMS = {"random_target": RandomTargetForm, "carry_test": CarryTestForm}
"""The form of each kind of drill."""

if not FORMS.keys() <= KINDS.keys():
    raise RuntimeError("Every form is of a kind of drill.")


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

    block = forms.UUIDField()


class LoggedBlockForm(ChosenBlockForm):
    """A block of a week and how much of it the player logs."""

    logging = forms.ChoiceField(choices=Logging)


class MovedBlockForm(ChosenBlockForm):
    """A block of a week and the place that it should have, counted from 1."""

    position = forms.IntegerField(min_value=1, max_value=999)
