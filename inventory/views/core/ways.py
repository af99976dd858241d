"""Where a person is sent after an act."""

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse


def go_to(address: str) -> HttpResponse:
    """Redirect to this address; to the list of trucks where there is none.

    Use it with ``address_of`` and ``address_at``, which return "" for a page that
    no floor serves.
    """
    return redirect(address or reverse("deliveries"))
