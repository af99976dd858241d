"""Restore a backup into an empty place, and verify it."""

import getpass
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from inventory.evidence.backups.database_copy import DatabaseCopyError
from inventory.evidence.backups.locks import LockError
from inventory.evidence.backups.restoring import restore_backup
from inventory.evidence.backups.taking import Backup, BackupError
from inventory.evidence.seal.register import hashed_anew
from inventory.evidence.store.originals import StoreError
from inventory.security_log import told


class Command(BaseCommand):
    """Restores originals, claim files and database; refuses to overwrite anything."""

    help = "Restore a backup into an empty database and folder, then verify it."
    requires_system_checks = ()  # the place is empty: there is nothing to check yet

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the folder of the backup, and the key of a locked one."""
        parser.add_argument("folder", type=Path)
        parser.add_argument(
            "--key",
            type=Path,
            metavar="FILE",
            help="the private key of a locked backup, as age-keygen wrote it",
        )
        parser.add_argument(
            "--of",
            default="",
            metavar="DAY",
            help="the last backup of this day, or of a moment, in UTC: 2026-11-27",
        )

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Restore and verify. Exit code 1 where either fails."""
        try:
            backup = restore_backup(options["folder"], options["key"], options["of"])
        except (
            BackupError,
            DatabaseCopyError,
            LockError,
            StoreError,
            OSError,
        ) as error:
            raise CommandError(str(error), returncode=1) from error
        told("restore", who=getpass.getuser(), outcome="done", events=backup.events)
        self._compare(backup)
        executor = MigrationExecutor(connection)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            self.stdout.write(
                "Restored from an earlier version of the program. Run manage.py "
                "migrate, then manage.py verify."
            )
            return
        call_command("verify", stdout=self.stdout)

    def _compare(self, backup: Backup) -> None:
        found, _ = hashed_anew()
        if (found.size, found.root) != (backup.events, backup.root):
            raise CommandError(
                f"Restored, but its {found.size} events have root {found.root}, "
                f"while the backup's list has {backup.events} and {backup.root}.",
                returncode=1,
            )
        self.stdout.write(f"Restored the backup of {backup.made_at}.")
