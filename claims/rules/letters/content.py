"""The content of a one-page letter, frozen: text as printed."""

from dataclasses import dataclass

from claims.rules.packet.content import Paper, Party, Row
from inventory.rules.core import frozen

DRAFT = "DRAFT: not confirmed, not to be sent"
"""Printed large on every page of what nobody has confirmed."""


@dataclass(frozen=True)
class LetterContent:
    """A letter to one addressee.

    A paragraph may hold line breaks; lines that start with "> " are set as quoted
    text. ``references`` are label and value, such as PRO and bill of lading. ``dated_on``
    is the letter's day in ISO form, for the file itself; ``date`` is printed.
    """

    sender: Party
    addressee: Party
    date: str
    references: tuple[Row, ...]
    subject: str
    paragraphs: tuple[str, ...]
    signed_by: str
    signed_as: str = ""
    enclosures: tuple[str, ...] = ()
    paper: Paper = "letter"
    dated_on: str = ""


def to_json(content: LetterContent) -> str:
    """Freeze the letter as canonical JSON."""
    return frozen.to_json(content)


def from_json(text: str) -> LetterContent:
    """Read what ``to_json`` wrote; raise ``frozen.FrozenError`` for anything else."""
    return frozen.from_json(LetterContent, text)
