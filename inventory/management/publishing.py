"""Publishing the root, and checking against what was published: three commands do it."""

from argparse import ArgumentParser
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.core.management.base import CommandError

from inventory.actions.core.upkeep import note_run
from inventory.evidence.seal.checkpoints import HouseKey, read_key, signed_checkpoint
from inventory.evidence.seal.register import TreeState
from inventory.evidence.seal.root_book import (
    PublishedRoot,
    UnreadableBookError,
    published,
    read_roots,
    write_down,
)
from inventory.evidence.store.durable import write_whole
from inventory.rules.evidence.signed_notes import NoteError, read_public_key


def add_against(parser: ArgumentParser) -> None:
    """Take a book or a checkpoint, and the key that signed it."""
    parser.add_argument(
        "--against",
        type=Path,
        metavar="FILE",
        help="a book of roots, or a signed checkpoint",
    )
    parser.add_argument(
        "--key",
        metavar="KEY",
        help="the public key of the checkpoint, as checkpoint_key printed it",
    )


def roots_in(path: Path, key: str | None) -> list[PublishedRoot]:
    """Return what was published in this file. Raise CommandError with the reason."""
    try:
        if key:
            return read_roots(path, read_public_key(key))
        own = house_key()
        return read_roots(path, own.public if own else None)
    except (OSError, UnreadableBookError, NoteError) as error:
        raise CommandError(f"{error} Nothing was checked or published.") from error


def house_key() -> HouseKey | None:
    """Return the key that signs for this house. Raise CommandError for a bad one."""
    if not settings.CHECKPOINT_KEY:
        return None
    path = Path(settings.CHECKPOINT_KEY)
    if lies_among_data(path):
        raise CommandError(
            "CHECKPOINT_KEY lies in the data folder: whoever can change the records "
            "could sign what they made of them. Move it elsewhere. Nothing was signed."
        )
    try:
        return read_key(path)
    except (OSError, NoteError) as error:
        raise CommandError(f"The key cannot be read: {error}") from error


def lies_among_data(path: Path) -> bool:
    """Return whether a key there would be whoever's who can change the records."""
    return path.resolve().is_relative_to(settings.DATA_DIR)


def publish_into(book: Path, state: TreeState, at: datetime) -> PublishedRoot:
    """Add the root to the book; beside it, sign a checkpoint where there is a key."""
    line, key = published(state, at), house_key()
    try:
        write_down(book, line)
        if key is not None:
            note = signed_checkpoint(state, key).encode()
            write_whole(checkpoint_beside(book), [note])
    except OSError as error:
        raise CommandError(f"The book cannot be written: {error}") from error
    return line


def checkpoint_beside(book: Path) -> Path:
    """Return where the newest checkpoint lies: beside the book."""
    return book.with_name(f"{book.stem}.checkpoint")


def note_published(line: PublishedRoot, at: datetime) -> None:
    """Note for the page of upkeep that a root went out."""
    note_run(task="root", at=at, went_well=True, words=f"{line.size} events.")
