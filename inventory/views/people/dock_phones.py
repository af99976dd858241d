"""The shared phones of the docks: the administrator's pages."""

from typing import Any

from django.conf import settings
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import person_of, require_administrator
from inventory.actions.core.once import Answer
from inventory.actions.people.dock_phones import add_phone, end_phone
from inventory.forms.people.dock_phones import DockPhoneForm, EndDockPhoneForm
from inventory.models import DockPhone
from inventory.queries.people.people import dock_phones as rows
from inventory.queries.people.people import one_dock_phone, place_rows
from inventory.views.core.clock import now
from inventory.views.core.row_view import Row
from inventory.views.people.listed_act import Form, ListedAct

COOKIE_LASTS = 400 * 24 * 60 * 60
"""Seconds; browsers keep none longer (RFC 6265bis, 5.5)."""


@require_safe
def dock_phones(request: HttpRequest) -> HttpResponse:
    """List the shared phones."""
    require_administrator(person_of(request))
    return render(request, "inventory/people/dock_phones.html", {"phones": rows()})


class _PhoneAct(ListedAct[Row, Form]):
    """What the pages of shared phones have in common."""

    above = ("Shared phones", "dock_phones")

    def check(self) -> None:
        require_administrator(self.person)


class AddDockPhone(_PhoneAct[None, DockPhoneForm]):
    """Make the phone in the hand a shared one; it is signed out and asks for PINs."""

    form_class = DockPhoneForm
    title = "Make this a shared phone"
    lead = (
        "Do this on the phone itself. You are signed out here, and the phone asks for a "
        "name and a PIN from then on. By PIN people only record at the dock."
    )

    def find_row(self) -> None:
        return None

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"places": place_rows()}

    def act(self, form: DockPhoneForm) -> Answer:
        phone, self.secret = add_phone(
            person=self.person, at=now(), **form.cleaned_data
        )
        return self.done("", row=phone)

    def answer(self, answer: Answer) -> HttpResponse:
        """Sign out, and give the phone its secret."""
        del answer
        logout(self.request)
        response = redirect(reverse("pin_sign_in"))
        response.set_cookie(
            settings.DOCK_COOKIE_NAME,
            self.secret,
            max_age=COOKIE_LASTS,
            secure=settings.SESSION_COOKIE_SECURE,
            httponly=True,
            samesite="Lax",
        )
        return response


class EndDockPhone(_PhoneAct[DockPhone, EndDockPhoneForm]):
    """Let nobody sign in by PIN there any longer."""

    form_class = EndDockPhoneForm
    title = "End a shared phone"
    lead = "Whoever is signed in there by PIN is signed out, and no PIN opens it again."

    def find_row(self) -> DockPhone:
        return one_dock_phone(self.kwargs["pk"])

    def get_kicker(self) -> str:
        return str(self.row)

    def get_refusal(self) -> str:
        return "This phone was ended already." if self.row.ended_at else ""

    def act(self, form: EndDockPhoneForm) -> Answer:
        end_phone(person=self.person, at=now(), phone=self.row)
        return self.done(f"{self.row} is no longer a shared phone.")
