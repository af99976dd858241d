"""The lines of a credit memo, the deposits they may pay, and the result of each."""

import datetime as dt
from dataclasses import dataclass

AS_EXPECTED = "as-expected"
LATE = "late"
MISSING_PART = "missing-part"
PRICE = "price"
MORE = "more"
NOT_OURS = "not-ours"
TWICE = "twice"
UNMATCHED = ""

PAYS = frozenset({AS_EXPECTED, LATE, MISSING_PART, PRICE, MORE})
"""Results of lines that pay for a crate."""

SHORTER = frozenset({LATE, MISSING_PART, PRICE})
"""Results of lines that pay less than expected; each is also the cause."""


@dataclass(frozen=True)
class Line:
    """One line of a memo as the supplier wrote it. The amount is in cents."""

    position: int
    amount: int
    mark: str = ""
    type_name: str = ""
    remark: str = ""


@dataclass(frozen=True)
class Awaited:
    """One deposit that a line may pay.

    ``open_cents`` is what is still expected or disputed, ``paid_cents`` what earlier
    memos paid; ``is_shipped`` whether its crate was shipped back. ``part_prices`` are
    what single parts may cost, ``later_credits`` the credit on later days: they
    show a short line's cause.
    """

    key: int
    open_cents: int
    paid_cents: int = 0
    marks: tuple[str, ...] = ()
    types: tuple[str, ...] = ()
    by_count: bool = False
    charged_on: dt.date = dt.date.min
    oldest_first: bool = True
    is_shipped: bool = True
    return_key: int | None = None
    part_prices: tuple[int, ...] = ()
    later_credits: tuple[int, ...] = ()


@dataclass(frozen=True)
class Fate:
    """The result of one line: its deposit, the amount expected, and the difference."""

    position: int
    amount: int
    fate: str
    key: int | None = None
    expected: int | None = None
    sentence: str = ""

    @property
    def met(self) -> int:
        """Return how much of the line pays what was expected, in cents."""
        return min(self.amount, self.expected or 0) if self.fate in PAYS else 0

    @property
    def surplus(self) -> int:
        """Return how much of the line is more than expected, in cents."""
        return self.amount - self.met if self.fate in PAYS else 0

    @property
    def apart(self) -> int:
        """Return how much of the line pays for no crate and is held, in cents."""
        return 0 if self.fate in PAYS else self.amount

    @property
    def short(self) -> int:
        """Return how much of the expected amount the line leaves unpaid, in cents."""
        return (self.expected or 0) - self.met if self.fate in PAYS else 0
