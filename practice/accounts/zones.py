"""IANA time zones of academies and venues."""

from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError


def validate_time_zone(name: str) -> None:
    """Refuse a name that the IANA database does not hold."""
    if name not in available_timezones():
        raise ValidationError(f"{name} is not a time zone; use a name like Europe/London.")


def zone(name: str) -> ZoneInfo:
    """Return the zone of a validated name."""
    return ZoneInfo(name)
