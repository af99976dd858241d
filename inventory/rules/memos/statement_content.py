"""The content of our statement of one supplier's deposits, as printed."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class OpenDeposit:
    """One deposit still open: text cells, the amount already formatted."""

    crate: str
    invoice: str
    charged_on: str
    stands: str
    amount: str


@dataclass(frozen=True)
class Movement:
    """One entry's effect on what is open: more, or less, and the balance after it."""

    day: str
    what: str
    more: str
    less: str
    balance: str


@dataclass(frozen=True)
class StatementContent:
    """Our statement to one supplier, from one day to another, in one currency.

    ``balances`` are label and amount, the last one the sum that is open.
    """

    location: str
    location_lines: tuple[str, ...]
    supplier: str
    supplier_lines: tuple[str, ...]
    first: str
    last: str
    opening: str
    closing: str
    balances: tuple[tuple[str, str], ...]
    deposits: tuple[OpenDeposit, ...]
    movements: tuple[Movement, ...]
    currency: str
    paper: Literal["letter", "a4"] = "letter"
