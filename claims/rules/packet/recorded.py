"""What was recorded, as a claim file states it: exceptions, findings, custody."""

from dataclasses import dataclass


@dataclass(frozen=True)
class ReceiptEntry:
    """The exceptions written on one delivery's receipt, verbatim, and on whose copies.

    ``words`` is empty where nothing was written.
    """

    delivery: str
    words: str
    written_on: str
    how_signed: str
    driver: str
    exhibits: tuple[int, ...]


@dataclass(frozen=True)
class FindingEntry:
    """One finding: what was seen, where, when and by whom; no opinion on the cause.

    ``faces`` holds the marked faces of the crate drawing, any of side-1 (label
    side), side-2, side-3, side-4, top, base, inside; clockwise from the label side.
    """

    number: str
    title: str
    subject: str
    stage: str
    severity: str
    found: str
    facts: str
    seen_at_delivery: str
    faces: tuple[str, ...]
    exhibits: tuple[int, ...]


@dataclass(frozen=True)
class CustodyEntry:
    """One crate from delivery to opening."""

    crate: str
    delivered: str
    opened: str
    unopened: str
    kept_at: str
    moves: str
    at_delivery: tuple[int, ...]
    at_opening: tuple[int, ...]
