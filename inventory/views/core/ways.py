"""Where a person is sent after an act, and a phone's script that is answered instead."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse


def go_to(address: str) -> HttpResponse:
    """Redirect to this address; to the list of trucks where there is none.

    Use it with ``address_of`` and ``address_at``, which return "" for a page that
    no floor serves.
    """
    return redirect(address or reverse("deliveries"))


def is_phone(request: HttpRequest) -> bool:
    """Return whether a phone's script asks: it is answered in JSON."""
    return request.headers.get("Dock-Phone") == "1"


BY_PIN = "by_pin"
"""Where a session names the shared phone that it was opened on by PIN."""


def is_by_pin(request: HttpRequest) -> bool:
    """Return whether this person signed in by PIN, to record at the dock alone."""
    return BY_PIN in request.session
