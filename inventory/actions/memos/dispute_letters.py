"""The letter about a disputed credit: each one made is kept as it goes out."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.sent_documents import (
    begin_sending,
    keep_sent,
    store_document,
)
from inventory.actions.core.versions import RefusedError
from inventory.actions.deposits.short_rows import subjects_of
from inventory.evidence.seal.sent_documents import last_sent
from inventory.models import SentDocument, ShortCredit, User
from inventory.rules.core.sent_documents import DISPUTE_LETTER
from inventory.rules.memos.short_credits import DISPUTED
from inventory.rules.reckoning.money import format_cents


def keep_dispute_letter(
    *, short: ShortCredit, data: bytes, after: int, person: User, at: datetime
) -> SentDocument:
    """Keep a letter as the one that goes out, once: it follows version ``after``.

    Where that version has a follower already, return the last letter. Raise RefusedError where nothing is in dispute, or the disk refuses.
    """
    document = store_document(data)
    with transaction.atomic():
        begin_sending(document)
        row = (
            ShortCredit.objects.select_for_update(of=("self",))
            .select_related("location", "deposit__crate")
            .get(pk=short.pk)
        )
        if row.state != DISPUTED:
            raise RefusedError(
                "This short-paid credit is not disputed, so no letter goes out about it. "
                "Nothing was saved."
            )
        last = last_sent(row, DISPUTE_LETTER)
        if last and last.document_version > after:
            return last
        sent = keep_sent(
            document,
            about=row,
            kind=DISPUTE_LETTER,
            location=row.location,
            person=person,
            at=at,
        )
        record_event(
            kind="short.letter",
            at=at,
            actor=person,
            location=row.location,
            subjects=subjects_of(row),
            data={
                "amount": format_cents(row.amount_cents, row.currency, code=True),
                "what": str(row.deposit.crate or row.deposit),
                "version": sent.document_version,
                "sha": document.sha256,
            },
        )
        return sent
