"""Save the claim files of earlier versions as originals, and name those lost."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from claims.actions.packet.earlier_packets import keep_earlier_packets
from inventory.actions.core.versions import RefusedError


class Command(BaseCommand):
    """Save the claim files on the disk; exit with 1 where one is missing."""

    help = (
        "Save the claim files made by earlier versions as originals. Names each one "
        "whose file is missing or changed, and then exits with 1. Run it as often as "
        "you like."
    )

    def handle(self, *_args: Any, **_options: Any) -> None:  # noqa: ANN401
        """Save them one by one and print what was found."""
        kept = missing = 0
        try:
            for one in keep_earlier_packets(at=timezone.now()):
                kept += one.is_kept
                missing += not one.is_kept
                if not one.is_kept:
                    self.stdout.write(f"{one.packet}: file {one.packet.sha256} missing")
        except RefusedError as error:
            raise CommandError(f"{error} Kept so far: {kept}.") from error
        self.stdout.write(f"Kept: {kept}. Missing: {missing}.")
        if missing:
            sys.exit(1)
