"""Fields for the parameters of a drill, and the form in which a coach writes one."""

from django import forms
from django.db import IntegrityError, transaction

from practice.accounts.models import Academy
from practice.drills.kinds import KINDS, OneOf, WholeNumber, check_parameters
from practice.drills.models import Drill

LABELS = {
    "balls": "Balls",
    "balls_each": "Balls for each club and swing",
    "spots": "Spots, two balls each",
    "trips": "Times up and down",
    "shuffled": "Shuffled",
    "number_shown": "Show the player the distance",
    "full_swings": "Full swings allowed",
    "order": "Order of practice",
    "log": "The player logs",
    "score": "It is scored by",
    "shot_type": "Kind of shot",
}
HELP = {
    "shuffled": "In random order instead of one after the other: each swing has to be found anew.",
    "number_shown": "Without it the player sees the target only and judges the distance.",
    "full_swings": "Without it each club reaches less far.",
    "shot_type": "Only pitches are logged ball by ball: nothing else may enter the carry chart.",
}


def parameter_field(name: str, check) -> forms.Field:
    """Return the field for one parameter of a drill, with the bounds of its check."""
    words = {"label": LABELS[name], "help_text": HELP.get(name, "")}
    if isinstance(check, WholeNumber):
        least = "A block needs at least one ball." if name == "balls" else "At least one."
        faults = {
            "min_value": least if check.low == 1 else f"At least {check.low} here.",
            "max_value": f"A block holds at most {check.high} {'spots' if name == 'spots' else 'balls'}. "
            "Make it smaller and spread it over days."
            if name in ("balls", "spots")
            else f"At most {check.high}.",
        }
        return forms.IntegerField(min_value=check.low, max_value=check.high, error_messages=faults, **words)
    if isinstance(check, OneOf):
        return forms.ChoiceField(choices=list(check.words.items()), **words)
    return forms.BooleanField(required=False, **words)


def parameter_fields(kind: str) -> dict[str, forms.Field]:
    """Return a field for each parameter of a kind of drill."""
    return {name: parameter_field(name, check) for name, (check, _) in KINDS[kind].parameters.items()}


class DrillForm(forms.ModelForm):
    """A drill of an academy: its words, and the parameters of its kind; the kind itself stays."""

    class Meta:
        model = Drill
        fields = ["title", "instructions", "cautions"]
        widgets = {"instructions": forms.Textarea(attrs={"rows": 4}), "cautions": forms.Textarea(attrs={"rows": 5})}
        help_texts = {"cautions": "The player reads them beside every block. Local rules come first."}

    def __init__(self, data=None, *, instance: Drill):
        super().__init__(data, instance=instance, initial=instance.parameters, label_suffix="")
        self.fields["cautions"].required = True
        self.fields |= parameter_fields(instance.kind)

    def clean_title(self) -> str:
        title = " ".join(self.cleaned_data["title"].split())
        others = Drill.objects.filter(academy=self.instance.academy_id, title__iexact=title).exclude(
            pk=self.instance.pk
        )
        if others.exists():
            raise self._title_taken(title)
        return title

    @staticmethod
    def _title_taken(title: str) -> forms.ValidationError:
        return forms.ValidationError(f"There is a drill “{title}” already, in use or put away. Give it another title.")

    def clean(self):
        names = KINDS[self.instance.kind].parameters
        if all(name in self.cleaned_data for name in names):
            given = {name: self.cleaned_data[name] for name in names}
            self.instance.parameters = check_parameters(self.instance.kind, given)
        return self.cleaned_data

    def stored(self) -> bool:
        """Store the drill of a form that is sent and valid; False where it has faults, which the form then tells."""
        if not self.is_bound or not self.is_valid():
            return False
        try:
            with transaction.atomic():
                self.save()
        except IntegrityError:  # another coach gave the title away meanwhile
            self.add_error("title", self._title_taken(self.instance.title))
            return False
        return True


class NewDrillForm(forms.Form):
    """Of which kind a new drill is, and whose; asks for the academy only where the coach has a choice."""

    kind = forms.ChoiceField(label="Kind", choices=[(kind, words.title) for kind, words in reversed(KINDS.items())])
    academy = forms.ModelChoiceField(Academy.objects.none(), empty_label=None)

    def __init__(self, data, *, academies: list[Academy]):
        sent = {"kind": "own", "academy": academies[0].pk} | {name: data[name] for name in data}
        super().__init__(sent, label_suffix="")
        self.fields["academy"].queryset = Academy.objects.filter(pk__in=[academy.pk for academy in academies])
        if len(academies) == 1:
            self.fields["academy"].widget = forms.HiddenInput()

    def drill(self) -> Drill:
        """Return a drill, not stored, with the words and parameters that the kind starts with."""
        kind = self.cleaned_data["kind"]
        words = KINDS[kind]
        return Drill(
            academy=self.cleaned_data["academy"],
            kind=kind,
            instructions=words.instructions,
            cautions=words.cautions,
            parameters=check_parameters(kind, {}),
        )
