"""Forms about a range. Distances are typed in the academy's unit and kept in metres."""

from datetime import date

from django import forms

from practice.accounts.models import Academy
from practice.units import DistanceUnit
from practice.venues.models import Bay, Target, TeeLine, Venue

MAX_DISTANCE_M, MAX_ELEVATION_M = 400.0, 100.0
MAX_BUCKET, MOST_BUCKETS = 500, 8


class NamedForm(forms.ModelForm):
    """A row whose name is unique beside its siblings, which also makes a form sent twice one row."""

    def __init__(self, data=None, *, instance, siblings):
        self.siblings = siblings.exclude(pk=instance.pk)
        # Several forms stand on one page, so the ids of their fields carry the row's.
        super().__init__(data, instance=instance, auto_id=f"id_%s_{instance.pk}", label_suffix="")

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if self.siblings.filter(name__iexact=name).exists():
            raise forms.ValidationError(f"There is a “{name}” here already.")
        return name


class BucketSizesField(forms.CharField):
    """How many balls the range's buckets hold: numbers with commas or spaces between them, kept smallest first."""

    def prepare_value(self, value):
        return ", ".join(map(str, value)) if isinstance(value, list) else value

    def to_python(self, value) -> list[int]:
        words = super().to_python(value).replace(",", " ").split()
        # isdecimal alone lets through digits that no keyboard types
        if not all(word.isascii() and word.isdecimal() and 1 <= int(word) <= MAX_BUCKET for word in words):
            raise forms.ValidationError(f"Enter whole numbers from 1 to {MAX_BUCKET}, such as 30, 60, 100.")
        if len(words) > MOST_BUCKETS:
            raise forms.ValidationError(f"Enter at most {MOST_BUCKETS} sizes.")
        return sorted(set(map(int, words)))

    def has_changed(self, initial, data):
        return super().has_changed(self.prepare_value(initial), data)


class VenueForm(NamedForm):
    """A range: its name, its clock and its buckets."""

    bucket_sizes = BucketSizesField(
        required=False,
        label="Balls in a bucket",
        help_text="One size or several, such as 30, 60, 100. Plans then say which buckets to take.",
    )

    class Meta:
        model = Venue
        fields = ["name", "time_zone", "bucket_sizes", "is_default"]
        labels = {"is_default": "The academy’s usual range"}
        help_texts = {"time_zone": "Such as Europe/London. It decides on which day a ball was hit."}


class NewVenueForm(VenueForm):
    """A range and its first tee line; asks for the academy only where the coach has a choice."""

    tee_line = forms.CharField(max_length=60, initial="Front mats", label="First tee line")
    academy = forms.ModelChoiceField(Academy.objects.none(), empty_label=None)
    field_order = ["academy", "name", "tee_line", "time_zone", "bucket_sizes", "is_default"]

    def __init__(self, data=None, *, academies: list[Academy]):
        pks = [academy.pk for academy in academies]
        first = Venue(academy=academies[0], time_zone=academies[0].time_zone)
        super().__init__(data, instance=first, siblings=Venue.objects.filter(academy__in=pks))
        self.fields["academy"].queryset = Academy.objects.filter(pk__in=pks)
        self.initial["academy"] = academies[0].pk
        if len(academies) == 1:
            self.fields["academy"].widget = forms.HiddenInput()


class TeeLineForm(NamedForm):
    """A line that distances are measured from."""

    class Meta:
        model = TeeLine
        fields = ["name"]


class BayForm(NamedForm):
    """A bay and the arc that may be hit into."""

    class Meta:
        model = Bay
        fields = ["name", "arc_left_deg", "arc_right_deg"]
        labels = {"arc_left_deg": "Arc from (°)", "arc_right_deg": "Arc to (°)"}
        help_texts = {
            "name": "As the player knows it, such as Bay 12.",
            "arc_left_deg": "Degrees from straight ahead; minus is left.",
            "arc_right_deg": "Plus is right.",
        }

    def clean(self):
        left, right = self.cleaned_data.get("arc_left_deg"), self.cleaned_data.get("arc_right_deg")
        if left is not None and right is not None and not -90 <= left < right <= 90:
            raise forms.ValidationError("The arc runs from left to right, within −90 and 90 degrees.")
        return self.cleaned_data


class TargetForm(NamedForm):
    """A target seen from one tee line. Another distance forgets when the old one was checked, unless a day is given."""

    distance = forms.FloatField(required=False, help_text="Leave it empty if nobody knows.")
    elevation = forms.FloatField(required=False, initial=0, help_text="Plus is above the tee line.")
    field_order = ["name", "kind", "distance", "direction_deg", "elevation", "checked_on"]

    class Meta:
        model = Target
        fields = ["name", "kind", "direction_deg", "checked_on"]
        labels = {"direction_deg": "Direction (°)", "checked_on": "Distance checked on"}
        help_texts = {
            "direction_deg": "0 is straight ahead; minus is left.",
            "checked_on": "The day it was measured. Empty: nobody checked.",
        }
        widgets = {"checked_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}

    def __init__(self, data=None, *, instance, siblings, unit: DistanceUnit, today: date):
        super().__init__(data, instance=instance, siblings=siblings)
        self.unit, self.today = unit, today
        self.fields["distance"].label = f"Distance ({unit.value})"
        self.fields["elevation"].label = f"Elevation ({unit.value})"
        self.initial["elevation"] = round(unit.from_m(instance.elevation_m), 1)
        if instance.distance_m is not None:
            self.initial["distance"] = round(unit.from_m(instance.distance_m), 1)

    def clean_distance(self):
        distance = self.cleaned_data["distance"]
        if distance is not None and not 0 < self.unit.to_m(distance) <= MAX_DISTANCE_M:
            most = self.unit.show(MAX_DISTANCE_M)
            raise forms.ValidationError(f"A target stands up to {most} away; leave it empty if nobody knows.")
        return distance

    def clean_elevation(self):
        elevation = self.cleaned_data["elevation"] or 0.0
        if abs(self.unit.to_m(elevation)) > MAX_ELEVATION_M:
            raise forms.ValidationError(f"At most {self.unit.show(MAX_ELEVATION_M)} up or down.")
        return elevation

    def clean_direction_deg(self):
        direction_deg = self.cleaned_data["direction_deg"]
        if not -90 <= direction_deg <= 90:
            raise forms.ValidationError("Use degrees from −90 (left) to 90 (right).")
        return direction_deg

    def clean_checked_on(self):
        checked_on = self.cleaned_data["checked_on"]
        if checked_on and checked_on > self.today:
            raise forms.ValidationError("This day has not come yet.")
        return checked_on

    def save(self, commit=True):
        # Only a field that was changed is taken over: the form shows rounded figures, the row keeps exact ones.
        if "distance" in self.changed_data:
            distance = self.cleaned_data["distance"]
            self.instance.distance_m = None if distance is None else self.unit.to_m(distance)
            if "checked_on" not in self.changed_data:
                self.instance.checked_on = None
        if "elevation" in self.changed_data:
            self.instance.elevation_m = self.unit.to_m(self.cleaned_data["elevation"])
        return super().save(commit)
