"""Publish the size and root of the event tree outside the site."""

from argparse import ArgumentParser
from pathlib import Path
from smtplib import SMTPException
from typing import Any

from django.conf import settings
from django.core.mail import send_mail
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inventory.actions.core.upkeep import note_run
from inventory.evidence.seal.register import tree_state
from inventory.evidence.seal.root_book import (
    PublishedRoot,
    UnreadableBookError,
    book_faults,
    published,
    read_book,
    roots_now,
    write_down,
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
        parser.add_argument("--against", type=Path, metavar="FILE")

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Check, or check and publish. Exit code 1 where a root no longer matches."""
        if options["against"]:
            count = self._check(options["against"])
            self.stdout.write(f"The tree begins with all {count} published roots.")
            return
        book = Path(settings.ROOT_BOOK) if settings.ROOT_BOOK else None
        mailed = settings.ROOT_MAIL_TO if settings.EMAIL_HOST else []
        if book is None and not mailed:
            raise CommandError(NOWHERE)
        if book is not None and book.exists():
            self._check(book)
        self._publish(book, mailed, published(tree_state(), timezone.now()))

    def _check(self, path: Path) -> int:
        try:
            book = read_book(path)
        except (OSError, UnreadableBookError) as error:
            raise CommandError(f"{error} Nothing was checked or published.") from error
        faults = list(book_faults(book, roots_now(line.size for line in book)))
        for fault in faults:
            self.stdout.write(fault)
        if faults:
            raise CommandError(
                f"{len(faults)} of {len(book)} published roots do not match. Nothing "
                "was published. Report this to the person responsible for the "
                "evidence, and compare with a backup.",
                returncode=1,
            )
        return len(book)

    def _publish(
        self, book: Path | None, mailed: list[str], line: PublishedRoot
    ) -> None:
        if book is not None:
            try:
                write_down(book, line)
            except OSError as error:
                raise CommandError(f"The book cannot be written: {error}") from error
        if mailed:
            self._mail(mailed, line, is_written=book is not None)
        note_run(
            task="root",
            at=timezone.now(),
            went_well=True,
            words=f"{line.size} events.",
        )
        self.stdout.write(str(line))

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
