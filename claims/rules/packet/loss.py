"""The loss in a claim file: its lines, their arithmetic, and the way to the demand."""

from dataclasses import dataclass


@dataclass(frozen=True)
class AmountRow:
    """One part, one labor or one whole line, with its amount."""

    line: str
    text: str
    quantity: str
    unit_price: str
    amount: str


@dataclass(frozen=True)
class Step:
    """One step of arithmetic: "less salvage, sold to ...", "- 150.00".

    ``is_total`` marks a sum: it is ruled above and printed stronger.
    """

    text: str
    amount: str
    is_total: bool = False


@dataclass(frozen=True)
class Line:
    """One loss: its parts and labor, and the steps that lead to its amount."""

    number: str
    label: str
    outcome: str
    parts: tuple[AmountRow, ...]
    steps: tuple[Step, ...]
    amount: str


@dataclass(frozen=True)
class Schedule:
    """The lines, then the worksheet that leads from their sum to the demand."""

    basis: str
    lines: tuple[Line, ...]
    worksheet: tuple[Step, ...]
