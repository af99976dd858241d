"""Check a date or an amount by hand: one JSON object in, one out, no database."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from claims.rules.reckon.subjects import SUBJECTS
from inventory.rules.reckon.reading import ReckonError
from inventory.rules.reckon.subjects import reckon

_BAD_INPUT = 2


class Command(BaseCommand):
    """Answers a what-if question about dates or amounts."""

    help = (
        "Read a JSON object on standard input and answer with one on standard output."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the subject; a missing one is refused like an unknown one."""
        parser.add_argument(
            "subject", nargs="?", default="", help=f"one of {', '.join(SUBJECTS)}"
        )

    def handle(self, *args: Any, **options: Any) -> None:  # noqa: ANN401
        """Answer, or exit with 2 and one line on standard error."""
        try:
            answer = reckon(options["subject"], _standard_input(), SUBJECTS)
        except ReckonError as error:
            self.stderr.write(" ".join(str(error).split()))
            sys.exit(_BAD_INPUT)
        self.stdout.write(answer)


def _standard_input() -> str:
    """Return standard input as UTF-8; raise ReckonError where it is not."""
    try:
        return sys.stdin.buffer.read().decode("utf-8")
    except UnicodeDecodeError:
        raise ReckonError("The input is not UTF-8 text.") from None
