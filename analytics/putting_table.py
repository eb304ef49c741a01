"""The putts that an academy expects from each distance: the published table, or its own in its place."""

import math
import re

from django import forms

from analytics.metrics import putting
from practice.accounts.models import Academy
from practice.clubs.models import PuttingTable

MAX_ROWS = 100


def table_of(academy: Academy) -> putting.PuttingTable:
    """Return the academy's own table, else the published one."""
    own = PuttingTable.objects.filter(academy=academy).first()
    return putting.putting_table(own.source, own.rows) if own else putting.TOUR_PUTTS


def reset_to_published(academy: Academy) -> None:
    """Take the academy's own table away; again changes nothing."""
    PuttingTable.objects.filter(academy=academy).delete()


class PuttingTableForm(forms.Form):
    """A table as lines of text, with its source."""

    source = forms.CharField(
        label="Where the figures come from",
        help_text="Stands beside every figure made of them.",
        max_length=PuttingTable._meta.get_field("source").max_length,
        widget=forms.TextInput(attrs={"size": 60}),
        error_messages={"required": "Say where the figures come from: whoever reads them will ask."},
    )
    rows = forms.CharField(
        label="Feet and putts",
        help_text="A line for each distance: feet, then the putts to expect, such as 3 1.04.",
        widget=forms.Textarea(attrs={"rows": 18, "cols": 14, "inputmode": "decimal"}),
        error_messages={"required": "Give at least two lines, each a distance in feet and a number of putts."},
    )

    def __init__(self, data=None, *, academy: Academy):
        self.academy = academy
        held = table_of(academy)
        lines = [f"{feet:.15g} {putts:.15g}" for feet, putts in zip(held.feet, held.putts, strict=True)]
        super().__init__(data, initial={"source": held.source, "rows": "\n".join(lines)}, label_suffix="")

    def clean_rows(self) -> list[tuple[float, float]]:
        """Return the rows by distance, or say which line is wrong or what is wrong with them together."""
        lines = [line.strip() for line in self.cleaned_data["rows"].splitlines()]
        rows = [_row(n, line) for n, line in enumerate(lines, 1) if line]
        if len(rows) > MAX_ROWS:
            raise forms.ValidationError(f"{len(rows)} lines are too many: {MAX_ROWS} at most.")
        try:
            table = putting.putting_table("", rows)
        except ValueError as error:
            message = str(error)
            raise forms.ValidationError(f"{message[0].upper()}{message[1:]}.") from error
        return list(zip(table.feet, table.putts, strict=True))

    def save(self) -> None:
        """Keep it as the academy's own table."""
        PuttingTable.objects.update_or_create(academy=self.academy, defaults=self.cleaned_data)


def _row(number: int, line: str) -> tuple[float, float]:
    try:
        feet, putts = (float(cell) for cell in re.split(r"[\s,;]+", line))
    except ValueError:
        feet = putts = math.nan
    if not (math.isfinite(feet) and math.isfinite(putts)):
        raise forms.ValidationError(
            f"Line {number}, “{line[:40]}”: give a distance in feet and a number of putts, such as 3 1.04."
        )
    return feet, putts
