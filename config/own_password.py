"""Changing one's own password."""

from typing import Any

from django.contrib.auth.forms import PasswordChangeForm
from django.contrib.auth.views import PasswordChangeView
from django.http import HttpResponse

from config.passwords import check_length, say_hint
from config.shown_again import ShownAgain
from config.tries import Tries
from inventory.access import person_of
from inventory.actions.core.versions import RefusedError
from inventory.actions.people.passwords import change_password
from inventory.models import User
from inventory.views.core.clock import now


class OwnPasswordForm(PasswordChangeForm):
    """Asks for the former and the new password; the former is no free guess."""

    def __init__(self, *args: Any, tries: Tries, **kwargs: Any) -> None:  # noqa: ANN401
        super().__init__(*args, **kwargs)
        self.tries = tries
        say_hint(self)

    def clean_old_password(self) -> str:
        """Look at the former password, unless too many were wrong."""
        check_length(self.cleaned_data["old_password"])
        self.tries.begin()
        former: str = super().clean_old_password()
        self.tries.were_right()
        return former

    def save(self, commit: bool = True) -> User:  # noqa: FBT001, FBT002 - Django's
        """Change it. Raise RefusedError."""
        del commit
        self.user = change_password(
            person=self.user, at=now(), password=self.cleaned_data["new_password1"]
        )
        return self.user


class ChangeOwnPassword(ShownAgain, PasswordChangeView):
    """The page; a form with mistakes answers 422, like every form here."""

    form_class = OwnPasswordForm

    def get_form_kwargs(self) -> dict[str, Any]:
        """Give the form the tries of its person."""
        tries = Tries(self.request, person_of(self.request).username)
        return super().get_form_kwargs() | {"tries": tries}

    def form_valid(self, form: Any) -> HttpResponse:  # noqa: ANN401 - Django's
        """Change it, and stay signed in here alone."""
        try:
            return super().form_valid(form)
        except RefusedError as error:
            form.add_error("new_password2", str(error))
            return self.form_invalid(form)
