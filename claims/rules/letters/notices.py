"""What a notice is made of: its facts, its text, and who signs it.

The words of each kind are in ``notice_words``.
"""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class NoticeFinding:
    """One finding as a letter names it; ``seen_on`` is the day of the inspection."""

    number: int
    what: str
    facts: str
    seen_on: date | None = None


@dataclass(frozen=True)
class NoticeFacts:
    """The facts that a letter may state. Empty text and None mean: not known.

    ``words`` are the exceptions written on the receipt; ``counted`` and
    ``billed`` are in ``piece_unit``; ``ending`` is how the receipt ended.
    ``delivery_terms`` are as the order has them ("FOB origin"); ``supplier_files``
    means that the supplier's own terms have it file on freight that it prepays.
    """

    on: date
    addressee: str
    addressee_lines: tuple[str, ...]
    sender: str
    sender_lines: tuple[str, ...]
    written_by: str
    carrier: str
    pro: str
    bol: str = ""
    bol_on: date | None = None
    supplier: str = ""
    origin: str = ""
    delivered_on: date | None = None
    refused: bool = False
    words: str = ""
    counted: int | None = None
    billed: int | None = None
    piece_unit: str = "piece"
    findings: tuple[NoticeFinding, ...] = ()
    photo_count: int = 0
    supplier_files: bool = False
    refused_crates: tuple[str, ...] = ()
    ending: str = ""
    title: str = ""
    delivery_terms: str = ""


@dataclass(frozen=True)
class Letter:
    """The subject line and the body of a notice."""

    subject: str
    body: str

    @property
    def text(self) -> str:
        """Return the letter as stored: subject, an empty line, body."""
        return f"{self.subject}\n\n{self.body}"


def signature(name: str, title: str, sender: str) -> str:
    """Return the lines that a notice's text ends with: who signs it, for whom."""
    return "\n".join(part for part in (name, title, sender) if part)


@dataclass(frozen=True)
class Signed:
    """A notice's text without its last lines, and who signs it."""

    paragraphs: tuple[str, ...]
    name: str
    title: str


def signed_text(body: str, *, name: str, title: str, sender: str) -> Signed:
    """Take the signature off a notice's text, so that the letter has it once.

    The manager may have put another person's name there: it is theirs then. Text
    without one is signed by ``name`` with ``title``.
    """
    paragraphs = tuple(part for part in body.split("\n\n") if part.strip())
    lines = paragraphs[-1].strip().splitlines() if paragraphs else []
    is_signature = 2 <= len(lines) <= 4 and sender in lines[-1:]
    if not is_signature and lines[:1] != [name]:
        return Signed(paragraphs, name, title)
    own = [line for line in lines if line != sender]
    others = ", ".join(own[1:]) or (title if own[:1] == [name] else "")
    return Signed(paragraphs[:-1], own[0] if own else name, others)
