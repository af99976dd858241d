"""Asking again who it is, before an act that would hurt most from an open phone.

The answer counts for ``PROOF_MINUTES``. What was typed comes with the question and goes
on with the answer; a password of somebody else alone must be typed again.
"""

import time
from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render

from config.pages import is_secret, kept_fields
from config.passwords import check_length
from config.sessions import PROVED, is_away, note_seen
from config.step_form import CodeForm
from config.tries import Tries
from inventory.models import User
from inventory.security_log import told
from inventory.views.core.ways import is_phone

ACTS = frozenset(
    (
        *("lock_period", "lock_month"),
        *("approve_write_off", "take_suspense_by_reason"),
        *("add_person", "edit_person", "start_person", "welcome_people"),
        *("import_people", "make_password_link", "remove_second_step"),
        *("send_claim", "refile_claim", "mail_claim_letter"),
        *("add_second_step", "renew_codes", "remove_own_second_step"),
        *("add_passkey", "remove_passkey"),
        *("set_pin", "remove_pin", "add_dock_phone", "end_dock_phone"),
        *("place_legal_hold", "lift_legal_hold"),
        "sign_out_there",
    )
)
"""Addresses whose sending asks: periods, write-offs, people and roles, claims."""

PAGES = frozenset(("add_second_step", "import_people", "set_pin", "add_passkey"))
"""Those that ask before they are shown: they show a secret, or take a file."""

EXPORTS = frozenset(
    ("journal", "claim_entries", "claims", "deposits", "crates", "deliveries")
)
"""Lists that hold everything of their kind, asked for as a file."""

_OWN = "proof-"
"""How the fields of the question begin."""


class ProofForm(CodeForm):
    """Asks for the password, and for a code of whoever has two-step sign-in."""

    password = forms.CharField(
        label="Your password",
        strip=False,
        validators=[check_length],
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "Enter your password."},
    )
    field_order = ("password", "code")

    def clean(self) -> dict[str, Any]:
        """Look at both, unless too many were wrong."""
        password = self.cleaned_data.get("password")
        if not password or self.errors:
            return self.cleaned_data
        tries = Tries(self.request, self.person.username)
        tries.begin()
        if not self.person.check_password(password):
            raise ValidationError("That is not your password. Nothing was saved.")
        tries.were_right()
        if self.has_factor:
            self.check_code()
        return self.cleaned_data


def mark_proved(request: HttpRequest) -> None:
    """Note that whoever sends this request just showed who they are."""
    request.session[PROVED] = time.time()


def is_proved(request: HttpRequest) -> bool:
    """Return whether that is so recently enough."""
    since = time.time() - request.session.get(PROVED, 0)
    return not settings.PROOF_MINUTES or 0 <= since <= settings.PROOF_MINUTES * 60


def ask_for_proof(request: HttpRequest) -> HttpResponse | None:
    """Return the question where it must be asked; take the answer where it comes.

    Who was away too long is asked before any page.
    """
    person = request.user
    if not isinstance(person, User) or _name_of(request) == "logout":
        return None
    away, answers = is_away(request), f"{_OWN}password" in request.POST
    if not away:
        note_seen(request)
    if not (answers or away or (_is_asked(request) and not is_proved(request))):
        return None
    if away and not _is_page(request):
        return redirect_to_login(request.get_full_path())
    if is_phone(request):
        words = "Open this on the page and confirm that it is you. Nothing was saved."
        return JsonResponse({"error": words}, status=403)
    form = _form(request, person, bound=answers)
    if not answers or not form.is_valid():
        return _question(request, form, away=away)
    request.session.cycle_key()
    mark_proved(request)
    note_seen(request, surely=True)
    told("confirm it is you", who=person.username, outcome="done")
    typed = request.POST.copy()
    was_shown = bool(typed.get(f"{_OWN}shown"))
    for name in [name for name in typed if name.startswith(_OWN)]:
        del typed[name]
    request.POST = typed  # type: ignore[assignment]
    return redirect(request.get_full_path()) if was_shown else None


def _is_page(request: HttpRequest) -> bool:
    """Return whether a person opens a page; a script is signed out instead."""
    mode = request.headers.get("Sec-Fetch-Mode", "navigate")
    return mode == "navigate" and not is_phone(request)


def _name_of(request: HttpRequest) -> str:
    return request.resolver_match.view_name if request.resolver_match else ""


def _is_asked(request: HttpRequest) -> bool:
    name = _name_of(request)
    if request.method == "POST":
        return name in ACTS or name in EXPORTS
    return name in PAGES or (name in EXPORTS and "as" in request.GET)


def _form(request: HttpRequest, person: User, *, bound: bool) -> ProofForm:
    data, prefix = request.POST if bound else None, _OWN.rstrip("-")
    return ProofForm(data, request=request, person=person, prefix=prefix)


def _question(request: HttpRequest, form: ProofForm, *, away: bool) -> HttpResponse:
    typed = request.POST
    was_shown = request.method != "POST" or bool(typed.get(f"{_OWN}shown"))
    fields, lost = kept_fields(typed, without=_OWN), bool(request.FILES)
    secret = any(is_secret(one) and not one.startswith(_OWN) for one in typed)
    context = {
        "proof": form,
        "form": form,
        "kept": fields,
        "was_shown": was_shown,
        "is_away": away,
        "has_lost": lost,
        "has_secret": secret,
        "address": request.get_full_path(),
    }
    told("confirm it is you", who=form.person.username, outcome="asked")
    status = 422 if request.method == "POST" else 200
    return render(request, "registration/proof.html", context, status=status)
