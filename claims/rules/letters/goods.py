"""What is on record about the goods themselves: found, missing, held, sold."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class SeenFinding:
    """One finding as its technician recorded it; nothing on its cause.

    ``on`` is what it is on, ``what`` the part and the damage, ``facts`` the technician's
    own words, ``stage`` where it was seen, ``seen`` the day and hour in words.
    """

    number: int
    on: str
    what: str
    facts: str
    stage: str
    seen: str
    photos: int = 0


@dataclass(frozen=True)
class OpenedCrate:
    """A crate and when it was opened, in words."""

    crate: str
    opened: str


@dataclass(frozen=True)
class PointRead:
    """One point that was inspected: its result, and the reading as written."""

    on: str
    point: str
    result: str
    reading: str = ""


@dataclass(frozen=True)
class PiecesCounted:
    """The pieces of the freight bill over every truck so far.

    ``state`` is that of ``compare_count``: agrees, over, short, part or unknown.
    ``last_on`` is the day of the last truck.
    """

    state: str
    counted: int
    billed: int | None
    unit: str
    last_on: date | None = None

    @property
    def short(self) -> int:
        """Return how many whole pieces never arrived; none where that is not known."""
        return (self.billed or 0) - self.counted if self.state == "short" else 0


@dataclass(frozen=True)
class SalvageOffered:
    """The offer of the salvage to the carrier, and the day to answer it by."""

    offered_on: date
    answer_by: date


@dataclass(frozen=True)
class GoodsFacts:
    """What the record says of the goods of a claim. Empty means: not known.

    ``technician`` is who recorded ``findings`` and writes now. ``turned_up`` says, in a
    sentence each, what of the missing goods has arrived in another way. ``held_at`` is
    where the damaged goods are.
    """

    technician: str = ""
    findings: tuple[SeenFinding, ...] = ()
    opened: tuple[OpenedCrate, ...] = ()
    readings: tuple[PointRead, ...] = ()
    pieces: PiecesCounted | None = None
    turned_up: tuple[str, ...] = ()
    held_at: str = ""
    offered: SalvageOffered | None = None


NO_GOODS = GoodsFacts()
