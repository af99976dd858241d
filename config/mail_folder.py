"""Where mail lands when no mail server is set: one file a mail, sent to nobody."""

import hashlib
from collections.abc import Sequence
from pathlib import Path

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


class MailFolder(BaseEmailBackend):
    """Writes each mail as an ``.eml`` file that a mail program opens.

    A file is named for its Message-ID, so that a second try is the same file.
    """

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        """Write the mails; return how many there were."""
        folder = Path(settings.MAIL_FOLDER)
        folder.mkdir(parents=True, exist_ok=True)
        for one in email_messages:
            message = one.message()
            told = str(message["Message-ID"]).encode()
            name = f"{hashlib.sha256(told).hexdigest()[:16]}.eml"
            whole = folder / f"{name}.part"
            whole.write_bytes(message.as_bytes())
            whole.replace(folder / name)
        return len(email_messages)
