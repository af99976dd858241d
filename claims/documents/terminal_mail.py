"""A mail as a file that a mail program opens as a draft, its photos attached."""

from collections.abc import Sequence
from dataclasses import dataclass
from email.message import EmailMessage
from email.policy import SMTP

from claims.rules.letters.terminal_mail import Mail

EML = "message/rfc822"
_BOUNDARY = "tarefold-delivery-exceptions-0001"


@dataclass(frozen=True)
class Attached:
    """One file of the mail."""

    name: str
    media_type: str
    data: bytes


def mail_file(mail: Mail, files: Sequence[Attached], *, date: str) -> bytes:
    """Return the mail's bytes; the same mail and files give the same bytes.

    ``date`` is the moment as mail writes it. The file says of itself that it was not
    sent yet, so that a mail program offers to send it.
    """
    message = EmailMessage(policy=SMTP)
    message["To"] = mail.to
    message["Subject"] = mail.subject
    message["Date"] = date
    message["X-Unsent"] = "1"
    message.set_content(mail.body)
    for one in files:
        kind, _, sub = one.media_type.partition("/")
        message.add_attachment(one.data, maintype=kind, subtype=sub, filename=one.name)
    if files:
        message.set_boundary(_BOUNDARY)
    return message.as_bytes()
