"""Clear away what cut uploads left, once; the server does the same every hour."""

from datetime import UTC, datetime
from typing import Any

from django.core.management.base import BaseCommand

from inventory.evidence.store.sweep import sweep


class Command(BaseCommand):
    """Sweep drafts, and move originals that no row names into quarantine."""

    help = (
        "Remove temporary files older than an hour, and move originals that no row "
        "names for a day into quarantine. Nothing that was acknowledged is touched."
    )

    def handle(self, *_args: Any, **_options: Any) -> None:  # noqa: ANN401
        """Print what was swept."""
        swept = sweep(at=datetime.now(tz=UTC))
        for sha256 in swept.orphans:
            self.stdout.write(f"Moved to quarantine: {sha256}")
        self.stdout.write(
            f"{swept.drafts} temporary files removed, "
            f"{len(swept.orphans)} originals without a row set aside."
        )
