"""A letter about a claim as it is printed, mailed and confirmed."""

import hashlib
from dataclasses import dataclass
from typing import Any

from claims.rules.letters.claim_letter import LetterFacts, LetterKind
from claims.rules.letters.content import LetterContent
from claims.rules.letters.tables import spelled_out
from claims.rules.packet.content import Paper, Party, Row
from inventory.rules.core import frozen
from inventory.rules.reckoning.calendars import in_full

_LONGEST_LINK = 1800
"""The longest address that mail programs and browsers take. From memory."""

FOR_THE_FILE = Party("The claim file")
"""Who a statement is for that nobody is sent: it goes out with the claim."""


@dataclass(frozen=True)
class WrittenLetter:
    """A letter as it would be confirmed now. ``choices`` are frozen JSON."""

    kind: str
    number: int
    choices: str
    content: LetterContent

    @property
    def digest(self) -> str:
        """Return the SHA-256 of all that a person confirms."""
        return hashlib.sha256(frozen.to_json(self).encode()).hexdigest()


def write_letter(
    kind: LetterKind[Any],
    facts: LetterFacts,
    choices: object,
    *,
    number: int,
    paper: Paper,
) -> WrittenLetter:
    """Return the letter of this kind. ``facts`` must have nothing against it."""
    letter = kind.write(facts, choices)
    content = LetterContent(
        sender=(kind.is_theirs and facts.supplier) or facts.sender,
        addressee=addressee_of(kind, facts),
        date=in_full(facts.today),
        references=_references(kind, facts),
        subject=letter.subject,
        paragraphs=tuple(
            part.strip() for part in letter.body.split("\n\n") if part.strip()
        ),
        signed_by="" if kind.is_theirs else facts.signer,
        signed_as=_signed_as(kind, facts),
        enclosures=(facts.claim_file,) if kind.encloses_claim else (),
        paper=paper,
        dated_on=facts.today.isoformat(),
    )
    return WrittenLetter(kind.key, number, frozen.to_json(choices), content)


def addressee_of(kind: LetterKind[Any], facts: LetterFacts) -> Party:
    """Return who gets a letter of this kind. Raise ValueError without a supplier."""
    if kind.to == "ourselves":
        return facts.sender if kind.is_theirs else FOR_THE_FILE
    if kind.to == "carrier":
        return facts.carrier
    if facts.supplier is None:
        raise ValueError(kind.key)
    return facts.supplier


def _signed_as(kind: LetterKind[Any], facts: LetterFacts) -> str:
    if kind.is_theirs:
        return "Name, title, date"
    return "\n".join(part for part in (facts.signer_title, facts.signer_phone) if part)


def _references(kind: LetterKind[Any], facts: LetterFacts) -> tuple[Row, ...]:
    theirs = "Your claim number" if kind.to == "carrier" else "Carrier's claim number"
    dated = f" of {in_full(facts.bol_on)}" if facts.bol and facts.bol_on else ""
    return (
        Row(theirs, facts.carrier_claim_number),
        Row("Freight bill (PRO)", facts.pro),
        Row("Bill of lading", f"{facts.bol}{dated}"),
    )


def mail_text(content: LetterContent) -> str:
    """Return the words of the letter as a mail: the same ones, without the letterhead."""
    rows = [f"{row.label}: {row.value}" for row in content.references if row.value]
    signed = (content.signed_by, content.signed_as, content.sender.name)
    enclosed = [f"Enclosed: {line}" for line in content.enclosures]
    parts = (
        "\n".join(rows),
        *map(spelled_out, content.paragraphs),
        "\n".join(part for part in signed if part),
        "\n".join(enclosed),
    )
    return "\n\n".join(part for part in parts if part)


def mail_address(addressee: Party) -> str:
    """Return the addressee's email, or nothing where none is on record."""
    return next((line for line in addressee.lines if "@" in line), "")


def fits_link(address: str) -> bool:
    """Return whether a mail program takes this link."""
    return len(address) <= _LONGEST_LINK


def cite_for(kind: LetterKind[Any], facts: LetterFacts) -> str:
    """Return where the rule stands; no federal rule of the US for other carriage."""
    is_federal = kind.cite.startswith("49 ")
    return "" if is_federal and not facts.regime.startswith("us-") else kind.cite
