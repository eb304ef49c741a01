"""Blocks at targets."""

from django import forms

from practice.planner.forms.blocks import BlockForm, ClubsForm
from practice.planner.generator import MOST_TARGETS
from practice.planner.models import Block
from practice.planner.orders import EVIDENCE, PAPERS, Order
from practice.units import DistanceUnit

MOST_WEEKS = 26
"""The longest easing, in weeks."""
MOST_FACED = 20
"""The longest list of distances that are faced."""
FARTHEST_M, OFTENEST = 400.0, 1000.0


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
        error_messages={"required": "Choose the block that comes again."},
    )

    def __init__(self, data, *, bench, bag):
        super().__init__(data, bench=bench, bag=bag)
        self.blocks = {str(block.pk): block for block in bench.earlier}
        name = bench.player.name
        none_yet = f"No block at targets was assigned to {name} yet, so none can come again. Assign one first."
        # A squad's week asks everybody for the block of one player, and its page lists none to choose from.
        other = (
            f"That block cannot come again for {name}: it is another player’s, or not among the last. Choose one where "
            f"a block is added to {name}’s own week."
        )
        self.fields["earlier"].error_messages |= {"invalid_choice": other if self.blocks else none_yet}
        if not self.blocks:
            self.fields["earlier"].error_messages["required"] = none_yet
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
        if gone := self.bench.no_longer_there(self.blocks[code]):
            raise forms.ValidationError(
                f"{', '.join(gone)} of that block moved, or cannot be hit at from there any more: it would not be the "
                "same block. Draw a new one."
            )
        return code

    def sources(self):
        return {"earlier": self.blocks[self.cleaned_data["earlier"]]}
