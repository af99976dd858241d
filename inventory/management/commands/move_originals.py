"""Move the originals from a folder to a bucket, or back."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from inventory.evidence.store.homes import StoreError
from inventory.evidence.store.moving import MoveError, move_originals

TELL_EVERY = 1000


class Command(BaseCommand):
    """Copies and reads back each original; only then is the former home closed."""

    help = (
        "Move every original to another home: folder, or s3://bucket/prefix. The site "
        "may be running. Broken off, it goes on where it stopped when it is run again. "
        "The former home is closed once all is there, and keeps what it has."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the other home."""
        parser.add_argument("to", help="folder, or s3://bucket/prefix")
        parser.add_argument(
            "--copy-only",
            action="store_true",
            help="copy and read back, and go on with the present home",
        )

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Move, say how many, and what to set. Exit code 1 where one is not there."""
        to, switch = options["to"], not options["copy_only"]
        try:
            moved = move_originals(to, switch=switch, told=self._tell)
        except (MoveError, StoreError, ValueError, ImportError, OSError) as error:
            raise CommandError(str(error), returncode=1) from error
        self.stdout.write(
            f"{moved.there} originals are at {to}, each read back; {moved.copied} of "
            "them were copied now."
        )
        if switch:
            self.stdout.write(
                f"{settings.EVIDENCE_HOME} takes no more. Set EVIDENCE_HOME={to} on "
                "every machine, start again, and run manage.py verify."
            )

    def _tell(self, number: int) -> None:
        if number % TELL_EVERY == 0:
            self.stdout.write(f"{number} ...")
