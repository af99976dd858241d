"""What the acts on a claim ask about it, each as one condition.

A condition returns the empty text where it is met, else the sentence against the act.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from claims.rules.core.days import against_before, against_day


@dataclass(frozen=True)
class ClaimFacts:
    """The facts that the acts need about a claim.

    ``on`` is the day the act says of itself, ``today`` the location's own day;
    ``unanswered`` the numbers of findings marked as handling here that the
    manager has not answered. ``missing_papers`` counts the documents still missing,
    ``held_payments`` the payments marked as full that wait for a decision,
    ``letter_due`` which letter about the claim is due. ``not_filed`` says why a claim
    that went out is filed with no carrier, ``is_bankrupt`` that its carrier is, and
    ``is_suppliers`` that the supplier is the claimant.
    """

    today: date
    on: date | None = None
    amount_cents: int = 0
    line_count: int = 0
    unanswered: tuple[int, ...] = ()
    not_filed: str = ""
    is_bankrupt: bool = False
    identified: bool = True
    line_was_sent: bool = False
    made_on: date | None = None
    sent_on: date | None = None
    received_on: date | None = None
    disallowed_on: date | None = None
    reason: str = ""
    proof: str = ""
    missing_papers: int = 0
    paid_cents: int = 0
    held_payments: int = 0
    is_inspection_asked: bool = False
    agreed_cents: int = 0
    letter_due: str = ""
    is_suppliers: bool = False


Need = Callable[[ClaimFacts], str]


def needs_lines(facts: ClaimFacts) -> str:
    """Ask for at least one line."""
    if facts.line_count:
        return ""
    return "The claim has no lines. Add a finding first."


def needs_amount(facts: ClaimFacts) -> str:
    """Ask for an amount, as 49 CFR 370.3(b) does."""
    if facts.amount_cents > 0:
        return ""
    return (
        "The claim has no amount. A claim must ask for a specified or determinable "
        "amount of money (49 CFR 370.3(b)). Price the findings or adjust a line "
        "first."
    )


def needs_identity(facts: ClaimFacts) -> str:
    """Ask for a number that identifies the shipment."""
    if facts.identified:
        return ""
    return (
        "The PRO and the bill of lading number are both missing. Complete the "
        "paperwork first."
    )


def needs_filing(facts: ClaimFacts) -> str:
    """Ask for an addressee that carries: only its proof of delivery counts."""
    return facts.not_filed


def needs_no_filing(facts: ClaimFacts) -> str:
    """Ask that the claim is filed with no carrier yet."""
    if facts.not_filed:
        return ""
    return "A carrier of this freight bill has the claim already."


def needs_bankruptcy(facts: ClaimFacts) -> str:
    """Ask that the carrier's bankruptcy is on record."""
    if facts.is_bankrupt:
        return ""
    return "No bankruptcy of this carrier is recorded. Record it on the carrier's page."


def carrier_first(facts: ClaimFacts) -> str:
    """Return the next step while no carrier has the claim."""
    return "Send the claim to the carrier of record" if facts.not_filed else ""


def needs_answers(facts: ClaimFacts) -> str:
    """Ask for the manager's answer to what is marked as our handling."""
    if not facts.unanswered:
        return ""
    numbers = ", ".join(str(number) for number in facts.unanswered)
    return (
        f"Finding {numbers} is marked as our handling. Answer it with a reason first."
    )


def needs_reason(facts: ClaimFacts) -> str:
    """Ask for a reason."""
    return "" if facts.reason.strip() else "Enter a short reason."


def needs_day(facts: ClaimFacts) -> str:
    """Ask for a day up to today."""
    return against_day(facts.on, facts.today)


def needs_proof(facts: ClaimFacts) -> str:
    """Ask who signed or wrote."""
    if facts.proof.strip():
        return ""
    return "Enter the proof: who signed, or what reply was received."


def not_before_making(facts: ClaimFacts) -> str:
    """Ask for a day on or after the making."""
    return against_before(facts.on, facts.made_on, "the claim was made")


def not_before_sending(facts: ClaimFacts) -> str:
    """Ask for a day on or after the sending."""
    return against_before(facts.on, facts.sent_on, "the claim was sent")


def not_before_receipt(facts: ClaimFacts) -> str:
    """Ask for a day on or after the receipt."""
    return against_before(facts.on, facts.received_on, "the carrier received the claim")


def needs_unsent_line(facts: ClaimFacts) -> str:
    """Ask for a line that is not with the carrier yet."""
    if not facts.line_was_sent:
        return ""
    return (
        "This line is already with the carrier and cannot change. To claim more, "
        "add a supplement; for less, record the settlement."
    )


def documents_first(facts: ClaimFacts) -> str:
    """Return the next step while documents are missing."""
    count = facts.missing_papers
    if not count:
        return ""
    noun = "document" if count == 1 else "documents"
    return f"Get {count} missing {noun}, then send the claim"


def hand_over_first(facts: ClaimFacts) -> str:
    """Return the next step of a claim that is the supplier's to file."""
    return "Hand the claim to the supplier, with its file" if facts.is_suppliers else ""


def is_suppliers(facts: ClaimFacts) -> str:
    """Ask that the claim is the supplier's to file."""
    if facts.is_suppliers:
        return ""
    return (
        "On this freight bill the claim is ours, so it is not handed over. If the "
        "delivery terms say otherwise, complete the paperwork and make the claim anew."
    )


def needs_asked(facts: ClaimFacts) -> str:
    """Ask for a request for inspection."""
    if facts.is_inspection_asked:
        return ""
    return "No inspection was asked for on this claim. Record the request first."


def needs_payment(facts: ClaimFacts) -> str:
    """Ask for money that counts."""
    if facts.paid_cents > 0:
        return ""
    return (
        "No payment is recorded. Record it first. If the carrier pays nothing and you "
        "give up, close the claim as not pursued."
    )


def needs_reason_for_less(facts: ClaimFacts) -> str:
    """Ask for a reason where less was paid than claimed."""
    if facts.paid_cents >= facts.amount_cents or facts.reason.strip():
        return ""
    return "Less was paid than claimed. Enter why the claim closes all the same."


def needs_decision(facts: ClaimFacts) -> str:
    """Ask for a decision on every payment marked as full."""
    count = facts.held_payments
    if not count:
        return ""
    what = "A payment" if count == 1 else f"{count} payments"
    return f"{what} marked as full payment must be decided first."


def not_paid(facts: ClaimFacts) -> str:
    """Ask that nothing was paid."""
    if facts.paid_cents <= 0:
        return ""
    return (
        "The carrier has paid on this claim, so it cannot be withdrawn. Close it as "
        "settled, or as not pursued."
    )


def decide_first(facts: ClaimFacts) -> str:
    """Return the next step while a payment waits."""
    return "Decide on the payment marked as full" if facts.held_payments else ""


def close_paid(facts: ClaimFacts) -> str:
    """Return the next step once all was paid."""
    if 0 < facts.amount_cents <= facts.paid_cents:
        return "Paid in full. Close the claim as settled"
    return ""


def close_as_agreed(facts: ClaimFacts) -> str:
    """Return the next step once what was agreed has been paid."""
    if 0 < facts.agreed_cents <= facts.paid_cents:
        return "Paid as agreed. Close the claim as settled"
    return ""


def letter_first(facts: ClaimFacts) -> str:
    """Return the next step while a letter is due."""
    return facts.letter_due


GOES_OUT = (
    needs_lines,
    needs_amount,
    needs_identity,
    needs_answers,
    needs_day,
    not_before_making,
)
"""What a claim needs before it goes out."""
