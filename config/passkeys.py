"""Passkeys: one's own ones, and signing in with one.

A key must ask its owner for finger, face or PIN, so it stands for the password and the
second step. Two-step sign-in by an app stays the complete way without JavaScript.
"""

import json
import time
from ipaddress import ip_address
from typing import Any
from urllib.parse import urlsplit

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST
from django.views.generic import FormView

from config.shown_again import ShownAgain
from config.sign_in import sign_in
from inventory.access import person_of
from inventory.actions.core.versions import RefusedError
from inventory.actions.people import passkeys as acts
from inventory.models import Passkey, User
from inventory.security_log import told
from inventory.views.core.clock import now

ASKED = "passkey_asked"
LASTS = 300  # seconds that a question may wait for its answer

_BROKEN = (ValueError, KeyError, TypeError, AttributeError, AssertionError)
"""What the library raises for an answer that is wrong or none."""

_NONE_CAME = "No passkey came from your device. Nothing was changed. Try again."


def host_of(request: HttpRequest) -> str:
    """Return the name that keys of this house belong to; nothing for a mere number."""
    host = urlsplit(f"//{request.get_host()}").hostname or ""
    try:
        ip_address(host)
    except ValueError:
        return host
    return ""


@require_POST
@never_cache
@login_not_required
def passkey_options(request: HttpRequest) -> HttpResponse:
    """Ask a device: to make a key for who is signed in, or to sign somebody in."""
    from config import webauthn  # noqa: PLC0415 - loads libraries

    if not host_of(request):
        return JsonResponse({"error": "Open this page by its name."}, status=409)
    person, wants = request.user, request.POST.get("wants")
    if wants == "add" and isinstance(person, User):
        asked, state = webauthn.ask_for_new(host_of(request), person)
    else:
        wants = "in"
        asked, state = webauthn.ask_for_one(host_of(request))
    request.session[ASKED] = {"state": state, "at": time.time(), "wants": wants}
    return JsonResponse(asked)


def _state(request: HttpRequest, wants: str) -> Any:  # noqa: ANN401 - the library's own
    """Return what was asked, once. Raise ValueError where nothing was, or long ago."""
    asked = request.session.pop(ASKED, None) or {}
    if asked.get("wants") != wants or not 0 <= time.time() - asked["at"] <= LASTS:
        raise ValueError("Nothing was asked of a device.")
    return asked["state"]


class PasskeyForm(forms.Form):
    """Asks what to call the key; the page's script adds what the device answers."""

    name = forms.CharField(
        label="Name of this passkey",
        max_length=40,
        help_text="Such as My phone, or Blue stick.",
        error_messages={"required": "Enter a name, such as My phone."},
    )
    answer = forms.CharField(
        widget=forms.HiddenInput, required=False, max_length=20_000
    )


class AddPasskey(ShownAgain, FormView):  # type: ignore[type-arg]
    """Adds a passkey of one's own."""

    template_name = "registration/add_passkey.html"
    form_class = PasskeyForm

    def get_context_data(self, **more: Any) -> dict[str, Any]:  # noqa: ANN401
        """Say whether this address has a name."""
        return super().get_context_data(host=host_of(self.request), **more)

    def form_valid(self, form: PasskeyForm) -> HttpResponse:
        """Check what the device made, and keep its public half."""
        from config import webauthn  # noqa: PLC0415 - loads libraries

        try:
            made = webauthn.made_key(
                host_of(self.request),
                _state(self.request, "add"),
                json.loads(form.cleaned_data["answer"]),
            )
            acts.add_passkey(
                person=person_of(self.request),
                at=now(),
                name=form.cleaned_data["name"],
                **made,
            )
        except RefusedError as error:
            form.add_error(None, str(error))
            return self.form_invalid(form)
        except _BROKEN:
            form.add_error(None, _NONE_CAME)
            return self.form_invalid(form)
        messages.success(
            self.request, "Your passkey is added. You can sign in with it."
        )
        return redirect("own_sign_in")

    def form_invalid(self, form: PasskeyForm) -> HttpResponse:
        """Show the form again; the device must be asked anew."""
        typed: Any = form.data.copy()  # type: ignore[attr-defined]
        typed["answer"] = ""
        form.data = typed
        return super().form_invalid(form)


@require_POST
def remove_passkey(request: HttpRequest) -> HttpResponse:
    """Remove one of one's own."""
    key = request.POST.get("key", "")
    try:
        number = int(key) if key.isascii() and key.isdigit() and len(key) < 19 else 0
        acts.remove_passkey(person=person_of(request), at=now(), key=number)
        messages.success(request, "The passkey is removed.")
    except RefusedError as error:
        messages.error(request, str(error))
    return redirect("own_sign_in")


@require_POST
@never_cache
@login_not_required
def passkey_sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in whoever's key signed what was asked."""
    person = _person_by_key(request)
    if person is None:
        told("sign in by passkey", outcome="refused")
        messages.error(
            request,
            "That passkey opens nothing here. Sign in with your name and password.",
        )
        return redirect("login")
    page = request.POST.get("next", "")
    secure = request.is_secure()
    if not url_has_allowed_host_and_scheme(page, {request.get_host()}, secure):
        page = "/"
    return sign_in(request, person, page)


def _person_by_key(request: HttpRequest) -> User | None:
    from config import webauthn  # noqa: PLC0415 - loads libraries

    try:
        state = _state(request, "in")
        answer = json.loads(request.POST.get("answer", "")[:20_000])
        row, count = webauthn.signed_by(host_of(request), state, answer)
    except (*_BROKEN, Passkey.DoesNotExist):
        return None
    person: User = row.person
    if not person.is_active or person.withdrawn_at:
        return None
    return person if acts.note_use(passkey=row, at=now(), count=count) else None
