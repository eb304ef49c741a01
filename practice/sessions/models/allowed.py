"""What a field may hold, as a condition of the database."""

from django.db.models import Q


def one_of(field: str, words, *, empty: bool = True) -> Q:
    """Return the condition that a field holds one of the words, or nothing."""
    return Q(**{f"{field}__in": [*([""] if empty else []), *words.values]})


def within(field: str, low: float, high: float) -> Q:
    """Return the condition that a number is missing or within bounds; NaN is neither."""
    return Q(**{field: None}) | Q(**{f"{field}__gte": low, f"{field}__lte": high})
