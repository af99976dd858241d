"""The two letters about a packaging hold: to the carrier, and to the supplier.

The carrier is asked to inspect or to waive in writing by the last day on which the
crate still earns its whole deposit; the supplier is asked to stop its clock.
"""

from dataclasses import dataclass
from datetime import date

from claims.rules.letters.content import LetterContent
from claims.rules.packet.content import Paper, Party, Row
from inventory.rules.reckoning.calendars import in_words


@dataclass(frozen=True)
class HoldFacts:
    """What the letters may say. Amounts are text as it is printed, or empty.

    ``last_full_on`` is the last pick-up for full credit, None where it is not known.
    """

    on: date
    sender: Party
    carrier: Party
    supplier: Party
    crate: str
    is_reusable: bool
    pro: str
    bol: str
    delivered_on: date | None
    held_on: date
    findings: tuple[str, ...]
    photo_count: int
    invoice: str = ""
    deposit: str = ""
    last_full_on: date | None = None
    loss_per_day: str = ""
    written_by: str = ""
    paper: Paper = "letter"


def carrier_letter(facts: HoldFacts) -> LetterContent:
    """Return the letter that asks the carrier to inspect or waive, and by when."""
    return _letter(
        facts,
        facts.carrier,
        f"Please inspect or waive in writing: {facts.crate}, PRO {facts.pro}",
        _arrived(facts),
        _listed(facts),
        f"Since {in_words(facts.held_on)} the crate, its blocking, wrapping and labels "
        f"are kept as they were found.{_lent(facts)}",
        _by_when(facts),
        "Please name the day on which you inspect, or confirm in writing that you "
        "waive inspection. If we hear nothing by then, we shall photograph all faces, "
        "the inside, the blocking and the labels, keep the struck parts for you, and "
        f"let the crate go.{_loss(facts)}",
        _photos(facts),
    )


def supplier_letter(facts: HoldFacts) -> LetterContent:
    """Return the letter that asks the supplier to stop the clock of the deposit."""
    return _letter(
        facts,
        facts.supplier,
        f"Please stop the clock: {facts.crate}, PRO {facts.pro}",
        _arrived(facts),
        _listed(facts),
        "The carrier may inspect the damage, and until it has inspected or waived in "
        "writing the packaging has to stay as it was found. We hold the crate since "
        f"{in_words(facts.held_on)} and cannot send it back before it is released.",
        _stake(facts),
        "Please do not count the days of this hold against the deposit, and confirm "
        "it in writing. We shall tell you on the day on which the crate is released.",
    )


def _letter(
    facts: HoldFacts, addressee: Party, subject: str, *paragraphs: str
) -> LetterContent:
    return LetterContent(
        sender=facts.sender,
        addressee=addressee,
        date=in_words(facts.on),
        references=(
            Row("Crate", facts.crate),
            Row("Freight bill (PRO)", facts.pro),
            Row("Bill of lading", facts.bol),
            Row("Invoice of the deposit", facts.invoice),
        ),
        subject=subject,
        paragraphs=tuple(text for text in paragraphs if text),
        signed_by=facts.written_by,
        paper=facts.paper,
    )


def _arrived(facts: HoldFacts) -> str:
    when = f" on {in_words(facts.delivered_on)}" if facts.delivered_on else ""
    return f"This crate was delivered to us{when} with damage from the carriage:"


def _listed(facts: HoldFacts) -> str:
    if not facts.findings:
        return "The damage is described in our notice."
    return "\n".join(f"> {line}" for line in facts.findings)


def _lent(facts: HoldFacts) -> str:
    if not facts.is_reusable:
        return ""
    return (
        " The crate itself belongs to the supplier and is out on deposit, so it cannot "
        "stand here for long."
    )


def _by_when(facts: HoldFacts) -> str:
    if facts.last_full_on is None:
        return "We ask for your answer within five business days of this letter."
    day = in_words(facts.last_full_on)
    if facts.last_full_on < facts.on:
        words = (
            f"To earn its whole deposit the crate should have left by {day}. We ask "
            "for your answer at once."
        )
    else:
        words = (
            f"To earn its whole deposit it has to leave here by {day}. We ask you to "
            "inspect or waive by that day."
        )
    if facts.loss_per_day:
        words += f" A day later it earns {facts.loss_per_day} less."
    return words


def _loss(facts: HoldFacts) -> str:
    if not facts.is_reusable:
        return ""
    return (
        " Credit that is lost while it waits for you will be put to you as a loss of "
        "its own."
    )


def _stake(facts: HoldFacts) -> str:
    deposit = f"The deposit is {facts.deposit}. " if facts.deposit else ""
    if facts.last_full_on is None:
        return deposit.strip()
    day = in_words(facts.last_full_on)
    return f"{deposit}By your terms its last day for full credit is {day}."


def _photos(facts: HoldFacts) -> str:
    if not facts.photo_count:
        return ""
    if facts.photo_count == 1:
        return "We hold one photo and send it on request."
    return f"We hold {facts.photo_count} photos and send them on request."
