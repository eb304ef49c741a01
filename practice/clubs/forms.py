"""Forms about clubs. Carries are typed in the player's unit and kept in metres."""

from collections.abc import Iterable
from datetime import date

from django import forms

from practice.accounts.models import MOST_BEND_DEG, Academy
from practice.clubs.models import (
    FACE_MM,
    HEAD_BOUNDS,
    LENGTH_MM,
    LIE_DEG,
    BagReview,
    Club,
    ClubKind,
    ClubSetup,
    Grooves,
    LoftReading,
)
from practice.clubs.swings import swing_name
from practice.players.models import Player
from practice.units import DistanceUnit

MAX_CARRY_M = 300.0


def date_input() -> forms.DateInput:
    """Return the browser's own date field, which takes ISO dates only."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def check_loft(loft_deg: float | None) -> float | None:
    """Refuse what is no loft."""
    if loft_deg is not None and not 0 < loft_deg < 90:
        raise forms.ValidationError("A loft lies between 0 and 90 degrees.")
    return loft_deg


def check_bounce(bounce_deg: float | None) -> float | None:
    """Refuse what is no bounce."""
    if bounce_deg is not None and not -10 <= bounce_deg <= 30:
        raise forms.ValidationError("A bounce lies between −10 and 30 degrees.")
    return bounce_deg


SPOTS = (
    ("sweet_spot_low_high_mm", "sweet_spot_heel_toe_mm"),
    ("intended_low_high_mm", "intended_heel_toe_mm"),
)
HEAD = (*SPOTS[0], *SPOTS[1], *HEAD_BOUNDS)
"""What the form folds away: most clubs do without."""
BUILD = ("head_type", "length_mm", "lie_deg", "bend_limit_deg")
BUILD_BOUNDS = {"length_mm": LENGTH_MM, "lie_deg": LIE_DEG, "bend_limit_deg": (0, MOST_BEND_DEG)}


def spot_field(label: str, help_text: str = "") -> forms.FloatField:
    """Return one coordinate of a spot of the face."""
    return forms.FloatField(required=False, min_value=-FACE_MM, max_value=FACE_MM, label=label, help_text=help_text)


class ClubForm(forms.ModelForm):
    """A club's own facts. Its label is unique in the bag, which also makes a form sent twice one club."""

    sweet_spot_low_high_mm = spot_field(
        "Sweet spot, low (−) to high (+), mm",
        "If known: counted from the same point of the face as the strike marks. Else leave both empty.",
    )
    sweet_spot_heel_toe_mm = spot_field("Sweet spot, heel (−) to toe (+), mm")
    intended_low_high_mm = spot_field(
        "Intended strike spot, low (−) to high (+), mm",
        "The spot that you want hit, if there is one: counted like the marks. Else leave both empty.",
    )
    intended_heel_toe_mm = spot_field("Intended strike spot, heel (−) to toe (+), mm")

    class Meta:
        model = Club
        fields = ["label", "kind", "carried", *BUILD, "notes", *HEAD]
        labels = {
            "carried": "In the bag now",
            "head_type": "Head",
            "length_mm": "Length, mm",
            "lie_deg": "Lie (°)",
            "bend_limit_deg": "May be bent by at most (°)",
            "head_g": "Head mass, g",
            "tilt_inertia_g_cm2": "Moment of inertia against a low or high strike, g cm²",
            "turn_inertia_g_cm2": "Moment of inertia against a heel or toe strike, g cm²",
        }
        help_texts = {
            "label": "What the player calls it, such as 56 or PW.",
            "head_type": "A forged head bends more easily than a cast one.",
            "length_mm": "An inch is 25.4 mm: 35 inches are 889 mm.",
            "bend_limit_deg": (
                "From the loft that it was made with, either way. Empty: your academy’s limit for wedges and irons, "
                "1 at most where the head is cast, 0 for hybrids, woods and putters; common practice, no source. "
                "A qualified club fitter decides whether a head can take it."
            ),
            "head_g": "Empty: 300, a usual value without a source.",
            "tilt_inertia_g_cm2": "About the axis from heel to toe. Empty: 600 to 1200, an engineering estimate.",
            "turn_inertia_g_cm2": "About the upright axis. Empty: 2000 to 3200, an engineering estimate.",
        }

    def __init__(self, data=None, *, player: Player, instance: Club | None = None):
        self.others = Club.objects.filter(player=player).carried().exclude(pk=instance and instance.pk)
        super().__init__(data, instance=instance, label_suffix="")
        self.fields["head_type"].choices = [("", "not known"), *self.fields["head_type"].choices[1:]]

    def visible_fields(self) -> list[forms.BoundField]:
        """Return the fields that are always shown."""
        return [field for field in super().visible_fields() if field.name not in HEAD]

    def head_fields(self) -> list[forms.BoundField]:
        """Return the fields about the head, which are folded away."""
        return [self[name] for name in HEAD]

    def shows_head(self) -> bool:
        """Is there anything about the head to see: a value, or what is wrong with one?"""
        return any(field.errors or field.value() not in (None, "") for field in self.head_fields())

    def clean_label(self) -> str:
        return " ".join(self.cleaned_data["label"].split())

    def clean(self):
        label = self.cleaned_data.get("label", "")
        if self.cleaned_data.get("carried") and self.others.filter(label__iexact=label).exists():
            self.add_error("label", f"There is a {label} in the bag already. Give this one another label.")
        for spot in SPOTS:
            self._check_whole(spot)
        for name, (least, most) in {**HEAD_BOUNDS, **BUILD_BOUNDS}.items():
            value = self.cleaned_data.get(name)
            if value is not None and not least <= value <= most:
                self.add_error(name, f"Enter {least:g} to {most:g}, or leave it empty if you don’t know it.")
        return self.cleaned_data

    def _check_whole(self, spot: tuple[str, str]) -> None:
        """Refuse a spot of which one coordinate is missing."""
        missing = [name for name in spot if name in self.cleaned_data and self.cleaned_data[name] is None]
        if len(missing) == 1:
            self.add_error(missing[0], "A spot takes both numbers. Enter this one too, or leave both empty.")


