"""Publish the size and root of the event tree outside the site."""

from argparse import ArgumentParser
from pathlib import Path
from smtplib import SMTPException
from typing import Any

from django.conf import settings
from django.core.mail import send_mail
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inventory.evidence.seal.register import hashed_anew
from inventory.evidence.seal.root_book import (
    PublishedRoot,
    book_faults,
    published,
)
from inventory.management.publishing import (
    add_against,
    note_published,
    publish_into,
    roots_in,
)

NOWHERE = (
    "No outside place is set. Nothing was published. Set ROOT_BOOK to a file on "
    "another machine's disk, or ROOT_MAIL_TO and EMAIL_HOST to a mailbox."
)


class Command(BaseCommand):
    """Writes the root into the book and mails it; or checks the tree against a book."""

    help = (
        "Publish size and root of the event tree to ROOT_BOOK and ROOT_MAIL_TO. "
        "With --against FILE, only check that the tree begins with every root of "
        "that file."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a book to check against instead of publishing."""
        add_against(parser)

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Check, or check and publish. Exit code 1 where a root no longer matches."""
        if options["against"]:
            found = roots_in(options["against"], options["key"])
            self._check(found, hashed_anew(line.size for line in found)[1])
            self.stdout.write(f"The tree begins with all {len(found)} published roots.")
            return
        book = Path(settings.ROOT_BOOK) if settings.ROOT_BOOK else None
        mailed = settings.ROOT_MAIL_TO if settings.EMAIL_HOST else []
        if book is None and not mailed:
            raise CommandError(NOWHERE)
        earlier = roots_in(book, None) if book and book.exists() else []
        state, roots = hashed_anew(line.size for line in earlier)
        self._check(earlier, roots)
        at = timezone.now()
        line = publish_into(book, state, at) if book else published(state, at)
        if mailed:
            self._mail(mailed, line, is_written=book is not None)
        note_published(line, at)
        self.stdout.write(str(line))

    def _check(self, book: list[PublishedRoot], roots: dict[int, str]) -> None:
        faults = list(book_faults(book, roots))
        for fault in faults:
            self.stdout.write(fault)
        if faults:
            raise CommandError(
                f"{len(faults)} of {len(book)} published roots do not match. Nothing "
                "was published. Report this to the person responsible for the "
                "evidence, and compare with a backup.",
                returncode=1,
            )

    def _mail(
        self, mailed: list[str], line: PublishedRoot, *, is_written: bool
    ) -> None:
        try:
            send_mail(
                subject=f"Root of {line.size} events on {line.at[:10]}",
                message=f"{line}\n\nKeep this message. It can show later that no event "
                "up to now was changed or cut off:\nmanage.py publish_root "
                "--against FILE, with the line above in the file.\n",
                from_email=None,
                recipient_list=mailed,
            )
        except (OSError, SMTPException) as error:
            kept = "It is saved in the book. " if is_written else ""
            raise CommandError(
                f"The root could not be mailed: {error}. {kept}Nobody outside has it "
                "yet. Run this again once the mail server answers."
            ) from error
