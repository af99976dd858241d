"""Remove what interrupted uploads left, once; the server does the same every hour."""

from datetime import UTC, datetime
from typing import Any

from django.core.management.base import BaseCommand

from inventory.evidence.store.sweep import sweep


class Command(BaseCommand):
    """Removes drafts, and moves originals without a row into quarantine."""

    help = (
        "Remove temporary files older than an hour, and move originals that have "
        "had no row for a day into quarantine. Nothing that was acknowledged is "
        "touched."
    )

    def handle(self, *_args: Any, **_options: Any) -> None:  # noqa: ANN401
        """Print what was removed and moved."""
        swept = sweep(at=datetime.now(tz=UTC))
        for sha256 in swept.orphans:
            self.stdout.write(f"Moved to quarantine: {sha256}")
        self.stdout.write(
            f"{swept.drafts} temporary files removed, {len(swept.orphans)} originals "
            "without a row moved to quarantine."
        )