class NewClubForm(ClubForm):
    """A club with the loft and bounce that it has."""

    loft_deg = forms.FloatField(required=False, label="Loft (°)", help_text="May be empty for a putter.")
    bounce_deg = forms.FloatField(required=False, label="Bounce (°)")
    field_order = ["label", "kind", "loft_deg", "bounce_deg", "carried", *BUILD, "notes"]

    def clean_loft_deg(self):
        return check_loft(self.cleaned_data["loft_deg"])

    def clean_bounce_deg(self):
        return check_bounce(self.cleaned_data["bounce_deg"])


class SetupForm(forms.ModelForm):
    """How a club is from a day on; the first setup is open to the past and has no day."""

    class Meta:
        model = ClubSetup
        fields = ["reason", "loft_deg", "bounce_deg", "valid_from"]
        labels = {"loft_deg": "Loft (°)", "bounce_deg": "Bounce (°)", "valid_from": "From this day on"}
        widgets = {"valid_from": date_input()}

    def __init__(self, data=None, *, instance: ClubSetup, today: date):
        super().__init__(data, instance=instance, label_suffix="")
        self.today = today
        self.fields["valid_from"].required = True
        if instance.pk and instance.valid_from is None:
            del self.fields["valid_from"]

    def clean_loft_deg(self):
        return check_loft(self.cleaned_data["loft_deg"])

    def clean_bounce_deg(self):
        return check_bounce(self.cleaned_data["bounce_deg"])

    def clean_valid_from(self):
        day = self.cleaned_data["valid_from"]
        if day > self.today:
            raise forms.ValidationError("This day has not come yet. Enter it once the club has been changed.")
        if self.instance.club.setups.filter(valid_from=day).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError("A setup starts on this day already. Change that one instead.")
        return day


class ReadingForm(forms.ModelForm):
    """A loft as it was measured; it starts no new setup."""

    class Meta:
        model = LoftReading
        fields = ["loft_deg", "measured_on"]
        labels = {"loft_deg": "Measured loft (°)", "measured_on": "Measured on"}
        widgets = {"measured_on": date_input()}

    def __init__(self, data=None, *, today: date):
        super().__init__(data, initial={"measured_on": today}, label_suffix="")
        self.today = today

    def clean_loft_deg(self):
        return check_loft(self.cleaned_data["loft_deg"])

    def clean_measured_on(self):
        if self.cleaned_data["measured_on"] > self.today:
            raise forms.ValidationError("This day has not come yet.")
        return self.cleaned_data["measured_on"]


