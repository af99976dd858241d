"""Pieces of the letters about a claim: days, amounts, sums and lists in words."""

from datetime import date

from claims.rules.letters.claim_letter import LetterFacts
from claims.rules.letters.notices import Letter
from inventory.rules.reckoning.money import format_cents

_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)


def letter_day(day: date) -> str:
    """Return "November 20, 2026", as letters to outsiders say it."""
    return f"{_MONTHS[day.month - 1]} {day.day}, {day.year}"


def amount(facts: LetterFacts, cents: int) -> str:
    """Return an amount of the claim with its currency: "USD 1,234.50"."""
    return format_cents(cents, facts.currency, code=True)


def figure(facts: LetterFacts, cents: int) -> str:
    """Return an amount of the claim without its currency: "1,234.50"."""
    return format_cents(cents, facts.currency)


def paid_before(facts: LetterFacts) -> int:
    """Return what was received for the lines before, in minor units."""
    return sum(line.paid_cents for line in facts.lines)


def compose(subject: str, *paragraphs: str) -> Letter:
    """Return a letter of these paragraphs; one that says nothing is left out."""
    return Letter(subject, "\n\n".join(part for part in paragraphs if part))


def about(facts: LetterFacts) -> str:
    """Return the claim as a subject line names it."""
    theirs = facts.carrier_claim_number
    yours = f", your claim number {theirs}" if theirs else ""
    return f"our claim {facts.claim_number}, freight bill (PRO) {facts.pro}{yours}"


def sentence(text: str) -> str:
    """Return what a person typed as one line that ends like a sentence."""
    line = " ".join(text.split())
    return line if line.endswith((".", "!", "?")) or not line else f"{line}."
