"""What the answers to a carrier have in common: their conditions and their lines."""

from datetime import date
from typing import Protocol

from claims.rules.letters.claim_letter import LetterFacts, LetterLine
from inventory.rules.reckoning.calendars import in_words


class WithDay(Protocol):
    """Choices that name the day to answer, or to pay, by."""

    @property
    def answer_by(self) -> date:
        """Return the day."""


def is_ours(facts: LetterFacts) -> str:
    """Refuse an answer on a claim that the supplier files."""
    if facts.claimant == "us":
        return ""
    return "The supplier files this claim, so the supplier answers the carrier."


def demands_something(facts: LetterFacts) -> str:
    """Refuse an answer on a claim of nothing."""
    if facts.claimed_cents > 0 and facts.lines:
        return ""
    return (
        "The claim has no amount above zero. Price the findings or adjust a line first."
    )


def is_unpaid(facts: LetterFacts) -> str:
    """Refuse an answer on a claim that was settled."""
    if facts.settled_on is None:
        return ""
    return (
        f"The claim was settled on {in_words(facts.settled_on)}. Its lines are paid, so "
        "there is nothing to answer."
    )


def has_offer(facts: LetterFacts) -> str:
    """Refuse an answer to an offer that is not recorded."""
    if facts.offered_on is not None and facts.offered_cents is not None:
        return ""
    return "No offer of the carrier is recorded. Record the offer first."


def answers_in_time(facts: LetterFacts, choices: WithDay) -> str:
    """Refuse a day to answer by that is not after the letter's own."""
    if choices.answer_by > facts.today:
        return ""
    return "The day to answer by is not after today. Choose a later day."


def open_cents(line: LetterLine) -> int:
    """Return what is still claimed of a line: its amount less what was received."""
    return max(line.amount_cents - line.paid_cents, 0)


def what(line: LetterLine) -> str:
    """Return what a line is about, with its serial where the label does not name it."""
    if line.serial and line.serial not in line.label:
        return f"{line.label}, serial {line.serial}"
    return line.label
