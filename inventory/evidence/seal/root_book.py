"""Roots that were published outside, and whether the tree still begins with them.

A chain cannot show that its tail was cut off, nor that it was rebuilt from the
start. A root stored where the site cannot rewrite it can.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import zip_longest
from pathlib import Path

from inventory.evidence.seal.checkpoints import checked_checkpoint
from inventory.evidence.seal.register import TreeState
from inventory.evidence.store.durable import append_line
from inventory.models import Event
from inventory.rules.evidence.clock import CLOCK_MAY_DIFFER
from inventory.rules.evidence.signed_notes import SIGNED_PART, NoteError, PublicKey


class UnreadableBookError(Exception):
    """A line of the book is not a root; the message says which."""


@dataclass(frozen=True)
class PublishedRoot:
    """One line of the book: when, how many events, and their root in hex."""

    at: str
    """The moment; empty for a checkpoint, which names none."""
    size: int
    root: str

    @property
    def when(self) -> str:
        """Return how a sentence begins that tells of it."""
        return f"On {self.at}" if self.at else "When the checkpoint was signed"

    def __str__(self) -> str:
        return f"{self.at} {self.size} {self.root}"


def published(state: TreeState, at: datetime) -> PublishedRoot:
    """Return the line for this state of the tree."""
    moment = at.astimezone(UTC).isoformat(timespec="seconds")
    return PublishedRoot(moment, state.size, state.root)


def write_down(path: Path, line: PublishedRoot) -> None:
    """Add a root to the book for good. Raise OSError where it cannot be written."""
    append_line(path, str(line))


def read_roots(path: Path, key: PublicKey | None) -> list[PublishedRoot]:
    """Return the roots of a book, or that of a checkpoint which this key signed.

    Raise UnreadableBookError, NoteError and OSError.
    """
    text = path.read_text(encoding="utf-8")
    if SIGNED_PART not in text:
        return read_book(text)
    if key is None:
        raise NoteError(
            "This file is a signed checkpoint. Name its public key with --key, or "
            "set CHECKPOINT_KEY."
        )
    found = checked_checkpoint(text, key)
    return [PublishedRoot("", found.size, found.root)]


def read_book(text: str) -> list[PublishedRoot]:
    """Return every root of a book's text, in order.

    Empty lines and those that begin with # are passed over. Raise
    UnreadableBookError.
    """
    lines = text.splitlines()
    return [
        _line(number, text)
        for number, text in enumerate(lines, start=1)
        if text.strip() and not text.startswith("#")
    ]


def _line(number: int, text: str) -> PublishedRoot:
    words = text.split()
    if len(words) != 3 or not words[1].isdigit() or len(words[2]) != 64:
        raise UnreadableBookError(
            f"Line {number} of the book is not a root: {text[:60]}"
        )
    return PublishedRoot(words[0], int(words[1]), words[2].lower())


def late_faults(book: Iterable[PublishedRoot]) -> Iterator[str]:
    """Yield a sentence for each time at which an older moment was added afterwards.

    What was recorded before a root was published is under that root, but for acts
    that were still being written then.
    """
    dated = sorted((line for line in book if line.at), key=lambda line: line.size)
    for line, after in zip_longest(dated, dated[1:]):
        later = Event.objects.filter(
            sequence__gt=line.size,
            recorded_at__lt=datetime.fromisoformat(line.at) - CLOCK_MAY_DIFFER,
        )
        if after is not None:
            later = later.filter(sequence__lte=after.size)
        first = later.order_by("sequence").values_list("sequence", flat=True).first()
        if first is not None:
            yield (
                f"{line.when} there were {line.size} events, and event {first} says it "
                "is older. It was added afterwards, or the clock was wrong."
            )


def book_faults(book: Iterable[PublishedRoot], roots: dict[int, str]) -> Iterator[str]:
    """Yield a sentence for each published root that the tree no longer begins with."""
    for line in book:
        now = roots.get(line.size)
        if now is None:
            yield (
                f"{line.when} there were {line.size} events; now there are fewer. "
                "The end of the chain was cut off."
            )
        elif now != line.root:
            yield (
                f"{line.when} the first {line.size} events had another root than "
                "now. They were changed."
            )
