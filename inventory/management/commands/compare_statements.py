"""List the suppliers' statements that disagree with our books; for a nightly run."""

import sys
from typing import Any

from django.core.management.base import BaseCommand

from inventory.queries.memos.statement_reasons import (
    Stated,
    assertions_of,
    compare_stated,
    latest_of,
)
from inventory.rules.reckoning.money import format_cents


class Command(BaseCommand):
    """Compares each supplier's last statement; exit code 1 if one disagrees."""

    help = "Compare each supplier's last statement with our books."

    def handle(self, *_args: Any, **_options: Any) -> None:  # noqa: ANN401
        """Print one line for each that disagrees, and the rows that explain it."""
        found = [compare_stated(row) for row in latest_of(assertions_of())]
        apart = [one for one in found if not one.comparison.agrees]
        for one in apart:
            self._tell(one)
        if not found:
            self.stdout.write("No statement has been entered.")
        elif not apart:
            self.stdout.write(f"All {len(found)} statements agree.")
        if apart:
            self.stdout.write(f"{len(apart)} of {len(found)} statements disagree.")
            sys.exit(1)

    def _tell(self, one: Stated) -> None:
        row, seen = one.assertion, one.comparison
        stated, ours, gap = (
            format_cents(cents, row.currency, code=True)
            for cents in (seen.stated, seen.ours, seen.difference)
        )
        self.stdout.write(
            f"{row.location}: {row.supplier}'s statement shows {stated} on "
            f"{row.as_of}, our books {ours}; difference {gap}."
        )
        for reason in seen.explained:
            amount = format_cents(reason.cents, row.currency, code=True)
            self.stdout.write(f"  {reason.kind}: {reason.words}, {amount}.")
        if not seen.is_explained:
            self.stdout.write("  No known entries add up to it.")
