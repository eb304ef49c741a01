"""What every kind of block asks for, and the drawing of it that a coach saw."""

import secrets
import uuid

from django import forms

from practice.drills.forms import parameter_fields
from practice.planner.generator import DrawnBlock
from practice.planner.models import Logging
from practice.planner.recipes import BagClub, Recipe

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


OF_TARGETS = ("number_shown", "full_swings")
"""Parameters that mean something at targets only."""
PARTS = ("log", "score", "shot_type")
"""Parameters that are chosen with a coach's own drill, not with a block of it."""


class BlockForm(forms.Form):
    """What every kind of block asks for: the parameters of its drill, and how much of it is logged."""

    logging = forms.TypedChoiceField(
        choices=Logging,
        required=False,
        empty_value=Logging.EVERY.value,
        label="The player logs",
        help_text="Every third: hit three, log the last. At the end: counts alone, of which no figure is made.",
    )
    field_order = [
        *("earlier", "balls", "balls_each", "spots", "trips", "clubs", "swings", "shuffled", "targets"),
        *("order", "week", "weeks", "weights", "profile", "logging", *OF_TARGETS),
    ]

    def __init__(self, data, *, bench, bag: list[BagClub]):
        self.bench, self.drill = bench, bench.drill
        self.bag = {str(bagged.club.pk): bagged for bagged in bag}
        super().__init__(data, initial=self.usual() if data is None else None, label_suffix="")
        left_out = PARTS if self.drill.aims == "targets" else (*PARTS, *OF_TARGETS)
        fields = parameter_fields(self.drill.kind)
        self.fields |= {name: field for name, field in fields.items() if name not in left_out}
        if "order" in self.fields:
            self.fields["order"].required = False  # the drill says which, where nothing is sent
        loggings = Logging.choices_for(self.drill.kind) if self.drill.log == "shots" else []
        self.fields["logging"].choices = loggings
        if len(loggings) < 2:
            del self.fields["logging"]
        self.order_fields(self.field_order)

    def usual(self) -> dict:
        """Return what the form starts with."""
        return dict(self.drill.parameters)

    def recipe(self) -> Recipe:
        """Return what to draw from, once the form is valid."""
        given = {name: value for name, value in self.cleaned_data.items() if value not in (None, "")}
        logging = given.pop("logging", Logging.EVERY.value)
        return Recipe(
            drill=self.drill,
            clubs=[self.bag[code] for code in self.bag if code in given.get("clubs", ())],
            parameters=self.drill.parameters | given | self.beside(),
            logging=logging,
            **self.sources(),
        )

    def beside(self) -> dict:
        """Return what is kept with the parameters though it is no field."""
        return {}

    def sources(self) -> dict:
        """Return what else the recipe draws from."""
        return {}


class ClubsForm(BlockForm):
    """A block that asks for clubs."""

    clubs = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one club.",
            "invalid_choice": "A club that was chosen is no longer carried. Choose again.",
        },
    )

    def __init__(self, data, *, bench, bag):
        super().__init__(data, bench=bench, bag=bag)
        self.fields["clubs"].choices = [(code, self.club_words(bagged)) for code, bagged in self.bag.items()]

    def usual(self):
        return super().usual() | {"clubs": self.usual_clubs()}

    def usual_clubs(self) -> list[str]:
        return list(self.bag)

    def club_words(self, bagged: BagClub) -> str:
        return bagged.club.label
