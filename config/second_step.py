"""One's own two-step sign-in: turned on, new recovery codes, turned off."""

from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe
from django.views.generic import FormView

from config import sessions
from config.sessions import MUST_ADD
from config.shown_again import ShownAgain
from config.step_form import has_factor, must_have_factor
from inventory.access import person_of
from inventory.actions.core.versions import RefusedError
from inventory.actions.people import second_factors as acts
from inventory.actions.people.dock_phones import may_have_pin
from inventory.models import DockPin, Passkey, RecoveryCode, User
from inventory.rules.core.one_time_codes import address_of_secret, letters_of
from inventory.security_log import told
from inventory.views.core.clock import now
from inventory.views.core.squares import square_of

ISSUER = "Tarefold"
_NEW = "new_second_step"
"""Where the session keeps a secret until a code shows that the app has it."""


def lacks_second_step(request: HttpRequest) -> HttpResponse | None:
    """Send whoever must turn it on first to the page that does."""
    name = request.resolver_match.view_name if request.resolver_match else ""
    if name in {"add_second_step", "logout"} or not request.session.get(MUST_ADD):
        return None
    return redirect("add_second_step")


@require_safe
def own_sign_in(request: HttpRequest) -> HttpResponse:
    """Show one's password, second step and recovery codes."""
    person = person_of(request)
    codes = RecoveryCode.objects.filter(factor__person=person, used_at=None)
    context = {
        "has_factor": has_factor(person),
        "is_required": must_have_factor(person),
        "codes_left": codes.count(),
        "codes_made": acts.CODES,
        "passkeys": list(Passkey.objects.filter(person=person)),
        "may_have_pin": may_have_pin(person),
        "has_pin": DockPin.objects.filter(person=person).exists(),
        "places": sessions.where_signed_in(request, person),
    }
    return render(request, "registration/own_sign_in.html", context)


class NewCodeForm(forms.Form):
    """Asks for the first code, which shows that the app has the secret."""

    code = forms.CharField(
        label="Code from your app",
        max_length=40,
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "inputmode": "numeric"}
        ),
        help_text="Six digits; they change every 30 seconds.",
        error_messages={"required": "Enter the code that your app shows now."},
    )


class AddSecondStep(ShownAgain, FormView):  # type: ignore[type-arg]
    """Shows the secret as a QR code and as letters; takes the first code."""

    form_class = NewCodeForm
    template_name = "registration/add_second_step.html"

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Any:  # noqa: ANN401
        """Send back whoever has it already."""
        if has_factor(person_of(request)):
            return redirect("own_sign_in")
        return super().dispatch(request, *args, **kwargs)

    def get_context_data(self, **more: Any) -> dict[str, Any]:  # noqa: ANN401
        """Draw the secret."""
        person, secret = person_of(self.request), self._secret()
        address = address_of_secret(secret, name=person.username, issuer=ISSUER)
        return super().get_context_data(
            square=square_of(address),
            letters=acts.in_groups(letters_of(secret)),
            is_required=must_have_factor(person),
            **more,
        )

    def _secret(self) -> bytes:
        kept = self.request.session.get(_NEW)
        if kept is None:
            kept = self.request.session[_NEW] = acts.new_secret().hex()
        return bytes.fromhex(kept)

    def form_valid(self, form: NewCodeForm) -> HttpResponse:
        """Turn it on; show the recovery codes, once."""
        try:
            codes = acts.add_factor(
                person=person_of(self.request),
                at=now(),
                secret=self._secret(),
                code=form.cleaned_data["code"],
            )
        except RefusedError as error:
            form.add_error("code", str(error))
            return self.form_invalid(form)
        for name in (_NEW, MUST_ADD):
            self.request.session.pop(name, None)
        return _show_codes(self.request, codes)


@require_POST
def renew_codes(request: HttpRequest) -> HttpResponse:
    """Make new recovery codes; the former ones no longer count."""
    try:
        codes = acts.renew_codes(person=person_of(request), at=now())
    except RefusedError as error:
        messages.error(request, str(error))
        return redirect("own_sign_in")
    return _show_codes(request, codes)


@require_POST
def remove_own_second_step(request: HttpRequest) -> HttpResponse:
    """Turn one's own off, where the settings leave the choice."""
    person = person_of(request)
    if must_have_factor(person):
        messages.error(
            request, "Your company requires two-step sign-in. Nothing was changed."
        )
        return redirect("own_sign_in")
    try:
        acts.remove_factor(person=person, at=now(), who=person)
    except RefusedError as error:
        messages.error(request, str(error))
        return redirect("own_sign_in")
    update_session_auth_hash(request, User.objects.get(pk=person.pk))
    messages.success(request, "Two-step sign-in is off. Other devices are signed out.")
    return redirect("own_sign_in")


@require_POST
def sign_out_there(request: HttpRequest) -> HttpResponse:
    """End one other session of one's own, or all others."""
    person = person_of(request)
    count = sessions.end_there(request, person, request.POST.get("name", ""))
    told("sign out there", who=person.username, outcome="done", sessions=count)
    if count:
        messages.success(request, "Signed out there.")
    else:
        messages.info(request, "That sign-in had ended already.")
    return redirect("own_sign_in")


def _show_codes(request: HttpRequest, codes: list[str]) -> HttpResponse:
    return render(request, "registration/recovery_codes.html", {"codes": codes})
