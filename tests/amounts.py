"""Amounts as the tests write them."""

from inventory.rules.reckoning.money import Money


def usd(cents):
    """Return so many cents of US dollars."""
    return Money(cents, "USD")
