"""Forms of the coach's side of what was done."""

from django import forms

from practice.sessions.models import Shot


class SetAsideForm(forms.Form):
    reason = forms.CharField(
        label="Why does this shot not count?",
        help_text="For example: hit a second ball by mistake, the monitor read another bay.",
        max_length=Shot._meta.get_field("set_aside_reason").max_length,
        error_messages={"required": "Give a reason: the player reads it, and so will you in a month."},
    )
