"""The amount of a claim as a ladder: claimed, paid, offered, and what an offer is short."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Part:
    """One part of the bar: its name, its cents, and its whole percent of the claim."""

    name: str
    cents: int
    percent: int
    start: int


@dataclass(frozen=True)
class Ladder:
    """Amounts in cents. ``offered_cents`` is what is on the table beyond what was paid."""

    claimed_cents: int
    paid_cents: int
    offered_cents: int

    @property
    def balance_cents(self) -> int:
        """Return what is claimed and not paid."""
        return max(self.claimed_cents - self.paid_cents, 0)

    @property
    def short_cents(self) -> int:
        """Return what the offer, or the payments, leave open."""
        return max(self.balance_cents - self.offered_cents, 0)

    @property
    def parts(self) -> list[Part]:
        """Return the parts of the bar from the left, without empty ones.

        The percents are whole and add up to 100: the last part takes what is left.
        """
        whole = max(self.claimed_cents, self.paid_cents)
        offered = min(self.offered_cents, self.balance_cents)
        named = {"Paid": self.paid_cents, "Offered": offered, "Short": self.short_cents}
        filled = [(name, cents) for name, cents in named.items() if cents]
        parts: list[Part] = []
        start = 0
        for at, (name, cents) in enumerate(filled, start=1):
            share = (200 * cents + whole) // (2 * whole)
            percent = 100 - start if at == len(filled) else min(share, 100 - start)
            parts.append(Part(name, cents, percent, start))
            start += percent
        return parts
