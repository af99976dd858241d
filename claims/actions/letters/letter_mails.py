"""A letter about a claim as a mail, with what it encloses."""

from datetime import datetime

from django.db.models import Model

from claims.models import ClaimLetter
from claims.rules.letters.claim_letter_kinds import KINDS
from inventory.actions.core.sent_documents import PDF
from inventory.actions.core.versions import RefusedError
from inventory.actions.mail.outbox import DrawnMail, draw_mail
from inventory.documents.core.mails import Attached
from inventory.evidence.seal.sent_documents import LostDocumentError, last_sent_bytes
from inventory.models import User
from inventory.rules.core.sent_documents import CLAIM_LETTER, PACKET
from inventory.rules.mail.texts import MailText

MOST_MAILED = 15_000_000
"""Bytes of files in one mail; many servers refuse more than 20 MB as encoded."""

NO_CLAIM_FILE = (
    "This letter encloses the claim file, and none is made yet. Nothing was sent. Make "
    "the claim file first."
)
TOO_LARGE = (
    "The letter and the claim file are too large for a mail. Nothing was sent. Use the "
    "carrier's portal or certified mail, and record it as sent."
)


def draw_letter_mail(
    letter: ClaimLetter, to: str, *, person: User, at: datetime
) -> DrawnMail:
    """Store the letter's mail: its words, its PDF, and the claim file if it encloses one.

    Raise RefusedError where it cannot go with its files.
    """
    claim = letter.claim
    files = [Attached(f"{file_stem(letter)}.pdf", PDF, _bytes_of(letter, CLAIM_LETTER))]
    kind = KINDS.get(letter.kind)
    if kind and kind.encloses_claim:
        packet = claim.packets.order_by("-packet_version").first()
        if packet is None:
            raise RefusedError(NO_CLAIM_FILE)
        files.append(
            Attached(f"claim-{claim.number}.pdf", PDF, _bytes_of(packet, PACKET))
        )
    if sum(len(one.data) for one in files) > MOST_MAILED:
        raise RefusedError(TOO_LARGE)
    return draw_mail(
        MailText(to, letter.subject, letter.text),
        files,
        location=claim.location,
        person=person,
        at=at,
    )


def file_stem(letter: ClaimLetter) -> str:
    """Return what the letter's files are called."""
    return f"letter-{letter.claim.number}-{letter.number}"


def _bytes_of(row: Model, kind: str) -> bytes:
    try:
        data = last_sent_bytes(row, kind)
    except LostDocumentError as error:
        raise RefusedError(f"{error} Nothing was sent.") from error
    if data is None:
        raise RefusedError(f"{row} has no kept file. Nothing was sent.")
    return data
