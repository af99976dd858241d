"""Print one page per legal regime from the records, into the same folder."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from claims.rules import regimes
from claims.rules.regimes.printing import page_for

PAGES = Path(regimes.__file__).parent / "pages"


class Command(BaseCommand):
    """Prints the regimes' pages."""

    help = "Write the Markdown page of every legal regime from its records."
    requires_system_checks = []

    def handle(self, *args: Any, **options: Any) -> None:  # noqa: ANN401
        """Write the pages and print the name of each."""
        PAGES.mkdir(exist_ok=True)
        for regime in regimes.REGIMES.values():
            path = PAGES / f"{regime.key}.md"
            path.write_text(page_for(regime, regimes.VERSION), encoding="utf-8")
            self.stdout.write(f"{path.name} written.")
