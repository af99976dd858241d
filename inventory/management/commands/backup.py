"""Back up the running site."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inventory.actions.core.upkeep import note_run
from inventory.evidence.backups.database_copy import DatabaseCopyError
from inventory.evidence.backups.locks import LockError
from inventory.evidence.backups.taking import BackupError, make_backup
from inventory.evidence.seal.register import TreeState
from inventory.evidence.seal.snapshots import BusyDatabaseError, UnreadableTableError
from inventory.management.publishing import note_published, publish_into
from inventory.queries.people.legal_holds import standing_holds
from inventory.rules.evidence.generations import Keep


class Command(BaseCommand):
    """Copies the database of one moment, its originals by hash, and the claim files."""

    help = (
        "Back up into a folder: an empty one, or that of an earlier backup, to "
        "which only new originals are added. The site may be running. Where BACKUP_KEY "
        "names public keys of age, every file is locked for who has a private one. "
        "Earlier copies of the database stay as BACKUP_KEEP says, and all of them while "
        "a legal hold stands."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the folder."""
        parser.add_argument("folder", type=Path)

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Make the backup and print its content, or the reason why there is none."""
        holds = list(standing_holds())
        try:
            made = make_backup(
                options["folder"],
                at=timezone.now(),
                keys=settings.BACKUP_KEY,
                keep=None if holds else Keep(*settings.BACKUP_KEEP),
            )
        except (
            BackupError,
            BusyDatabaseError,
            DatabaseCopyError,
            LockError,
            UnreadableTableError,
            OSError,
        ) as error:
            note_run(
                task="backup", at=timezone.now(), went_well=False, words=str(error)
            )
            raise CommandError(str(error), returncode=1) from error
        found = made.backup
        at, book = timezone.now(), options["folder"] / "roots.txt"
        note_run(
            task="backup",
            at=at,
            went_well=True,
            words=f"{found.events} events, {found.originals} originals.",
        )
        line = publish_into(book, TreeState(found.events, found.root), at)
        note_published(line, at)
        how = ", locked" if found.locked else ""
        self.stdout.write(f"Backed up{how}: {found.events} events, root {found.root}")
        for hold in holds:
            self.stdout.write(
                f"A legal hold stands ({hold}): delete no backup and no log."
            )
        self.stdout.write(
            f"{found.originals} originals ({found.original_bytes} bytes), "
            f"{made.copied} of them copied now; {found.packets} claim files."
        )
