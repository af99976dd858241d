"""A confirmed statement, kept as a document of the freight bill: an exhibit of the claim."""

from datetime import datetime
from uuid import UUID, uuid5

from django.core.files.uploadedfile import SimpleUploadedFile

from claims.models import ClaimLetter
from claims.rules.letters.claim_letter_kinds import KINDS
from inventory.actions.core.versions import RefusedError
from inventory.actions.evidence.keeping import BadUploadError, keep_evidence
from inventory.evidence.seal.sent_documents import LostDocumentError, last_sent_bytes
from inventory.models import Evidence, User
from inventory.rules.core.sent_documents import CLAIM_LETTER

_STATEMENTS = UUID("6f0c1c0e-3a55-4b0b-9d5c-0f6a2a1f7e11")
"""The space of the ids under which statements are kept, each of them once."""


def keep_as_exhibit(
    *, letter: ClaimLetter, person: User, at: datetime
) -> Evidence | None:
    """Keep the bytes of a confirmed letter as a document, where its kind is an exhibit.

    Repeatable. ``letter`` comes with its claim's freight bill. Call it outside any
    transaction. Raise RefusedError where the bytes cannot be kept.
    """
    kind = KINDS[letter.kind]
    if not kind.kept_as:
        return None
    try:
        data = last_sent_bytes(letter, CLAIM_LETTER) or b""
        kept = keep_evidence(
            person=person,
            at=at,
            upload=SimpleUploadedFile(f"{letter.kind}.pdf", data, "application/pdf"),
            client_id=uuid5(_STATEMENTS, f"{letter.pk} {letter.digest}"),
            kind=kind.kept_as,
            shipment=letter.claim.shipment,
            caption=f"{kind.name} of {letter.confirmed_by}",
        )
    except (BadUploadError, LostDocumentError) as error:
        raise RefusedError(
            f"{kind.name} is confirmed, and not an exhibit yet: {error} Download its "
            "PDF and add it to the freight bill."
        ) from error
    return kept.evidence
