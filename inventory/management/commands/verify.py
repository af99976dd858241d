"""Check the chain of events and every stored original."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory.evidence.seal import chain_faults, original_faults, tree_state


class Command(BaseCommand):
    """Walk the chain, re-hash the originals, name what differs."""

    help = "Verify that no event and no original was changed. Exit code 1 if one was."

    def handle(self, *_args: Any, **_options: Any) -> None:  # noqa: ANN401
        """Print each fault; fail if there was one."""
        faults = [*chain_faults(), *original_faults()]
        for fault in faults:
            self.stdout.write(fault)
        if faults:
            raise CommandError(f"{len(faults)} found that differ.", returncode=1)
        state = tree_state()
        self.stdout.write(f"All well: {state.size} events, root {state.root}")
