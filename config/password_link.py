"""Setting a new password by a one-time link."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.views import (
    INTERNAL_RESET_SESSION_TOKEN,
    PasswordResetConfirmView,
)
from django.http import HttpResponse
from django.urls import reverse_lazy

from config.devices import remember
from config.passwords import say_hint
from config.shown_again import ShownAgain
from inventory.actions.core.versions import RefusedError
from inventory.actions.people.password_links import links, set_by_link
from inventory.models import User
from inventory.views.core.clock import now


class LinkPasswordForm(SetPasswordForm):  # type: ignore[type-arg]
    """Asks for the new password twice."""

    token = ""

    def save(self, commit: bool = True) -> User:  # noqa: FBT001, FBT002 - Django's
        """Set it. Raise RefusedError."""
        del commit
        new = self.cleaned_data["new_password1"]
        return set_by_link(who=self.user, at=now(), token=self.token, password=new)


class SetPassword(ShownAgain, PasswordResetConfirmView):
    """The page of the link. It signs nobody in: a second factor is still asked."""

    form_class = LinkPasswordForm
    token_generator = links
    template_name = "registration/password_link.html"
    success_url = reverse_lazy("login")

    def get_user(self, uidb64: str) -> User | None:
        """Return whose link it is, unless they cannot sign in."""
        found: Any = super().get_user(uidb64)
        return found if found and found.is_active else None

    def get_form(self, form_class: Any = None) -> Any:  # noqa: ANN401 - Django's
        """Return the form, which carries the link's secret to the act."""
        form: Any = super().get_form(form_class)
        say_hint(form)
        form.token = self.request.session.get(INTERNAL_RESET_SESSION_TOKEN, "")
        return form

    def form_valid(self, form: Any) -> HttpResponse:  # noqa: ANN401 - Django's
        """Set it, and know the device: its owner need not wait for strangers."""
        try:
            answer = super().form_valid(form)
        except RefusedError as error:
            form.add_error(None, str(error))
            return self.form_invalid(form)
        remember(self.request, answer, form.user)
        messages.success(self.request, "Your new password is set. Sign in with it.")
        return answer
