"""Count every freight bill's deadlines again and report what differs."""

from argparse import ArgumentParser
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from claims.actions.core.recounting import recount_all


class Command(BaseCommand):
    """Counts again nightly, and is safe to run twice.

    Only bills of which a fact was written since, whose day is over, or that were counted
    a month ago are read at all.
    """

    help = "Count all deadlines again and print each difference, then their number."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take --on, --all and --dry-run."""
        parser.add_argument("--on", help="the day to count for, such as 2026-03-31")
        parser.add_argument(
            "--all",
            action="store_true",
            help="read every bill, also where nothing is known to have changed",
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="report only, and write nothing"
        )

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Count each freight bill again; name a bad one and continue with the rest."""
        at = _moment(options["on"])
        differences = failures = 0
        is_dry = options["dry_run"]
        for one in recount_all(at, is_dry=is_dry, is_whole=options["all"]):
            if one.error:
                failures += 1
                self.stderr.write(f"{one.shipment}: not counted. {one.error}")
            differences += len(one.differences)
            for found in one.differences:
                self.stdout.write(f"{one.shipment}: {found.sentence}")
        verb = "would be" if is_dry else "were"
        self.stdout.write(f"{differences} differences {verb} recorded.")
        if failures:
            raise CommandError(f"{failures} freight bills could not be counted.")


def _moment(on: str | None) -> datetime:
    if not on:
        return timezone.now()
    try:
        day = date.fromisoformat(on)
    except ValueError:
        raise CommandError("Enter the day like 2026-03-31.") from None
    return datetime(day.year, day.month, day.day, 12, tzinfo=ZoneInfo("UTC"))
