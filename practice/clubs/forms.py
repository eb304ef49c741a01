"""Forms about clubs. Carries are typed in the player's unit and kept in metres."""

from collections.abc import Iterable
from datetime import date

from django import forms

from practice.clubs.models import Club, ClubSetup, LoftReading
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


class ClubForm(forms.ModelForm):
    """A club's own facts. Its label is unique in the bag, which also makes a form sent twice one club."""

    sweet_spot_low_high_mm = forms.FloatField(
        required=False,
        min_value=-80,
        max_value=80,
        label="Sweet spot, low (−) to high (+), mm",
        help_text="If known: counted from the same point of the face as the strike marks. Else leave both empty.",
    )
    sweet_spot_heel_toe_mm = forms.FloatField(
        required=False, min_value=-80, max_value=80, label="Sweet spot, heel (−) to toe (+), mm"
    )

    class Meta:
        model = Club
        fields = ["label", "kind", "carried", "notes", "sweet_spot_low_high_mm", "sweet_spot_heel_toe_mm"]
        labels = {"carried": "In the bag now"}
        help_texts = {"label": "What the player calls it, such as 56 or PW."}

    def __init__(self, data=None, *, player: Player, instance: Club | None = None):
        self.others = Club.objects.filter(player=player).carried().exclude(pk=instance and instance.pk)
        super().__init__(data, instance=instance, label_suffix="")

    def clean_label(self) -> str:
        return " ".join(self.cleaned_data["label"].split())

    def clean(self):
        label = self.cleaned_data.get("label", "")
        if self.cleaned_data.get("carried") and self.others.filter(label__iexact=label).exists():
            self.add_error("label", f"There is a {label} in the bag already. Give this one another label.")
        return self.cleaned_data


class NewClubForm(ClubForm):
    """A club with the loft and bounce that it has."""

    loft_deg = forms.FloatField(required=False, label="Loft (°)", help_text="May be empty for a putter.")
    bounce_deg = forms.FloatField(required=False, label="Bounce (°)")
    field_order = ["label", "kind", "loft_deg", "bounce_deg", "carried", "notes"]

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
