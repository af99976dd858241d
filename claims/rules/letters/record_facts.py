"""What is on file about a delivery and its goods, for a letter that quotes it."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Filed:
    """One photo or document: its kind, the day it was recorded, its exhibit number.

    ``exhibit`` is 0 where the claim file that went out does not have it.
    """

    kind: str
    on: date
    exhibit: int = 0


@dataclass(frozen=True)
class Receipt:
    """What one truck delivered, and how its receipt ended.

    ``words`` are the exceptions as written; ``copies``, ``ending``, ``pod``, ``seal``'s
    condition and who unloaded are keys of the ground floor's vocabulary.
    """

    on: date
    words: str = ""
    ending: str = ""
    copies: str = ""
    driver: str = ""
    witness: str = ""
    pod: str = ""
    counted: int | None = None
    trailer: str = ""
    seal: str = ""
    seal_condition: str = ""
    unloaded_by: str = ""
    unloaded_with: str = ""
    on_trailer: bool = False


@dataclass(frozen=True)
class Found:
    """One finding: "deck shell, bent", what was seen, when, and where it was."""

    what: str
    facts: str
    on: date
    kind: str
    exhibits: tuple[int, ...] = ()
    is_on_crate: bool = False
    at_delivery: bool = False
    is_inside: bool = False


@dataclass(frozen=True)
class Noticed:
    """A notice to the carrier that went out; ``in_time`` by its rule, where known."""

    kind: str
    sent_on: date
    how: str = ""
    received_on: date | None = None
    proof: str = ""
    in_time: bool = False


@dataclass(frozen=True)
class Custody:
    """One crate between delivery and opening, as the manager certified it."""

    crate: str
    opened_on: date
    stood_at: str
    moves: str


@dataclass(frozen=True)
class RecordFacts:
    """The record behind a claim. What is empty, zero or None is not on record.

    ``inspections`` are key ("inspected", "waived") and day; ``unmarked`` counts the
    other crates of the freight bill that showed no damage at delivery. ``limit_cents``
    is the most that the released value would allow for this claim.
    """

    files: tuple[Filed, ...] = ()
    receipts: tuple[Receipt, ...] = ()
    findings: tuple[Found, ...] = ()
    notices: tuple[Noticed, ...] = ()
    custody: tuple[Custody, ...] = ()
    inspections: tuple[tuple[str, date], ...] = ()
    asked_on: tuple[date, ...] = ()
    inspect_at: str = ""
    is_held: bool = False
    unmarked: int = 0
    new_machines: tuple[str, ...] = ()
    pieces: int = 0
    piece_unit: str = "piece"
    has_shortage: bool = False
    filed_in_time: bool = False
    freight_payer: str = ""
    released_cents_per_lb: int = 0
    limit_cents: int | None = None
    weights: tuple[str, ...] = ()
    salvage: str = ""
    salvage_cents: int = 0
    parts_kept: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()

    def of(self, *kinds: str, on: date | None = None) -> tuple[Filed, ...]:
        """Return the files of these kinds, on one day where it is given."""
        return tuple(
            row
            for row in self.files
            if row.kind in kinds and (on is None or row.on == on)
        )

    @property
    def first_day(self) -> date | None:
        """Return the day of the first delivery."""
        return min((row.on for row in self.receipts), default=None)
