"""What a wind or a green of another height may do: a band over published models, for every player the same."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from django import forms

from analytics.metrics.conditions_band import Band, ConditionsBand, conditions_band
from analytics.metrics.flight import Wind
from analytics.metrics.flight_models import ENSEMBLE
from analytics.metrics.level_landing import LAUNCHES_DEG
from analytics.pages.band_picture import BandPicture, band_picture
from practice.players.models import Player
from practice.sessions.words import WindFrom
from practice.units import DistanceUnit

DISTANCES = range(30, 91, 5)
"""In the player's unit."""

STRONGEST_MS, HIGHEST = 10, 6
"""Bounds of what is asked: nobody pitches for practice in more wind; the height is in the player's unit."""

USUAL = ((2, WindFrom.AHEAD), (2, WindFrom.BEHIND), (5, WindFrom.AHEAD), (5, WindFrom.BEHIND), (5, WindFrom.LEFT))
USUAL_HEIGHTS = (1, 3, -1, -3)
NONE = 0.05
"""A change that rounds to 0.0 is none."""


class ConditionsForm(forms.Form):
    """A wind and a height."""

    wind = forms.FloatField(label="Wind (m/s)", min_value=0, max_value=STRONGEST_MS)
    wind_from = forms.ChoiceField(label="Direction", choices=WindFrom.choices)
    height = forms.FloatField(min_value=-HIGHEST, max_value=HIGHEST, help_text="Minus is below the tee.")

    def __init__(self, data: dict, *, unit: DistanceUnit):
        super().__init__({"wind": "5", "wind_from": WindFrom.AHEAD, "height": "0", **data}, label_suffix="")
        self.fields["height"].label = f"Height of the green ({unit.value})"
        wind = f"Enter a wind from 0 to {STRONGEST_MS} m/s."
        height = f"Enter a height from -{HIGHEST} to {HIGHEST} {unit.value}; minus is below the tee."
        for name, told in (("wind", wind), ("height", height)):
            self.fields[name].error_messages = dict.fromkeys(("required", "invalid"), told)
            for validator in self.fields[name].validators:
                validator.message = told
            self.fields[name].widget.attrs["step"] = "0.5"
        choose = "Choose where the wind comes from."
        self.fields["wind_from"].error_messages = {"required": choose, "invalid_choice": choose}

    def asked(self) -> tuple[float, str, float] | None:
        """Return wind (m/s), where it comes from and height (the player's unit), to a tenth; None if not understood."""
        if not self.is_valid():
            return None
        found = self.cleaned_data
        return round(found["wind"], 1), found["wind_from"], round(found["height"], 1)


@dataclass(frozen=True)
class Case:
    """A usual wind or height to look at."""

    query: str
    text: str


@dataclass(frozen=True)
class BandRow:
    distance: str
    carry: str
    side: str
    says: str


@dataclass(frozen=True)
class Source:
    name: str
    source: str


@dataclass(frozen=True)
class WindAndSlopePage:
    """All that the template needs; without rows where nothing that can be worked out was asked."""

    player: Player
    unit: DistanceUnit
    cases: tuple[Case, ...]
    sources: tuple[Source, ...]
    asked: str = ""
    sentence: str = ""
    picture: BandPicture | None = None
    side_picture: BandPicture | None = None
    rows: tuple[BandRow, ...] = ()


def wind_and_slope_page(player: Player, asked: tuple[float, str, float] | None) -> WindAndSlopePage:
    """Return the page; `asked` as `ConditionsForm.asked` gives it."""
    unit = player.shown_unit
    page = {"player": player, "unit": unit, "cases": _cases(unit)}
    page["sources"] = tuple(Source(model.name, model.source) for model in ENSEMBLE)
    if asked is None:
        return WindAndSlopePage(**page)
    wind_ms, wind_from, height = asked
    tail_ms, cross_ms = _components(wind_ms, wind_from)
    band = _band(unit.metres, tail_ms, cross_ms, unit.to_m(height))
    sideways = cross_ms != 0
    rows = tuple(_row(n, band, unit, sideways=sideways) for n in range(0, len(DISTANCES), 2))
    return WindAndSlopePage(
        **page,
        asked=_said(wind_ms, wind_from, height, unit),
        sentence=_sentence(band, unit),
        picture=_picture(band.carry, unit),
        side_picture=_picture(band.lateral, unit) if sideways else None,
        rows=rows,
    )


