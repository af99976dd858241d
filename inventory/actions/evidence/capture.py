"""Keeping one photo the moment it arrives, under the name of whoever took it."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile

from inventory.actions.evidence.keeping import BadUploadError, Kept, keep_file
from inventory.actions.evidence.page_tokens import ANY_KIND, PageToken
from inventory.actions.evidence.photo_facts import About
from inventory.models import User


@dataclass(frozen=True)
class Captured:
    """One photo from a phone, with the ids and words that came with it.

    ``token`` is None where the page's word is missing or forged; ``claimed`` is the
    name that the phone gives for its author.
    """

    upload: "UploadedFile[bytes]"
    client_id: UUID
    kind: str
    caption: str = ""
    sha256: str = ""
    claimed: str = ""
    token: PageToken | None = None


def check_token(
    token: PageToken | None, *, subject: dict[str, str], kind: str
) -> PageToken | None:
    """Return the word; raise BadUploadError where it is about something else."""
    if token and (token.subject != subject or token.kind not in {ANY_KIND, kind}):
        raise BadUploadError(
            "This photo was taken on the page of another truck or crate. It was not "
            "saved here. Open the page it was taken on and send it from there.",
            422,
        )
    return token


def keep_captured(*, sender: User, at: datetime, photo: Captured, about: About) -> Kept:
    """Keep a photo as its author's: proven by the page's word, else the sender's.

    Its event says who sent it for the author, or whose name the phone gave. Raise
    BadUploadError as ``keep_file`` does.
    """
    author = _author(sender, photo.token)
    passed_on = {}
    if author != sender:
        passed_on["sent_by"] = sender.full_name
    elif photo.token is None and photo.claimed not in {"", sender.full_name}:
        passed_on["claimed_by"] = photo.claimed
    return keep_file(
        person=author,
        at=at,
        upload=photo.upload,
        client_id=photo.client_id,
        kind=photo.kind,
        about=about,
        caption=photo.caption,
        sha256=photo.sha256,
        passed_on=passed_on,
    )


def _author(sender: User, token: PageToken | None) -> User:
    if token is None or token.person == sender.pk:
        return sender
    return User.objects.filter(pk=token.person).first() or sender
