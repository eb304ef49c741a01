"""What a coach chooses for a block: the parameters of its drill, and what its balls are drawn from."""

import secrets
import uuid

from django import forms

from practice.clubs.swings import CLOCK_SWINGS, swing_name
from practice.drills.forms import parameter_fields
from practice.drills.models import Drill
from practice.planner.generator import MOST_TARGETS, DrawnBlock
from practice.planner.models import Block, Logging
from practice.planner.orders import EVIDENCE, PAPERS, Order
from practice.planner.recipes import BagClub, Recipe
from practice.units import DistanceUnit

SEEDS = 2**31
MOST_WEEKS = 26
"""The longest easing, in weeks."""
MOST_FACED = 20
"""The longest list of distances that are faced."""
FARTHEST_M, OFTENEST = 400.0, 1000.0


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

    def usual(self):
        return super().usual() | {"swings": list(CLOCK_SWINGS)}


class OneFaceForm(SwingsForm):
    """A block whose marks all go on one face: one club, one swing."""

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


class TargetsForm(ClubsForm):
    """A block of clubs and targets, inside the arc of the place that it is hit from."""

    targets = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one target.",
            "invalid_choice": "A target that was chosen cannot be hit at from this place. Choose again.",
        },
    )

    def __init__(self, data, *, bench, bag):
        self.targets = {str(target.pk): target for target in bench.targets if target.distance_m is not None}
        self.unit: DistanceUnit = bench.player.shown_unit
        super().__init__(data, bench=bench, bag=bag)
        self.fields["targets"].choices = [
            (code, f"{target.name} · {self.unit.show(target.distance_m)}") for code, target in self.targets.items()
        ]

    def usual(self):
        return super().usual() | {"targets": list(self.targets)[:MOST_TARGETS]}

    def usual_clubs(self):
        return [code for code, bagged in self.bag.items() if bagged.reach]

    def club_words(self, bagged):
        if bagged.reach is None:
            return f"{bagged.club.label} · {bagged.basis_words}"
        low, high = (self.unit.from_m(m) for m in (bagged.reach.shortest_m, bagged.reach.longest_m))
        give = f", the longest give or take {self.unit.from_m(bagged.give_m):.0f}" if bagged.give_m else ""
        return f"{bagged.club.label} · {low:.0f} to {high:.0f} {self.unit.value}{give}, {bagged.basis_words}"

    def clean_clubs(self):
        unknown = [self.bag[code].club.label for code in self.cleaned_data["clubs"] if not self.bag[code].reach]
        if unknown:
            raise forms.ValidationError(
                f"How far the {', '.join(unknown)} goes is not known yet. Plan a carry test, or state a carry in the "
                "bag."
            )
        return self.cleaned_data["clubs"]

    def beside(self):
        return {"place": self.bench.place.code}

    def sources(self):
        chosen = self.cleaned_data["targets"]
        return {
            "place": self.bench.place,
            "unit": self.unit,
            "targets": [target for code, target in self.targets.items() if code in chosen],
        }


