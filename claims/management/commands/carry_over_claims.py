"""Take over the claims of earlier versions: lines hold, settlements become payments."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from claims.actions.claim.carrying_over import carry_over_claims


class Command(BaseCommand):
    """Takes over what the last migration left; does nothing where nothing is left."""

    help = (
        "Take over the claims of earlier versions: each line holds its finding, each "
        "settlement becomes one payment. Run it as often as you like."
    )

    def handle(self, *_args: Any, **_options: Any) -> None:  # noqa: ANN401
        """Take them over one by one and print how many there were."""
        count = sum(1 for _ in carry_over_claims(at=timezone.now()))
        self.stdout.write(f"Claims taken over: {count}.")
