"""The content of a setup sheet, frozen: text as printed, and pictures."""

from dataclasses import dataclass

from inventory.rules.core.pictures import Picture
from inventory.rules.core.text import mid_sentence
from inventory.rules.evidence.markup import Mark

TITLE = "Setup sheet"

UNFINISHED = "Not finished"
NOT_RELEASED = "Not released for sale"
RELEASED = "Released for sale"

TO_DO = "To do"
"""The answer of a line that nobody has finished."""

ADJUSTMENT = "Adjustment"
"""How a decision begins that calls a line an adjustment."""

NO_TARGET = "No target on file for this model."

DRAWN_LATER = (
    "Drawn later from the record: at this sign-off no sheet was saved as it went out."
)

DEFERS = (
    "The maker's manual takes precedence over every line of this sheet. Nothing here is "
    "legal advice."
)


@dataclass(frozen=True)
class SheetRelease:
    """How the setup ended, or that it has not: printed large, and on every page.

    ``word`` is "Released for sale" or what keeps it from that; ``by`` who and when;
    ``more`` a reason, or how the sheet was made.
    """

    word: str
    state: str
    by: str = ""
    more: str = ""
    is_signed: bool = False


@dataclass(frozen=True)
class SheetTaking:
    """One reading of a line: by point as typed with its unit, verdict, note, who."""

    when: str
    day: str
    who: str
    result: str
    cells: tuple[str, ...] = ()
    verdict: str = ""
    note: str = ""
    decisions: tuple[str, ...] = ()
    photos: tuple[int, ...] = ()


@dataclass(frozen=True)
class SheetLine:
    """One line of the list with its answer and every reading of it, the first first."""

    number: int
    label: str
    answer: str
    is_safety: bool
    points: tuple[str, ...] = ()
    targets: tuple[str, ...] = ()
    takings: tuple[SheetTaking, ...] = ()

    @property
    def last(self) -> SheetTaking | None:
        """Return the reading that counts, or None."""
        return self.takings[-1] if self.takings else None

    @property
    def heads(self) -> tuple[str, ...]:
        """Return what each reading is called: as found, after adjustment, read again."""
        found, adjusted = [], False
        for place, taking in enumerate(self.takings):
            first = "As found" if self.takings[1:] else "Read"
            again = "After adjustment" if adjusted else "Read again"
            found.append(again if place else first)
            adjusted |= any(one.startswith(ADJUSTMENT) for one in taking.decisions)
        return tuple(found)

    @property
    def is_told_in_full(self) -> bool:
        """Return whether it was read more than once, or decided on."""
        decided = any(taking.decisions for taking in self.takings)
        return decided or len(self.takings) > 1


@dataclass(frozen=True)
class SheetItem:
    """One open item: what is left, who sees to it, by when."""

    line: str
    what: str
    who: str
    by: str


@dataclass(frozen=True)
class SheetPhoto:
    """One photo with its number on the sheet; ``sha256`` is its original's."""

    number: int
    caption: str
    taken: str
    sha256: str
    picture: Picture | None = None
    marks: tuple[Mark, ...] = ()
    file: str = ""


@dataclass(frozen=True)
class SetupSheet:
    """The setup of one machine on paper."""

    paper: str
    company: str
    address: tuple[str, ...]
    model: str
    serial: str
    facts: tuple[tuple[str, str], ...]
    release: SheetRelease
    lines: tuple[SheetLine, ...]
    items: tuple[SheetItem, ...] = ()
    photos: tuple[SheetPhoto, ...] = ()

    @property
    def machine(self) -> str:
        """Return the machine in one line."""
        return f"{self.model} · {self.serial}" if self.serial else self.model

    @property
    def in_full(self) -> tuple[SheetLine, ...]:
        """Return the lines whose readings are told one by one."""
        return tuple(line for line in self.lines if line.is_told_in_full)

    @property
    def counts(self) -> str:
        """Return how many lines there are, by their answer."""
        answers = [line.answer for line in self.lines]
        kinds = dict.fromkeys(answers)
        parts = [f"{answers.count(one)} {mid_sentence(one)}" for one in kinds]
        return f"{len(answers)} lines: {', '.join(parts)}"
