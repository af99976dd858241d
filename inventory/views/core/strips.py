"""What a page tells its strip of photos: where to send each one, and under what word."""

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse
from django.utils.crypto import salted_hmac
from django.utils.http import urlencode

from inventory.access import person_of
from inventory.actions.evidence.page_tokens import give_token, subject_of
from inventory.actions.evidence.photo_facts import About
from inventory.models import Location
from inventory.views.core.clock import now


@dataclass(frozen=True)
class Strip:
    """The address that takes photos of one subject, their kind and the page's word.

    ``waits`` says that the subject is made by the form itself.
    """

    url: str
    kind: str
    token: str
    waits: bool


def strip_for(request: HttpRequest, about: About | Location, kind: str) -> Strip:
    """Return the strip of a page about these rows, or about a truck not logged yet."""
    session = request.session.session_key or ""
    device = salted_hmac("device", session, algorithm="sha256").hexdigest()[:12]
    token = give_token(
        person=person_of(request), device=device, about=about, kind=kind, at=now()
    )
    url = f"{reverse('capture')}?{urlencode(subject_of(about))}"
    return Strip(url=url, kind=kind, token=token, waits=isinstance(about, Location))
