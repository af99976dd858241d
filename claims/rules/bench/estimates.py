"""The cost of a repair: parts and labor, in cents, with the steps."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class PricedPart:
    """A part of the repair; no price yet is None, never zero."""

    description: str
    quantity: int
    price_cents: int | None


@dataclass(frozen=True)
class Estimate:
    """Totals in cents; ``missing`` names what has no price."""

    parts_cents: int
    labor_cents: int
    total_cents: int
    missing: tuple[str, ...]

    @property
    def is_complete(self) -> bool:
        """Return whether every part and every hour has a price."""
        return not self.missing


def labor_cents(*, minutes: int, rate_cents: int) -> int:
    """Return the price of this time at this rate an hour, half a cent rounded up.

    Raise ValueError for negative time or rate.
    """
    if minutes < 0 or rate_cents < 0:
        raise ValueError("Time and rate cannot be negative.")
    whole, rest = divmod(minutes * rate_cents, 60)
    return whole + (1 if rest * 2 >= 60 else 0)


def parts_cents(parts: Iterable[PricedPart]) -> int:
    """Return the price of these parts; one without a price counts as zero."""
    return sum(part.quantity * (part.price_cents or 0) for part in parts)


def estimate_repair(
    *, parts: Sequence[PricedPart], minutes: int, rate_cents: int | None
) -> Estimate:
    """Add up a repair. A part without a price is missing, and counts as zero."""
    missing = [part.description for part in parts if part.price_cents is None]
    if minutes and rate_cents is None:
        missing.append("the hourly rate")
    parts_total = parts_cents(parts)
    labor = labor_cents(minutes=minutes, rate_cents=rate_cents or 0)
    return Estimate(
        parts_cents=parts_total,
        labor_cents=labor,
        total_cents=parts_total + labor,
        missing=tuple(missing),
    )
