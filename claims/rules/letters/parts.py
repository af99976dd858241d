"""Pieces of the letters about a claim: amounts, and sentences as they are typed."""

from claims.rules.letters.claim_letter import LetterFacts
from claims.rules.letters.notices import Letter
from inventory.rules.reckoning.money import format_cents


def amount(facts: LetterFacts, cents: int) -> str:
    """Return an amount of the claim with its currency: "USD 1,234.50"."""
    return format_cents(cents, facts.currency, code=True)


def figure(facts: LetterFacts, cents: int) -> str:
    """Return an amount of the claim without its currency: "1,234.50"."""
    return format_cents(cents, facts.currency)


def compose(subject: str, *paragraphs: str) -> Letter:
    """Return a letter of these paragraphs; one that says nothing is left out."""
    return Letter(subject, "\n\n".join(part for part in paragraphs if part))


def sentence(text: str) -> str:
    """Return what a person typed as one line that ends like a sentence."""
    line = " ".join(text.split())
    return line if line.endswith((".", "!", "?")) or not line else f"{line}."
