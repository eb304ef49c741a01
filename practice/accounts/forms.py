"""Forms about who signs in."""

import logging

from django import forms
from django.contrib.auth import authenticate
from django.http import HttpRequest

from practice.accounts.models import Academy, User
from practice.accounts.throttle import WAIT_MINUTES, WrongTries

log = logging.getLogger(__name__)


class SignInForm(forms.Form):
    """E-mail and password; a valid form has the `user` they belong to."""

    email = forms.EmailField(
        label="E-mail",
        widget=forms.EmailInput(attrs={"autocomplete": "username", "autofocus": True}),
        error_messages={"required": "Enter your e-mail."},
    )
    password = forms.CharField(
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "Enter your password."},
    )

    def __init__(self, request: HttpRequest, data=None):
        super().__init__(data, label_suffix="")
        self.request = request
        self.user: User | None = None

    def clean(self) -> dict:
        cleaned = super().clean()
        if not {"email", "password"} <= cleaned.keys():
            return cleaned
        tries = WrongTries(cleaned["email"], self.request.META["REMOTE_ADDR"])
        if tries.too_many():
            log.warning("sign-in refused: too many wrong tries")
            raise forms.ValidationError(f"Too many wrong tries. Wait {WAIT_MINUTES} minutes, then try again.")
        self.user = authenticate(self.request, email=cleaned["email"], password=cleaned["password"])
        if self.user is None:
            tries.add()
            log.warning("sign-in refused: wrong e-mail or password")
            raise forms.ValidationError(
                "E-mail and password do not match. Check both; a player without an e-mail gets in by a code from the "
                "coach."
            )
        tries.forget()
        return cleaned


class MemberForm(forms.Form):
    """Somebody who is to coach."""

    name = forms.CharField(max_length=120, error_messages={"required": "Enter the coach's name."})
    email = forms.EmailField(
        label="E-mail",
        help_text="Somebody who signs in here already keeps their own name and password.",
        error_messages={"required": "Enter the coach's e-mail."},
    )

    def __init__(self, data=None):
        super().__init__(data, label_suffix="")

    def clean_email(self) -> str:
        return self.cleaned_data["email"].lower()


class CarryChartDaysForm(forms.ModelForm):
    """How many days of stock balls count in the academy's carry charts."""

    carry_chart_days = forms.IntegerField(
        label="Days that count",
        help_text="Stock balls from before that are in no carry chart. 120 unless you say otherwise.",
        min_value=7,
        max_value=1000,
        error_messages={
            "required": "Give a number of days, such as 120.",
            "invalid": "Give a whole number of days, such as 120.",
            "min_value": "Give 7 days or more: a carry test should count for a week at least.",
            "max_value": "Give 1000 days or fewer: a swing from before that says little about today’s.",
        },
    )

    class Meta:
        model = Academy
        fields = ["carry_chart_days"]

    def __init__(self, data=None, *, instance: Academy):
        super().__init__(data, instance=instance, label_suffix="")


class PassingForm(forms.ModelForm):
    """What the academy's coaches let pass, stage by stage, before a suggested week goes on to the next one."""

    class Meta:
        model = Academy
        fields = ["passing_mishit_pct", "passing_strike_mm", "passing_fresh_pct", "passing_course_pct"]
        labels = {
            "passing_mishit_pct": "Mishits (percent of the balls)",
            "passing_strike_mm": "Strike marks from their own centre (mm, on average)",
            "passing_fresh_pct": "Fresh balls wider than repeats (percent)",
            "passing_course_pct": "Course wider than range (percent)",
        }
        help_texts = {
            "passing_mishit_pct": "10 unless you say otherwise. Either this or tight marks pass the strike.",
            "passing_strike_mm": "8 unless you say otherwise.",
            "passing_fresh_pct": "30 unless you say otherwise.",
            "passing_course_pct": "50 unless you say otherwise.",
        }

    BOUNDS = {
        "passing_mishit_pct": (1, 100),
        "passing_strike_mm": (1, 40),
        "passing_fresh_pct": (0, 300),
        "passing_course_pct": (0, 300),
    }

    def __init__(self, data=None, *, instance: Academy):
        super().__init__(data, instance=instance, label_suffix="")
        for name, (least, most) in self.BOUNDS.items():
            field = self.fields[name]
            words = f"Give a whole number from {least} to {most}."
            self.fields[name] = forms.IntegerField(
                label=field.label,
                help_text=field.help_text,
                min_value=least,
                max_value=most,
                error_messages=dict.fromkeys(("required", "invalid", "min_value", "max_value"), words),
            )
