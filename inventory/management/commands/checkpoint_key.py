"""Make the key that signs checkpoints of the tree."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory.evidence.seal.checkpoints import new_key, write_key
from inventory.management.publishing import lies_among_data
from inventory.rules.evidence.signed_notes import NoteError


class Command(BaseCommand):
    """Writes a new private key into a file of its own and prints the public one."""

    help = (
        "Make an Ed25519 key in FILE, outside the data folder, and print the public key "
        "that others check a checkpoint with."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file, and the name that stands in every checkpoint."""
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "name", help="the log's name: your web address and the house, without http"
        )

    def handle(self, *_args: Any, **options: Any) -> None:  # noqa: ANN401
        """Write the key. Exit code 1 where the file is there or lies among the data."""
        path: Path = options["file"]
        if lies_among_data(path):
            raise CommandError(
                "That is the data folder: whoever can change the records could sign "
                "them. Name a file elsewhere. Nothing was written."
            )
        try:
            key = new_key(options["name"])
            write_key(path, key)
        except FileExistsError as error:
            raise CommandError(
                f"{path} is there already. Nothing was written."
            ) from error
        except (OSError, NoteError) as error:
            raise CommandError(f"No key was made: {error}") from error
        self.stdout.write(f"The private key is in {path}. Set CHECKPOINT_KEY={path}.")
        self.stdout.write("Give this public key to whoever should check:")
        self.stdout.write(str(key.public))
