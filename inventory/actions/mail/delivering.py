"""Sending what is in the outbox: at least once, and never two at once.

A try leases the mail's row, sends outside any transaction, and then writes how it
went. A worker that dies between the server's yes and that writing leaves the lease to
run out; the mail then goes a second time under the same Message-ID, by which the
receiver's server can tell that it is the same one (RFC 5322, 3.6.4).
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from email import message_from_bytes
from email.message import EmailMessage as Parsed
from email.policy import SMTP
from smtplib import SMTPRecipientsRefused, SMTPResponseException
from typing import cast

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import Q

from inventory.actions.mail.outbox import tell_of_mail
from inventory.evidence.seal.sent_documents import LostDocumentError, sent_bytes
from inventory.models import OutgoingMail
from inventory.rules.mail.life import REFUSED, TAKEN, WAITING
from inventory.rules.mail.retries import is_final, wait_after

Clock = Callable[[], datetime]

MOST_WORDS = 300


class _StoredMessage(Parsed):
    """A message that goes out with the bytes it was read from, never others."""

    stored = b""

    def as_bytes(self, *_args: object, **_options: object) -> bytes:
        return self.stored


class StoredMail(EmailMessage):
    """A mail whose bytes were made before, for Django's mail backends."""

    def __init__(self, data: bytes, *, to: str) -> None:
        super().__init__(to=[to])
        self._message = cast(
            "_StoredMessage",
            message_from_bytes(data, _class=_StoredMessage, policy=SMTP),
        )
        self._message.stored = data

    def message(self, *_args: object, **_options: object) -> Parsed:
        """Return the stored mail."""
        return self._message


def deliver_next(*, worker: str, clock: Clock) -> bool:
    """Try the mail that is due longest; return whether there was one.

    ``worker`` is a name that no other running worker has. The clock is read before
    and after the try, which may take minutes.
    """
    mail = _lease(worker, clock())
    if mail is None:
        return False
    try:
        StoredMail(sent_bytes(mail.document), to=mail.to).send()
    except LostDocumentError as error:
        _conclude(mail, REFUSED, at=clock(), reason=str(error))
    except Exception as error:  # noqa: BLE001 - one mail must not hold up the others
        _put_off(mail, error, clock())
    else:
        _conclude(mail, TAKEN, at=clock())
    return True


def _lease(worker: str, at: datetime) -> OutgoingMail | None:
    free = Q(leased_until=None) | Q(leased_until__lte=at)
    due = OutgoingMail.objects.filter(free, state=WAITING, next_try_at__lte=at)
    if not due.exists():
        return None
    with transaction.atomic():
        row = (
            due.select_for_update(of=("self",), skip_locked=True)
            .select_related("document", "location")
            .order_by("next_try_at", "pk")
            .first()
        )
        if row is None:
            return None
        row.leased_by, row.tries = worker, row.tries + 1
        row.leased_until = at + timedelta(seconds=settings.MAIL_LEASE_SECONDS)
        _write_try(
            row, leased_by=worker, leased_until=row.leased_until, tries=row.tries
        )
    return row


def _put_off(mail: OutgoingMail, error: Exception, at: datetime) -> None:
    """Try again later, or give up: a 5yz reply, or five days of tries."""
    words = _words_of(error)
    wait = wait_after(mail.tries, at - mail.due_from)
    if is_final(_code_of(error)) or wait is None:
        _conclude(mail, REFUSED, at=at, reason=words)
        return
    with transaction.atomic():
        row = _held(mail)
        if row is not None:
            _write_try(
                row,
                next_try_at=at + wait,
                leased_by="",
                leased_until=None,
                trouble=words,
            )


def _conclude(
    mail: OutgoingMail, state: str, *, at: datetime, reason: str = ""
) -> None:
    """Write how the mail ended, unless somebody else holds it by now."""
    with transaction.atomic():
        row = _held(mail)
        if row is None:
            return
        row.state, row.state_reason, row.state_at = state, reason, at
        row.leased_by, row.leased_until, row.trouble = "", None, ""
        row.save()
        kind = "mail.taken" if state == TAKEN else "mail.refused"
        tell_of_mail(row, kind, at=at, reason=reason)


def _held(mail: OutgoingMail) -> OutgoingMail | None:
    """Return the row, locked, if the worker of this try still has it."""
    return (
        OutgoingMail.objects.select_for_update(of=("self",))
        .select_related("location")
        .filter(pk=mail.pk, leased_by=mail.leased_by, state=WAITING)
        .first()
    )


def _write_try(row: OutgoingMail, **changes: object) -> None:
    """Write columns that no image holds: no event is owed for them."""
    OutgoingMail._base_manager.filter(pk=row.pk).update(**changes)  # noqa: SLF001


def _code_of(error: Exception) -> int | None:
    if isinstance(error, SMTPRecipientsRefused):
        return next((code for code, _ in error.recipients.values()), None)
    return error.smtp_code if isinstance(error, SMTPResponseException) else None


def _words_of(error: Exception) -> str:
    said: list[tuple[int, bytes | str]] = []
    if isinstance(error, SMTPRecipientsRefused):
        said += error.recipients.values()
    elif isinstance(error, SMTPResponseException):
        said += [(error.smtp_code, error.smtp_error)]
    else:
        return f"The mail server did not answer as it should: {error}."[:MOST_WORDS]
    told = "; ".join(f"{code} {_text(words)}" for code, words in said)
    return f"The mail server said: {told}"[:MOST_WORDS]


def _text(words: bytes | str) -> str:
    raw = words.decode(errors="replace") if isinstance(words, bytes) else words
    return " ".join(raw.split())
