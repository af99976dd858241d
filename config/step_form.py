"""The form that asks for the second step of signing in."""

from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from config.tries import Tries
from inventory.actions.people.second_factors import WRONG, is_right_code
from inventory.models import Assignment, SecondFactor, User
from inventory.rules.core.roles import MANAGER
from inventory.security_log import told
from inventory.views.core.clock import now


def has_factor(person: User) -> bool:
    """Return whether this person has two-step sign-in."""
    return SecondFactor.objects.filter(person=person).exists()


def must_have_factor(person: User) -> bool:
    """Return whether the settings require two-step sign-in of this person."""
    if not settings.SECOND_STEP_REQUIRED:
        return False
    held = Assignment.objects.filter(person=person, role=MANAGER)
    return person.is_administrator or held.exists()


class CodeForm(forms.Form):
    """Asks for the app's code, or for a recovery code."""

    code = forms.CharField(
        label="Code from your app",
        max_length=40,
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "characters"}
        ),
        help_text="Six digits; they change every 30 seconds. Without your phone: one of "
        "your recovery codes.",
        error_messages={"required": "Enter the code from your app."},
    )

    def __init__(self, *args: Any, request: HttpRequest, person: User, **kwargs: Any):  # noqa: ANN204, ANN401
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.use_required_attribute = False
        self.request = request
        self.person = person
        self.has_factor = has_factor(person)
        if not self.has_factor:
            del self.fields["code"]

    def clean(self) -> dict[str, Any]:
        """Look at the code."""
        if "code" in self.cleaned_data:
            self.check_code()
        return self.cleaned_data

    def check_code(self) -> None:
        """Raise ValidationError for a wrong code, and where too many were wrong.

        Codes have a count of their own: a right password must not begin it anew.
        """
        tries = Tries(self.request, self.person.username, about="code of ")
        tries.begin()
        if not is_right_code(
            person=self.person, at=now(), code=self.cleaned_data["code"]
        ):
            told("second step", who=self.person.username, outcome="refused")
            raise ValidationError(WRONG)
        tries.were_right()
