"""Count every freight bill's deadlines again and report what differs."""

from argparse import ArgumentParser
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from claims.actions.core.deadlines import differing, record_differences, recount
from inventory.models import Shipment
from inventory.rules.reckoning.moments import dock_day

AT_ONCE = 500
"""How many freight bills are read together."""


class Command(BaseCommand):
    """Counts again nightly, and is safe to run twice.

    What is unchanged is only read, many bills at once; each bill that counts differently
    is counted again in a transaction of its own.
    """

    help = "Count all deadlines again and print each difference, then their number."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take --on and --dry-run."""
        parser.add_argument("--on", help="the day to count for, such as 2026-03-31")
        parser.add_argument(
            "--dry-run", action="store_true", help="report only, and write nothing"
        )

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Count each freight bill again; name a bad one and continue with the rest."""
        at = _moment(options["on"])
        differences = failures = 0
        for shipment in _to_count(at):
            try:
                found = self._count(shipment, at, is_dry=options["dry_run"])
            except Exception as error:  # noqa: BLE001 - one bad row must not stop the rest
                failures += 1
                self.stderr.write(f"{shipment}: not counted. {error}")
                continue
            differences += len(found)
            for sentence in found:
                self.stdout.write(f"{shipment}: {sentence}")
        verb = "would be" if options["dry_run"] else "were"
        self.stdout.write(f"{differences} differences {verb} recorded.")
        if failures:
            raise CommandError(f"{failures} freight bills could not be counted.")

    def _count(self, shipment: Shipment, at: datetime, *, is_dry: bool) -> list[str]:
        with transaction.atomic():
            if is_dry:
                changed = recount(shipment=shipment, at=at)
                transaction.set_rollback(True)
            else:
                changed = record_differences(shipment=shipment, at=at, person=None)
        return [one.sentence for one in changed]


def _to_count(at: datetime) -> Iterator[Shipment]:
    """Yield each freight bill that counts differently, in order of their keys."""
    rows = Shipment.standing.select_related("location", "carrier", "supplier")
    last = 0
    while True:
        found = Shipment.standing.filter(pk__gt=last).order_by("pk")
        zones = dict(found.values_list("pk", "location__time_zone")[:AT_ONCE])
        if not zones:
            return
        changed = differing(
            {key: dock_day(at, ZoneInfo(zone)) for key, zone in zones.items()}
        )
        yield from rows.filter(pk__in=changed).order_by("pk")
        last = max(zones)


def _moment(on: str | None) -> datetime:
    if not on:
        return timezone.now()
    try:
        day = date.fromisoformat(on)
    except ValueError:
        raise CommandError("Enter the day like 2026-03-31.") from None
    return datetime(day.year, day.month, day.day, 12, tzinfo=ZoneInfo("UTC"))
