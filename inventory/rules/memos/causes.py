"""Why a memo line pays less: the supplier's remark first, then the figures."""

from inventory.rules.memos.types import LATE, MISSING_PART, PRICE, Awaited, Line
from inventory.rules.reckoning.money import format_cents

_LATE_WORDS = ("late", "overdue", "past due", "days out", "expired")
_PART_WORDS = (
    "missing",
    "damage",
    "broken",
    "part",
    "panel",
    "bracket",
    "hardware",
    "lid",
    "repair",
)
_MOST_PIECES = 9


def cause_of(line: Line, row: Awaited, currency: str = "USD") -> tuple[str, str]:
    """Return why a line pays less (late, missing-part or price) and the evidence for it."""
    said = line.remark.casefold()
    if any(word in said for word in _LATE_WORDS):
        return LATE, "the supplier's remark says it was late"
    if any(word in said for word in _PART_WORDS):
        return MISSING_PART, "the supplier's remark names parts"
    if line.amount in row.later_credits:
        return LATE, "it equals the credit of a later day"
    gap = row.open_cents - line.amount
    for price in sorted(set(row.part_prices) - {0}, reverse=True):
        pieces, rest = divmod(gap, price)
        if not rest and pieces <= _MOST_PIECES:
            return MISSING_PART, (
                f"it equals the price of {pieces} part{('' if pieces == 1 else 's')} "
                f"at {format_cents(price, currency)}"
            )
    return PRICE, "the supplier used another price"
