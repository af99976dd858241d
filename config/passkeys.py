"""Passkeys: one's own ones, and signing in with one.

python-fido2 checks what a key signed (WebAuthn 2): it is kept by a maker of keys and
needs only ``cryptography``, which is here anyway. A key must ask its owner for finger,
face or PIN, so it stands for the password and the second step. Two-step sign-in by an
app stays the complete way without JavaScript.
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
from django.utils.crypto import salted_hmac
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST
from django.views.generic import FormView
from fido2.server import Fido2Server
from fido2.utils import websafe_encode
from fido2.webauthn import (
    AttestedCredentialData,
    AuthenticationResponse,
    PublicKeyCredentialRpEntity,
    PublicKeyCredentialUserEntity,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from config.sign_in import sign_in
from inventory.access import person_of
from inventory.actions.core.versions import RefusedError
from inventory.actions.people import passkeys as acts
from inventory.models import Passkey, User
from inventory.security_log import told
from inventory.views.core.clock import now

HOUSE = "Tarefold"
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


def _server(request: HttpRequest) -> Fido2Server:
    return Fido2Server(PublicKeyCredentialRpEntity(name=HOUSE, id=host_of(request)))


@require_POST
@never_cache
@login_not_required
def passkey_options(request: HttpRequest) -> HttpResponse:
    """Ask a device: to make a key for who is signed in, or to sign somebody in."""
    if not host_of(request):
        return JsonResponse({"error": "Open this page by its name."}, status=409)
    person, wants = request.user, request.POST.get("wants")
    if wants == "add" and isinstance(person, User):
        options, state = _server(request).register_begin(
            _user_of(person),
            [_key_of(row) for row in Passkey.objects.filter(person=person)],
            resident_key_requirement=ResidentKeyRequirement.REQUIRED,
            user_verification=UserVerificationRequirement.REQUIRED,
        )
        asked: Any = dict(options)
    else:
        wants = "in"
        question, state = _server(request).authenticate_begin(
            user_verification=UserVerificationRequirement.REQUIRED
        )
        asked = dict(question)
    request.session[ASKED] = {"state": state, "at": time.time(), "wants": wants}
    return JsonResponse(asked)


def _user_of(person: User) -> PublicKeyCredentialUserEntity:
    handle = salted_hmac("config.passkeys", str(person.pk), algorithm="sha256")
    return PublicKeyCredentialUserEntity(
        id=handle.digest(), name=person.username, display_name=str(person)
    )


def _key_of(row: Passkey) -> AttestedCredentialData:
    return AttestedCredentialData(bytes(row.credential))


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


class AddPasskey(FormView):  # type: ignore[type-arg]
    """Adds a passkey of one's own."""

    template_name = "registration/add_passkey.html"
    form_class = PasskeyForm

    def get_context_data(self, **more: Any) -> dict[str, Any]:  # noqa: ANN401
        """Say whether this address has a name."""
        return super().get_context_data(host=host_of(self.request), **more)

    def form_valid(self, form: PasskeyForm) -> HttpResponse:
        """Check what the device made, and keep its public half."""
        try:
            made = _server(self.request).register_complete(
                _state(self.request, "add"), json.loads(form.cleaned_data["answer"])
            )
            credential: Any = made.credential_data
            acts.add_passkey(
                person=person_of(self.request),
                at=now(),
                name=form.cleaned_data["name"],
                key_id=websafe_encode(credential.credential_id),
                credential=bytes(credential),
                count=made.counter,
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
        answer = super().form_invalid(form)
        answer.status_code = 422
        return answer


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
    try:
        state = _state(request, "in")
        answer = json.loads(request.POST.get("answer", "")[:20_000])
        said = AuthenticationResponse.from_dict(answer)
        rows = Passkey.objects.select_related("person")
        row = rows.get(credential_id=websafe_encode(said.raw_id))
        _server(request).authenticate_complete(state, [_key_of(row)], answer)
    except (*_BROKEN, Passkey.DoesNotExist):
        return None
    count = said.response.authenticator_data.counter
    person: User = row.person
    if not person.is_active or person.withdrawn_at:
        return None
    return person if acts.note_use(passkey=row, at=now(), count=count) else None
