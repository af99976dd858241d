"""A mail as its own bytes (RFC 5322): what a mail program opens, or a server is given."""

from collections.abc import Sequence
from dataclasses import dataclass
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP

from inventory.rules.mail.texts import MailText

EML = "message/rfc822"
_BOUNDARY = "tarefold-part-of-this-mail-0001"


@dataclass(frozen=True)
class Attached:
    """One file of the mail."""

    name: str
    media_type: str
    data: bytes


@dataclass(frozen=True)
class Envelope:
    """Who sends it, where answers go, and the ID that stays the same on every try."""

    sender: str
    reply_to: str
    message_id: str


def mail_file(
    mail: MailText,
    files: Sequence[Attached] = (),
    *,
    date: str,
    envelope: Envelope | None = None,
) -> bytes:
    """Return the mail's bytes; the same mail and files give the same bytes.

    ``date`` is the moment as mail writes it. Without an envelope the file says of
    itself that it was not sent yet, so that a mail program offers to send it.
    """
    message = EmailMessage(policy=SMTP)
    message["To"] = mail.to
    message["Subject"] = mail.subject
    message["Date"] = date
    if envelope is None:
        message["X-Unsent"] = "1"
    else:
        message["From"] = envelope.sender
        message["Reply-To"] = envelope.reply_to
        message["Message-ID"] = envelope.message_id
    message.set_content(mail.body)
    for one in files:
        kind, _, sub = one.media_type.partition("/")
        message.add_attachment(one.data, maintype=kind, subtype=sub, filename=one.name)
    if files:
        message.set_boundary(_BOUNDARY)
    return message.as_bytes()


@dataclass(frozen=True)
class MailRead:
    """A mail of ours, read back for its page. ``files`` are the names of its files."""

    sender: str
    reply_to: str
    body: str
    files: tuple[str, ...]


def read_mail(data: bytes) -> MailRead:
    """Read a mail that ``mail_file`` made."""
    message = message_from_bytes(data, policy=SMTP)
    body = message.get_body(("plain",))
    return MailRead(
        sender=str(message["From"]),
        reply_to=str(message["Reply-To"]),
        body=body.get_content().replace("\r\n", "\n").strip() if body else "",
        files=tuple(str(one.get_filename()) for one in message.iter_attachments()),
    )