def _components(wind_ms: float, wind_from: str) -> tuple[float, float]:
    """Return the wind as + from behind and + from the left."""
    along = {WindFrom.BEHIND: 1, WindFrom.AHEAD: -1}.get(wind_from, 0)
    across = {WindFrom.LEFT: 1, WindFrom.RIGHT: -1}.get(wind_from, 0)
    return along * wind_ms, across * wind_ms


@lru_cache(maxsize=512)
def _band(unit_m: float, tail_ms: float, cross_ms: float, green_m: float) -> ConditionsBand:
    """The same for every player: no shot of theirs stands in it."""
    carries_m = np.array(DISTANCES) * unit_m
    return conditions_band(carries_m, green_m=green_m, wind=Wind(tail_ms, cross_ms), launch_deg=LAUNCHES_DEG)


def _picture(band: Band, unit: DistanceUnit) -> BandPicture | None:
    return band_picture(DISTANCES, band.low_m / unit.metres, band.high_m / unit.metres)


def _cases(unit: DistanceUnit) -> tuple[Case, ...]:
    asked = [*((wind, wind_from, 0) for wind, wind_from in USUAL), *((0, WindFrom.AHEAD, up) for up in USUAL_HEIGHTS)]
    return tuple(
        Case(f"wind={wind}&wind_from={place}&height={up}", _said(wind, place, up, unit)) for wind, place, up in asked
    )


def _said(wind_ms: float, wind_from: str, height: float, unit: DistanceUnit) -> str:
    wind = f"{wind_ms:g} m/s {WindFrom(wind_from).label}" if wind_ms else ""
    green = f"green {abs(height):g} {unit.value} {'up' if height > 0 else 'down'}" if height else ""
    return ", ".join(filter(None, (wind, green))) or "calm, level green"


def _sentence(band: ConditionsBand, unit: DistanceUnit) -> str:
    middle = len(DISTANCES) // 2
    ends = _ends(band.carry, middle, unit)
    distance = f"{DISTANCES[middle]} {unit.value}"
    if ends is None:
        return f"Not every ball that carries {distance} on the level gets up there."
    return f"A ball that carries {distance} in calm air on the level: {span(*ends, unit)}."


def _ends(band: Band, place: int, unit: DistanceUnit) -> tuple[float, float] | None:
    low, high = unit.from_m(float(band.low_m[place])), unit.from_m(float(band.high_m[place]))
    return None if np.isnan(low + high) else (low, high)


def span(low: float, high: float, unit: DistanceUnit, words: tuple[str, str] = ("shorter", "longer")) -> str:
    """Return a band in words, e.g. "0.5 to 3.2 yd shorter" or "0.4 yd shorter to 1.0 yd longer"."""
    if max(abs(low), abs(high)) < NONE:
        return "no change"
    if low > -NONE or high < NONE:
        near, far = sorted((abs(low), abs(high)))
        return f"{near:.1f} to {far:.1f} {unit.value} {words[low > -NONE]}"
    return f"{-low:.1f} {unit.value} {words[0]} to {high:.1f} {unit.value} {words[1]}"


def _row(place: int, band: ConditionsBand, unit: DistanceUnit, *, sideways: bool) -> BandRow:
    carry, side = _ends(band.carry, place, unit), _ends(band.lateral, place, unit)
    if carry is None:
        says = "too high for some"
    elif band.carry.clear[place]:
        says = "all agree"
    else:
        says = "they differ which way" if carry[0] < -NONE and carry[1] > NONE else "may be under a yard"
    return BandRow(
        distance=f"{DISTANCES[place]} {unit.value}",
        carry="–" if carry is None else span(*carry, unit),
        side=span(*side, unit, ("left", "right")) if sideways and side else "",
        says=says,
    )
