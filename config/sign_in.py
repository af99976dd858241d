"""Signing in, and the wait after too many wrong passwords."""

import math
import time
from functools import cached_property
from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse

from config.addresses import client_address
from config.attempts import Keys, begin_try, keys_of, was_right
from config.devices import device_of, remember
from config.passwords import check_length
from inventory.actions.people.passwords import note_rehash
from inventory.models import User
from inventory.security_log import told
from inventory.views.core.clock import now

WAITS = "wait"
"""The code of the error that asks to wait."""


class Tries:
    """The tries of one name from where this request comes from."""

    def __init__(self, request: HttpRequest, name: str) -> None:
        self.person = User.objects.filter(username=name).first()
        self.keys: Keys = keys_of(
            name,
            address=client_address(request),
            device=device_of(request).name_for(self.person),
        )

    def begin(self) -> None:
        """Count one more. Raise ValidationError where it must wait."""
        seconds = begin_try(_path(), self.keys, time.time())
        if seconds <= 0:
            return
        who = self.person.username if self.person else "an unknown name"
        told("sign in", who=who, outcome="refused: must wait")
        raise ValidationError(wait_words(seconds), WAITS, {"seconds": seconds})

    def were_right(self) -> None:
        """Take the last one out again."""
        was_right(_path(), self.keys, time.time())


def _path() -> Any:  # noqa: ANN401 - a Path, which settings do not type
    return settings.DATA_DIR / "tries.counts"


def wait_words(seconds: float) -> str:
    """Return the sentence that asks to wait so long."""
    minutes = math.ceil(seconds / 60)
    if seconds < 60:
        some = math.ceil(seconds)
        wait = "Wait a second" if some == 1 else f"Wait {some} seconds"
        return f"Too many wrong passwords. {wait}, then sign in again."
    wait = "Wait a minute" if minutes == 1 else f"Wait {minutes} minutes"
    return (
        f"Too many wrong passwords. {wait}, then sign in again. On a phone or computer "
        "where you signed in before you need not wait."
    )


class SignInForm(AuthenticationForm):
    """Asks for name and password; a megabyte of password is not even hashed."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        password = self.fields["password"]
        if isinstance(password, forms.CharField):
            password.validators.append(check_length)

    @cached_property
    def tries(self) -> Tries:
        """The tries of the name that was typed."""
        request: Any = self.request
        return Tries(request, self.cleaned_data["username"])

    def clean(self) -> dict[str, Any]:
        """Look at the password, unless too many were wrong."""
        if self.cleaned_data.get("username") and self.cleaned_data.get("password"):
            self.tries.begin()
        return super().clean()


class SignInView(LoginView):
    """Signs in; a form with mistakes answers 422, like every form here."""

    authentication_form = SignInForm

    def get_context_data(self, **more: Any) -> dict[str, Any]:  # noqa: ANN401 - Django's
        """Say so where nobody can sign in yet."""
        return super().get_context_data(is_empty=not User.objects.exists(), **more)

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Sign in, and know the device from now on."""
        person: Any = form.get_user()
        if isinstance(form, SignInForm):
            form.tries.were_right()
            before = form.tries.person
            if before and before.password != person.password:
                note_rehash(person=person, at=now())
        answer = super().form_valid(form)
        remember(self.request, answer, person)
        return answer

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Show the form again: 422, or 429 where it must wait."""
        answer = super().form_invalid(form)
        waits = [one for one in form.non_field_errors().as_data() if one.code == WAITS]
        seconds = [(one.params or {})["seconds"] for one in waits]
        answer.status_code = 429 if seconds else 422
        if seconds:
            answer["Retry-After"] = str(math.ceil(seconds[0]))
        return answer
