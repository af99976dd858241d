"""What the answers to a carrier have in common: conditions, choices, lines."""

from datetime import date
from typing import Protocol

from claims.rules.letters.claim_letter import LetterFacts, LetterLine, Need
from claims.rules.letters.claim_letter_needs import (
    has_amount,
    is_for_carrier,
    is_live,
    is_ours,
)

TO_CARRIER: tuple[Need, ...] = (is_ours, is_live, is_for_carrier, has_amount)


class WithDay(Protocol):
    """Choices that name the day to answer, or to pay, by."""

    @property
    def answer_by(self) -> date:
        """Return the day."""


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
