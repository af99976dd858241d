"""How long a sign-in lasts, and where a person is signed in.

Each session says of itself when it began, when and from where it was last seen, and how
long it may rest, so no page costs a query more. It is written anew only every so often,
never with each page. Nobody can write a session but this program.
"""

import secrets
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth import HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.base import UpdateError
from django.contrib.sessions.models import Session
from django.db import DatabaseError
from django.http import HttpRequest
from django.utils.crypto import constant_time_compare

from config.addresses import client_address
from inventory.access import roles_of
from inventory.models import User
from inventory.rules.core.roles import ACCOUNTING, ADMINISTRATOR, MANAGER
from inventory.views.core.clock import now
from inventory.views.core.ways import BY_PIN

PROVED = "proved_at"
"""Where a session notes when its person last showed who they are."""

MUST_ADD = "must_add_second_step"
"""Where it notes that they must turn two-step sign-in on before anything else."""

SEEN, IDLE, BEGUN = "seen_at", "idle_seconds", "begun_at"
_NAME, _FROM, _DEVICE = "sign_in", "from", "device"

NOTED = 8
"""So many times in the rest it may take is a session written anew."""

_OFFICE = frozenset((ADMINISTRATOR, MANAGER, ACCOUNTING))

_BROWSERS = ("Edg", "OPR", "SamsungBrowser", "Firefox", "Chrome", "Safari")
_SYSTEMS = ("Android", "iPhone", "iPad", "Windows", "Mac OS", "CrOS", "Linux")
_CALLED = {
    "Edg": "Edge",
    "OPR": "Opera",
    "SamsungBrowser": "Samsung Internet",
    "Mac OS": "Mac",
    "CrOS": "Chromebook",
}


@dataclass(frozen=True)
class SignedIn:
    """One place where a person is signed in; the moments are seconds since 1970."""

    name: str
    device: str
    address: str
    begun_at: float
    seen_at: float
    is_this: bool

    def ago(self, moment: float) -> str:
        """Return how long a moment is past, in words."""
        minutes = max(0, int(time.time() - moment)) // 60
        if minutes < 1:
            return "just now"
        hours, rest = divmod(minutes, 60)
        if not hours:
            return f"{rest} min ago"
        return f"{hours} h {rest} min ago"

    @property
    def begun(self) -> str:
        """When the sign-in was."""
        return self.ago(self.begun_at)

    @property
    def seen(self) -> str:
        """When it was last used, as closely as is noted."""
        return self.ago(self.seen_at)


def begin(request: HttpRequest, person: User) -> None:
    """Note what the session of a sign-in says of itself, and when it ends."""
    is_office = bool(roles_of(person) & _OFFICE)
    idle, hours = settings.SESSION_LIMITS["office" if is_office else "dock"]
    at = time.time()
    for former in (BY_PIN, MUST_ADD, PROVED):
        request.session.pop(former, None)
    request.session.cycle_key()  # Django keeps it where the same person signs in again
    request.session.update(
        {
            _NAME: secrets.token_urlsafe(9),
            _FROM: client_address(request) or "",
            _DEVICE: device_words(request.headers.get("User-Agent", "")),
            BEGUN: at,
            SEEN: at,
            IDLE: idle * 60,
        }
    )
    request.session.set_expiry(now() + timedelta(hours=hours))


def is_away(request: HttpRequest) -> bool:
    """Return whether the person was away for longer than the session may rest."""
    seen: float = request.session.get(SEEN, 0)
    idle: float = request.session.get(IDLE, 0)
    return bool(seen and idle) and time.time() - seen > idle


def note_seen(request: HttpRequest, *, surely: bool = False) -> None:
    """Note that the session is in use, if that was not noted lately."""
    seen: float = request.session.get(SEEN, 0)
    idle: float = request.session.get(IDLE, 0)
    if not seen or not (surely or time.time() - seen > idle / NOTED):
        return
    was_changed = request.session.modified
    request.session[SEEN] = time.time()
    try:
        request.session.save()
    except (DatabaseError, UpdateError):
        # Signed out meanwhile, or a full disk: a page that only reads must not fail.
        request.session[SEEN] = seen
    request.session.modified = was_changed


def where_signed_in(request: HttpRequest, person: User) -> list[SignedIn]:
    """Return where this person is signed in, this place first, then the latest."""
    here = request.session.get(_NAME, "")
    found = [
        SignedIn(
            name=said.get(_NAME, ""),
            device=said.get(_DEVICE) or "Unknown device",
            address=said.get(_FROM, ""),
            begun_at=said.get(BEGUN, 0),
            seen_at=said.get(SEEN, 0),
            is_this=said.get(_NAME, "") == here,
        )
        for _, said in _sessions_of(person)
        if said.get(_NAME)
    ]
    return sorted(found, key=lambda one: (not one.is_this, -one.seen_at))


def end_there(request: HttpRequest, person: User, name: str) -> int:
    """End the session of this name, or all others for no name; return how many."""
    here = request.session.get(_NAME, "")
    keys = [
        session.session_key
        for session, said in _sessions_of(person)
        if said.get(_NAME) != here and name in ("", said.get(_NAME))
    ]
    return Session.objects.filter(session_key__in=keys).delete()[0]


def _sessions_of(person: User) -> Iterator[tuple[Session, dict[str, Any]]]:
    """Yield the sessions that still hold: of some hundred rows, all are read."""
    live = Session.objects.filter(expire_date__gt=now())
    for session in live.iterator():
        said = session.get_decoded()
        is_theirs = said.get(SESSION_KEY) == str(person.pk)
        if is_theirs and constant_time_compare(
            said.get(HASH_SESSION_KEY, ""), person.get_session_auth_hash()
        ):
            yield session, said


def forget_ended(*, at: datetime) -> int:
    """Delete the sessions that ended; return how many."""
    return Session.objects.filter(expire_date__lt=at).delete()[0]


def device_words(agent: str) -> str:
    """Return what a browser says of itself in a few words: "Chrome on Android"."""
    browser = next((one for one in _BROWSERS if f"{one}/" in agent), "")
    system = next((one for one in _SYSTEMS if one in agent), "")
    words = [_CALLED.get(one, one) for one in (browser, system) if one]
    return " on ".join(words)
