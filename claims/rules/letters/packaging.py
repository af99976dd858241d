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
    """The facts that the letters may state. Amounts are text as printed, or empty.

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
    title: str = ""
    paper: Paper = "letter"


def carrier_letter(facts: HoldFacts) -> LetterContent:
    """Return the letter that asks the carrier to inspect or waive, and by when."""
    return _letter(
        facts,
        facts.carrier,
        f"Please inspect or waive in writing: {facts.crate}, PRO {facts.pro}",
        _arrived(facts),
        _listed(facts),
        f"Since {in_words(facts.held_on)} we have held the crate, its blocking, "
        f"wrapping and labels as found.{_lent(facts)}",
        _by_when(facts),
        "Please tell us the day on which you will inspect, or confirm in writing "
        "that you waive inspection. If we do not hear from you by then, we will "
        "photograph all sides, the inside, the blocking and the labels, keep the "
        f"damaged parts for you, and release the crate.{_loss(facts)}",
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
        "The carrier may inspect the damage. Until it has inspected or waived "
        "inspection in writing, the packaging must stay as found. We have held the "
        f"crate since {in_words(facts.held_on)} and cannot send it back before it is "
        "released.",
        _stake(facts),
        "Please do not count the days of this hold against the deposit, and confirm "
        "that in writing. We will notify you on the day the crate is released.",
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
            Row("Invoice for the deposit", facts.invoice),
        ),
        subject=subject,
        paragraphs=tuple(text for text in paragraphs if text),
        signed_by=facts.written_by,
        signed_as=facts.title,
        paper=facts.paper,
        dated_on=facts.on.isoformat(),
    )


def _arrived(facts: HoldFacts) -> str:
    when = f" on {in_words(facts.delivered_on)}" if facts.delivered_on else ""
    return f"This crate was delivered to us{when} with transit damage:"


def _listed(facts: HoldFacts) -> str:
    if not facts.findings:
        return "The damage is described in our notice."
    return "\n".join(f"> {line}" for line in facts.findings)


def _lent(facts: HoldFacts) -> str:
    if not facts.is_reusable:
        return ""
    return (
        " The crate itself belongs to the supplier and is on deposit, so it cannot "
        "stay here for long."
    )


def _by_when(facts: HoldFacts) -> str:
    if facts.last_full_on is None:
        return "Please answer within five business days of this letter."
    day = in_words(facts.last_full_on)
    if facts.last_full_on < facts.on:
        words = (
            f"To earn its whole deposit, the crate should have left by {day}. Please "
            "answer at once."
        )
    else:
        words = (
            f"To earn its whole deposit, the crate must leave here by {day}. Please "
            "inspect or waive by that day."
        )
    if facts.loss_per_day:
        words += f" A day later it earns {facts.loss_per_day} less."
    return words


def _loss(facts: HoldFacts) -> str:
    if not facts.is_reusable:
        return ""
    return (
        " We will claim from you any credit lost while the crate waits for your "
        "inspection."
    )


def _stake(facts: HoldFacts) -> str:
    deposit = f"The deposit is {facts.deposit}. " if facts.deposit else ""
    if facts.last_full_on is None:
        return deposit.strip()
    day = in_words(facts.last_full_on)
    return f"{deposit}Under your terms its last day for full credit is {day}."


def _photos(facts: HoldFacts) -> str:
    if not facts.photo_count:
        return ""
    if facts.photo_count == 1:
        return "We have one photo and will send it on request."
    return f"We have {facts.photo_count} photos and will send them on request."