class MixedForm(TargetsForm):
    """A random-target block, in an order of practice, its balls shared alike or by weights."""

    papers = PAPERS
    week = forms.IntegerField(required=False, min_value=1, max_value=MOST_WEEKS, label="Easing: this is week")
    weeks = forms.IntegerField(required=False, min_value=1, max_value=MOST_WEEKS, label="of so many weeks")
    weights = forms.ChoiceField(
        choices=[
            ("even", "alike: every club as often as another, within one ball"),
            ("need", "more to clubs that miss by much, or of which little is known"),
        ],
        required=False,
        label="Shared out",
        help_text="By weights each shot, club and target gets its share, less than one ball off.",
    )
    profile = forms.CharField(
        required=False,
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 4, "cols": 20}),
        help_text="One a line, then how often, such as “40 3”. Each counts for the nearest target. Empty: all alike.",
    )

    def __init__(self, data, *, bench, bag):
        super().__init__(data, bench=bench, bag=bag)
        self.faced_m: list[tuple[float, float]] = []
        self.fields["order"].help_text = EVIDENCE
        self.fields["profile"].label = f"Distances that {bench.player.name} faces ({self.unit.label})"

    def usual(self):
        week, weeks = self.bench.easing
        return super().usual() | {"week": week, "weeks": weeks, "weights": "even", "profile": self.bench.profile}

    def clean_profile(self):
        text = self.cleaned_data["profile"]
        lines = [line for line in text.replace(",", "\n").replace(";", "\n").splitlines() if line.strip()]
        if len(lines) > MOST_FACED:
            raise forms.ValidationError(f"List at most {MOST_FACED} distances.")
        self.faced_m = [self._faced(line) for line in lines]
        return text

    def _faced(self, line: str) -> tuple[float, float]:
        """Return a distance in metres and how often it is faced: once where a line does not say."""
        words = line.split()
        try:
            distance, often = map(float, words if len(words) > 1 else (*words, 1))
        except ValueError:
            distance = often = 0.0
        if not (0 < self.unit.to_m(distance) <= FARTHEST_M and 0 < often <= OFTENEST):
            raise forms.ValidationError(
                f"“{line.strip()}” is no distance: write one, a space, and how often it is faced, such as “40 3”."
            )
        return self.unit.to_m(distance), often

    def clean(self):
        given = super().clean()
        week, weeks = given.get("week"), given.get("weeks")
        order = given.get("order") or self.drill.parameters["order"]
        if order == Order.EASING and not (week and weeks and week <= weeks):
            self.add_error("week", "Easing needs which week this is, and of how many: such as 2 of 6.")
        return given

    def sources(self):
        return super().sources() | {"faced_m": self.faced_m}


class CheckDayForm(BlockForm):
    """A check day: which earlier block comes again."""

    earlier = forms.ChoiceField(
        widget=forms.RadioSelect,
        label="Which block comes again",
        error_messages={
            "required": "Choose the block that comes again.",
            "invalid_choice": "That block cannot come again: choose one of those listed.",
        },
    )

    def __init__(self, data, *, bench, bag):
        super().__init__(data, bench=bench, bag=bag)
        self.blocks = {str(block.pk): block for block in bench.earlier}
        self.fields["earlier"].choices = [(code, self._words(block)) for code, block in self.blocks.items()]

    def _words(self, block: Block) -> str:
        return f"{block.title}, week of {block.plan.monday:%-d %B %Y}, {len(block.balls.all())} balls"

    def usual(self):
        return super().usual() | {"earlier": next((str(block.pk) for block in self.bench.earlier), None)}

    def clean_earlier(self):
        code = self.cleaned_data["earlier"]
        balls = self.blocks[code].balls.all()
        if gone := {ball.club.label for ball in balls if str(ball.club_id) not in self.bag}:
            raise forms.ValidationError(f"The {', '.join(sorted(gone))} of that block is no longer carried.")
        standing_m = self._standing_m(self.blocks[code])
        if gone := {ball.target_name for ball in balls if standing_m.get(ball.target_id) != ball.target_m}:
            raise forms.ValidationError(
                f"{', '.join(sorted(gone))} of that block moved, or cannot be hit at from there any more: it would not "
                "be the same block. Draw a new one."
            )
        return code

    def _standing_m(self, block: Block) -> dict:
        """Return the distances of the targets that may be hit at from where the block was, as they stand now."""
        place = next((place for place in self.bench.places if place.code == block.parameters.get("place")), None)
        return dict(place.targets().values_list("pk", "distance_m")) if place else {}

    def sources(self):
        return {"earlier": self.blocks[self.cleaned_data["earlier"]]}


FORMS = {
    "random_target": MixedForm,
    "strike_check": OneFaceForm,
    "strike_bucket": OneFaceForm,
    "check_day": CheckDayForm,
}
"""The forms of kinds that ask for more than what they aim at."""
FORMS_OF_AIMS = {"targets": TargetsForm, "swings": SwingsForm, "spot": ClubsForm, "none": BlockForm}


def form_of(drill: Drill) -> type[BlockForm]:
    """Return the form for a block of a drill."""
    return FORMS.get(drill.kind) or FORMS_OF_AIMS[drill.aims]