class CarriesForm(forms.Form):
    """The carry that the coach states for each swing, until it is tested."""

    def __init__(self, data=None, *, club: Club, swings: Iterable[str], unit: DistanceUnit):
        self.unit = unit
        self.held = {stated.swing: stated.carry_m for stated in club.stated_carries.all()}
        self.swing_of = {f"swing-{n}": swing for n, swing in enumerate(swings)}
        shown = {name: self._shown(swing) for name, swing in self.swing_of.items()}
        super().__init__(data, initial=shown, label_suffix="")
        for name, swing in self.swing_of.items():
            self.fields[name] = forms.FloatField(required=False, label=f"{swing_name(swing)} ({unit.value})")

    def _shown(self, swing: str) -> float | None:
        return round(self.unit.from_m(self.held[swing]), 1) if swing in self.held else None

    def clean(self):
        most = self.unit.show(MAX_CARRY_M)
        for name in self.swing_of:
            carry = self.cleaned_data.get(name)
            if carry is not None and not 0 < self.unit.to_m(carry) <= MAX_CARRY_M:
                self.add_error(name, f"A carry is more than 0 and at most {most}. Leave it empty if you don’t know it.")
        return self.cleaned_data

    def carries_m(self) -> dict[str, float | None]:
        """Return the changed carries by swing: what is shown is rounded, so what was left alone stays exact."""
        changed = {self.swing_of[name]: self.cleaned_data[name] for name in self.changed_data}
        return {swing: None if carry is None else self.unit.to_m(carry) for swing, carry in changed.items()}


class BagValuesForm(forms.ModelForm):
    """How far the academy's clubs may be bent, and how long a look at a bag holds."""

    bend_limit_deg = forms.FloatField(
        label="Clubs may be bent by at most (°)",
        help_text="2 unless you say otherwise (common practice, no source). Cast heads: 1 at most.",
    )
    bag_review_days = forms.IntegerField(
        label="Days from one bag review to the next",
        help_text="180 unless you say otherwise: a season’s length (common practice, no source).",
        min_value=1,
        max_value=1000,
    )

    class Meta:
        model = Academy
        fields = ["bend_limit_deg", "bag_review_days"]

    def __init__(self, data=None, *, instance: Academy):
        super().__init__(data, instance=instance, label_suffix="")

    def clean_bend_limit_deg(self) -> float:
        limit_deg = self.cleaned_data["bend_limit_deg"]
        if not 0 <= limit_deg <= MOST_BEND_DEG:
            raise forms.ValidationError(f"Give 0 to {MOST_BEND_DEG:g} degrees.")
        return limit_deg


class ReviewForm(forms.Form):
    """A walk through the bag: each carried club's loft read today and its grooves, the gaps, and notes.

    What was reviewed earlier today is the start of it, so that a second look changes the first one.
    """

    gaps_looked_at = forms.BooleanField(required=False, label="Gaps looked at")
    notes = forms.CharField(required=False, max_length=400)

    def __init__(self, data=None, *, clubs: Iterable[Club], review: BagReview | None):
        self.clubs = list(clubs)
        held = {look.club_id: look.grooves for look in review.groove_looks.all()} if review else {}
        initial = {"gaps_looked_at": review.gaps_looked_at, "notes": review.notes} if review else {}
        super().__init__(data, initial=initial, label_suffix="")
        own = {}
        for club in self.clubs:
            if club.kind != ClubKind.PUTTER:
                own[f"loft-{club.pk}"] = forms.FloatField(
                    required=False, label=f"Loft of the {club.label} read today (°)", help_text=self._stated(club)
                )
                own[f"grooves-{club.pk}"] = forms.ChoiceField(
                    required=False,
                    label=f"Grooves of the {club.label}",
                    choices=[("", "not looked at"), *Grooves.choices],
                    initial=held.get(club.pk, ""),
                )
        self.fields = own | self.fields

    def _stated(self, club: Club) -> str:
        loft_deg = club.setup_now.loft_deg
        return "No loft is held." if loft_deg is None else f"Held as {loft_deg:g}°. Empty: not read."

    def clean(self):
        for name, value in list(self.cleaned_data.items()):
            if name.startswith("loft-"):
                try:
                    check_loft(value)
                except forms.ValidationError as error:
                    self.add_error(name, error)
        return self.cleaned_data

    def _of_clubs(self, what: str) -> dict[Club, float | str]:
        """Return what was entered of each club, by club; what was left empty is not there."""
        found = {club: self.cleaned_data.get(f"{what}-{club.pk}") for club in self.clubs}
        return {club: value for club, value in found.items() if value not in (None, "")}

    def lofts_deg(self) -> dict[Club, float]:
        return self._of_clubs("loft")

    def grooves(self) -> dict[Club, str]:
        return self._of_clubs("grooves")
