"""The mail to the carrier's terminal about a receipt not signed with our exceptions.

It is sent within the hour, while the driver and the terminal remember the stop.
The hour is our own choice, common practice, no source.
"""

from dataclasses import dataclass
from datetime import timedelta

from claims.rules.receiving.receipt_lines import join_words
from inventory.rules.core.text import mid_sentence
from inventory.rules.mail.texts import MailText

WITHIN = timedelta(hours=1)


@dataclass(frozen=True)
class MailBill:
    """One bill's receipt: its exceptions as frozen, how it ended and when."""

    pro: str
    words: str
    ending: str
    ended_at: str


@dataclass(frozen=True)
class MailFacts:
    """The facts that the mail states. ``photos`` are the names of what is attached."""

    to: str
    carrier: str
    arrived: str
    driver: str
    trailer: str
    sender: str
    sender_lines: tuple[str, ...]
    written_by: str
    bills: tuple[MailBill, ...]
    photos: tuple[str, ...] = ()
    not_attached: int = 0


def compose_mail(facts: MailFacts) -> MailText:
    """Return the mail: the facts, the exceptions in full, how each receipt ended."""
    pros = join_words([bill.pro for bill in facts.bills])
    trailer = f", trailer {facts.trailer}" if facts.trailer else ""
    driver = f", driver {facts.driver}" if facts.driver else ""
    parts = [
        f"To the terminal of {facts.carrier}:",
        f"This truck was at our dock on {facts.arrived}{trailer}{driver}.",
        *(_bill(bill) for bill in facts.bills),
        (
            "We noted these exceptions at delivery. Please add them to your delivery "
            "record and your proof of delivery, keep the driver's device record of this "
            "stop, and confirm by reply."
        ),
        _photos(facts),
        "\n".join([facts.written_by, facts.sender, *facts.sender_lines]),
    ]
    return MailText(
        facts.to,
        f"Exceptions at delivery, PRO {pros}",
        "\n\n".join(part for part in parts if part),
    )


def _bill(bill: MailBill) -> str:
    head = f"PRO {bill.pro}: {mid_sentence(bill.ending)}, {bill.ended_at}."
    return f"{head}\n{bill.words}"


def _photos(facts: MailFacts) -> str:
    said = f"Photos attached: {', '.join(facts.photos)}." if facts.photos else ""
    if facts.not_attached:
        more = "photo" if facts.not_attached == 1 else "photos"
        said += f" We have {facts.not_attached} {more} more and send them on request."
    return said.strip()
