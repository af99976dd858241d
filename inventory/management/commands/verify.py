"""Check every event, every row and every stored original."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connections

from inventory.evidence.seal.snapshots import snapshot
from inventory.evidence.seal.verification import Report, verify
from inventory.evidence.store import originals as store
from inventory.triggers import missing_triggers


class Command(BaseCommand):
    """Re-hashes the chain and the originals; compares every row with its last image."""

    help = (
        "Verify that no event, row or original was changed. Prints the first things "
        "that differ. Exit code 1 if any differ."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the option that leaves the files out, for a quick check."""
        parser.add_argument(
            "--rows-only",
            action="store_true",
            help="leave the stored originals out",
        )

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Print the first faults and their number; fail where there is one."""
        reading = None if options["rows_only"] else store.read_original
        with snapshot() as moment:
            report = verify(moment, read_original=reading)
        report.add(
            f"The database trigger {name} is missing. Run manage.py migrate."
            for name in missing_triggers(connections["default"])
        )
        self._tell(report)

    def _tell(self, report: Report) -> None:
        for sentence in report.first:
            self.stdout.write(sentence)
        if report.faults > len(report.first):
            self.stdout.write(f"... and {report.faults - len(report.first)} more.")
        if report.faults:
            raise CommandError(f"{report.faults} faults found.", returncode=1)
        self.stdout.write(f"All well: {report.size} events, root {report.root}")
        self.stdout.write(
            f"{report.rows} rows match their last event; {report.originals} "
            "originals match their hash."
        )
        if report.old_rows:
            self.stdout.write(
                f"{report.old_rows} of the rows are older than sealing, and could "
                "not be compared. manage.py migrate seals them as they are."
            )
