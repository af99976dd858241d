"""Signing in by PIN on a shared phone of a dock, and what may be done so."""

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, logout
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST
from django.views.generic import FormView

from config import sessions
from config.attempts import ONE_PLACE, Bound
from config.shown_again import ShownAgain
from config.tries import begin_tries, tries_were_right
from inventory.access import person_of
from inventory.actions.core.versions import RefusedError
from inventory.actions.people import dock_phones as acts
from inventory.models import DockPhone
from inventory.security_log import told
from inventory.views.core.clock import now
from inventory.views.core.ways import BY_PIN, is_by_pin

RECORDING = frozenset(
    (
        *("home", "dock", "deliveries", "delivery", "shipment", "crate", "unit"),
        *("log_delivery", "edit_delivery", "add_bill", "edit_handover", "tailgate"),
        *("record_fact", "start_test", "end_test", "close_empties_truck"),
        *("look", "clear_rest", "say_unseen", "undo", "add_crates", "edit_crate"),
        *("add_unit", "edit_unit", "edit_shipment", "answer_over"),
        *("sign_receipt", "receipt_words", "note_receipt", "record_disposition"),
        *("add_evidence", "capture", "phone_key", "phone_me", "read_codes"),
        *("evidence", "photo", "photo_reading", "mark_photo"),
        *("truck_on_phone", "machine_on_phone", "expected", "expected_delivery"),
        *("find_crate", "search", "cautions", "logout"),
    )
)
"""Every address that a PIN opens; all others are closed, and every list as a file."""

ONE_PHONE = Bound(20)
"""All names together on one shared phone."""

_DOCK_ONLY = (
    "You signed in by PIN: here you record at the dock. Nothing was changed. Sign out and "
    "sign in with your password for everything else."
)


class PinForm(forms.Form):
    """Asks who it is, and for the PIN."""

    person = forms.ChoiceField(
        label="Who are you?",
        widget=forms.RadioSelect,
        error_messages={
            "required": "Choose your name.",
            "invalid_choice": "Choose your name from the list.",
        },
    )
    pin = forms.CharField(
        label="PIN",
        max_length=20,
        widget=forms.PasswordInput(
            attrs={"inputmode": "numeric", "autocomplete": "off"}
        ),
        error_messages={"required": "Enter your PIN."},
    )

    def __init__(self, *args: Any, phone: DockPhone, **kwargs: Any) -> None:  # noqa: ANN401
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.use_required_attribute = False
        self.phone = phone
        self.people = {str(one.pk): one for one in acts.people_of(phone)}
        field: Any = self.fields["person"]
        field.choices = [(key, str(one)) for key, one in self.people.items()]

    def clean(self) -> dict[str, Any]:
        """Look at the PIN, unless too many were wrong on this phone."""
        person = self.people.get(self.cleaned_data.get("person", ""))
        pin = self.cleaned_data.get("pin")
        if person is None or not pin:
            return self.cleaned_data
        here = f"phone {self.phone.pk}"
        keys = {here: ONE_PHONE, f"pin {person.pk} on {here}": ONE_PLACE}
        begin_tries(keys, who=person.username)
        if not acts.is_right_pin(person, pin):
            told("sign in by PIN", who=person.username, outcome="refused")
            raise ValidationError("That is not the PIN. Try again.")
        tries_were_right(keys)
        self.cleaned_data["found"] = person
        return self.cleaned_data


@method_decorator(
    [login_not_required, never_cache, sensitive_post_parameters()], name="dispatch"
)
class PinView(ShownAgain, FormView):  # type: ignore[type-arg]
    """Signs in by PIN; only a phone that was made a shared one shows it."""

    template_name = "registration/pin_sign_in.html"
    form_class = PinForm

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Any:  # noqa: ANN401
        """Send any other device to the password."""
        phone = shared_phone(request)
        if phone is None:
            return redirect("login")
        self.phone = phone
        return super().dispatch(request, *args, **kwargs)

    def get_form_kwargs(self) -> dict[str, Any]:
        """Give the form its phone."""
        return super().get_form_kwargs() | {"phone": self.phone}

    def get_context_data(self, **more: Any) -> dict[str, Any]:  # noqa: ANN401
        """Name the phone."""
        return super().get_context_data(phone=self.phone, **more)

    def form_valid(self, form: PinForm) -> HttpResponse:
        """Sign in, for the dock alone."""
        login(self.request, form.cleaned_data["found"])
        sessions.begin(self.request, form.cleaned_data["found"])
        self.request.session[BY_PIN] = self.phone.pk
        return redirect("dock")


def shared_phone(request: HttpRequest) -> DockPhone | None:
    """Return the shared phone that this request comes from."""
    secret = request.COOKIES.get(settings.DOCK_COOKIE_NAME, "")
    return acts.phone_of(secret) if secret else None


def keeps_to_dock(request: HttpRequest) -> HttpResponse | None:
    """Let whoever signed in by PIN record at the dock, on that phone, and no more.

    Raise PermissionDenied for anything else.
    """
    if not is_by_pin(request):
        return None
    phone = shared_phone(request)
    person: Any = request.user
    gone = phone is None or phone.pk != request.session[BY_PIN]
    if gone or sessions.is_away(request) or not acts.may_have_pin(person):
        logout(request)
        return redirect("pin_sign_in")
    name = request.resolver_match.view_name if request.resolver_match else ""
    if name not in RECORDING or "as" in request.GET:
        raise PermissionDenied(_DOCK_ONLY)
    return None


class OwnPinForm(forms.Form):
    """Asks for a new PIN, twice."""

    pin = forms.CharField(
        label="New PIN",
        max_length=20,
        widget=forms.PasswordInput(
            attrs={"inputmode": "numeric", "autocomplete": "off"}
        ),
        help_text="Six digits without a pattern.",
        error_messages={"required": "Enter six digits."},
    )
    pin_again = forms.CharField(
        label="New PIN again",
        max_length=20,
        widget=forms.PasswordInput(
            attrs={"inputmode": "numeric", "autocomplete": "off"}
        ),
        error_messages={"required": "Enter the same six digits again."},
    )

    def clean(self) -> dict[str, Any]:
        """Refuse two that differ."""
        typed = self.cleaned_data
        if typed.get("pin") and typed.get("pin_again") not in (None, typed["pin"]):
            self.add_error("pin_again", "The two PINs differ. Enter the same twice.")
        return typed


class SetPin(ShownAgain, FormView):  # type: ignore[type-arg]
    """Sets one's own PIN for shared phones."""

    template_name = "registration/set_pin.html"
    form_class = OwnPinForm

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Any:  # noqa: ANN401
        """Refuse whoever holds a role that no PIN may open."""
        if not acts.may_have_pin(person_of(request)):
            raise PermissionDenied(f"{acts.NO_PIN} Nothing was changed.")
        return super().dispatch(request, *args, **kwargs)

    def form_valid(self, form: OwnPinForm) -> HttpResponse:
        """Set it."""
        person, pin = person_of(self.request), form.cleaned_data["pin"]
        try:
            acts.set_pin(person=person, at=now(), pin=pin)
        except RefusedError as error:
            form.add_error("pin", str(error))
            return self.form_invalid(form)
        messages.success(self.request, "Your PIN is set. It works on shared phones.")
        return redirect("own_sign_in")


@require_POST
def remove_pin(request: HttpRequest) -> HttpResponse:
    """Take one's own PIN away."""
    try:
        acts.remove_pin(person=person_of(request), at=now())
        messages.success(request, "Your PIN is gone.")
    except RefusedError as error:
        messages.error(request, str(error))
    return redirect("own_sign_in")
