"""The signed word that a page gives its photos: who had it open, about what, when.

A photo that waits on a phone without signal is sent later, perhaps by a colleague. The
word goes with it and proves whose photo it is. What it does not cover it does not prove.
"""

import hashlib
import hmac
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime

from django.core import signing
from django.utils.crypto import salted_hmac

from inventory.actions.evidence.photo_facts import About
from inventory.models import Location, User

_SALT = "page of photos"

ANY_KIND = ""
"""The kind of a page on which a person chooses the kind of each photo."""


@dataclass(frozen=True)
class PageToken:
    """What a page was given: its person, phone, subject, kind of photo and hour.

    A word for ``ANY_KIND`` proves all but the kind.

    ``subject`` names the rows as an address does; ``place`` is the location's name, as
    the person saw it.
    """

    person: int
    device: str
    kind: str
    hour: str
    place: str = ""
    subject: dict[str, str] = field(default_factory=dict)


def subject_of(about: About | Location) -> dict[str, str]:
    """Return the rows of a subject by noun; of a truck not logged yet, its location."""
    if isinstance(about, Location):
        return {"location": str(about.pk)}
    rows = about.as_fields()
    rows.pop("location")
    return {noun: str(row.pk) for noun, row in rows.items() if row is not None}


def give_token(
    *, person: User, device: str, about: About | Location, kind: str, at: datetime
) -> str:
    """Return the signed word for one page that takes photos."""
    location = about if isinstance(about, Location) else about.location
    token = PageToken(
        person=person.pk,
        device=device,
        kind=kind,
        hour=at.astimezone(UTC).replace(minute=0, second=0, microsecond=0).isoformat(),
        place=location.name if location else "",
        subject=subject_of(about),
    )
    return signing.dumps(asdict(token), salt=_SALT)


def read_token(text: str) -> PageToken | None:
    """Return what a word says; None for a missing or a forged one."""
    try:
        return PageToken(**signing.loads(text, salt=_SALT))
    except (signing.BadSignature, TypeError):
        return None


def phone_secret(person_id: int) -> bytes:
    """Return what this person's phone locks its queue with; a page never shows it."""
    return salted_hmac("phone queue", str(person_id), algorithm="sha256").digest()


def key_of(text: str, token: PageToken) -> str:
    """Return the key, in hex, of the photos that wait under this word."""
    return hmac.new(
        phone_secret(token.person), text.encode(), hashlib.sha256
    ).hexdigest()
