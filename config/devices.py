"""The devices that people signed in from: a signed cookie that lasts.

It names the device by random letters and the people by their keys, proves no sign-in,
and spares its people from waiting where strangers guess at their names.
"""

import secrets
from dataclasses import dataclass

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse

from inventory.models import User

LASTS = 180 * 24 * 60 * 60  # seconds after the last sign-in
MOST_PEOPLE = 40
"""A phone of the dock is handed around."""

_SALT = "config.devices"


@dataclass(frozen=True)
class Device:
    """What the cookie says: the device, and who signed in from it, latest last."""

    name: str = ""
    people: tuple[int, ...] = ()

    def name_for(self, person: User | None) -> str:
        """Return its name if this person signed in from it before, else nothing."""
        return self.name if person and person.pk in self.people else ""


def device_of(request: HttpRequest) -> Device:
    """Return the device that the request's cookie names, if the cookie is ours."""
    try:
        said = signing.loads(
            request.COOKIES.get(settings.DEVICE_COOKIE_NAME, ""),
            salt=_SALT,
            max_age=LASTS,
        )
        return Device(str(said["device"]), tuple(int(pk) for pk in said["people"]))
    except (signing.BadSignature, KeyError, TypeError, ValueError):
        return Device()


def remember(request: HttpRequest, response: HttpResponse, person: User) -> None:
    """Let the answer's cookie name this person too."""
    device = device_of(request)
    others = [pk for pk in device.people if pk != person.pk]
    said = {
        "device": device.name or secrets.token_urlsafe(12),
        "people": [*others, person.pk][-MOST_PEOPLE:],
    }
    response.set_cookie(
        settings.DEVICE_COOKIE_NAME,
        signing.dumps(said, salt=_SALT),
        max_age=LASTS,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
