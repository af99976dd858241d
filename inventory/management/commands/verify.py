"""Check every event, every row and every stored original."""

import datetime as dt
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connections
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from inventory.actions.core.upkeep import note_run
from inventory.actions.evidence.reading import unread_photos
from inventory.derived import differences
from inventory.evidence.seal.root_book import book_faults, late_faults
from inventory.evidence.seal.snapshots import snapshot
from inventory.evidence.seal.verification import SHOWN, Report, verify
from inventory.evidence.store import originals as store
from inventory.management.publishing import add_against, roots_in
from inventory.rules.reckoning.moments import paper_time
from inventory.shape import NotComparedError, shape_faults

LATE = dt.timedelta(hours=1)


class Command(BaseCommand):
    """Re-hashes the chain and the originals; compares every row with its last image."""

    help = (
        "Verify that no event, row or original was changed. Prints the first things "
        "that differ, and photos that wait to be read. Exit code 1 if any differ."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the option that leaves the files out, for a quick check."""
        parser.add_argument(
            "--rows-only",
            action="store_true",
            help="leave the stored originals out",
        )
        add_against(parser)

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Print the first faults and their number; fail where there is one."""
        reading = None if options["rows_only"] else store.read_original
        against = options["against"]
        book = roots_in(against, options["key"]) if against else []
        sizes = frozenset(line.size for line in book)
        with snapshot() as moment:
            report = verify(moment, read_original=reading, sizes=sizes)
        report.add(book_faults(book, report.roots))
        report.add(late_faults(book))
        self._compare_shape(report)
        report.add(differences(connections["default"]))
        self._tell_unread()
        self._tell(report)

    def _compare_shape(self, report: Report) -> None:
        """Compare tables and triggers, where no migration waits that changes them."""
        executor = MigrationExecutor(connections["default"])
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            report.add(
                iter(["A migration waits. Run manage.py migrate, then verify again."])
            )
            return
        try:
            report.add(shape_faults(connections["default"]))
        except NotComparedError as error:
            self.stdout.write(
                "Tables and triggers were not compared with the program: this user of "
                f"the database may not make any. Run verify as their owner. ({error})"
            )

    def _tell_unread(self) -> None:
        """Name photos that should be read by now. Nothing about them has changed."""
        before = timezone.now() - LATE
        waiting = unread_photos().filter(width=None, received_at__lt=before)
        try:
            rows = list(waiting[:SHOWN])
        except DatabaseError:  # a broken table is told as one
            return
        for row in rows:
            self.stdout.write(
                f"Photo {row.pk}, received {paper_time(row.received_at, dt.UTC)}, is not "
                "read yet. See whether the working program runs, or run manage.py "
                "read_photos."
            )

    def _tell(self, report: Report) -> None:
        found = f"{report.faults} faults" if report.faults else f"{report.size} events"
        note_run(
            task="verify",
            at=timezone.now(),
            went_well=not report.faults,
            words=f"{found}.",
        )
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
        if report.clock:
            self.stdout.write(
                f"The machine's clock went back {report.clock}. The order of events "
                "holds by their numbers; their times around it may not."
            )
        if report.old_rows:
            self.stdout.write(
                f"{report.old_rows} of the rows are older than sealing, and could "
                "not be compared. manage.py migrate seals them as they are."
            )
