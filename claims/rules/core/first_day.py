"""The first day of a company: what comes first, why, and what it costs."""

from collections.abc import Mapping
from dataclasses import dataclass

from inventory.rules.crates.words import ACCOUNT_CLASSES, ACCOUNTS

TEST_KIND = "delivery.test"
"""The event of a truck that is only for practice; it is taken back afterwards."""

TEST_OVER = "Test truck, for practice only."

TEST_STAYS_HERE = (
    "This is a test truck: nothing goes out about it, and nothing is claimed. Nothing "
    "was saved. Take the test truck back once you have tried it."
)


@dataclass(frozen=True)
class Board:
    """One of the six boards of the crate: a step of the first day.

    ``fields`` and ``taps`` are the most that one pass through it takes.
    """

    key: str
    name: str
    why: str
    fields: int
    taps: int

    @property
    def cost(self) -> str:
        """Return "3 fields, 4 taps"."""
        fields = f"{self.fields} field{'' if self.fields == 1 else 's'}"
        return f"{fields}, {self.taps} tap{'' if self.taps == 1 else 's'}"


LOCATION, PEOPLE, SUPPLIERS = "location", "people", "suppliers"
CARRIERS, ACCOUNTS_BOARD, TRUCK = "carriers", "accounts", "truck"

BOARDS = (
    Board(
        LOCATION,
        "Location",
        "deadlines skip its holidays, and every time is shown by its clock.",
        fields=5,
        taps=8,
    ),
    Board(
        PEOPLE,
        "People",
        "each person sees the desk of their role, and signs with their own name.",
        fields=4,
        taps=5,
    ),
    Board(
        SUPPLIERS,
        "Suppliers, crates",
        "crates are counted by supplier, and each deposit has a last day for full "
        "credit. One supplier is enough to begin.",
        fields=5,
        taps=6,
    ),
    Board(
        CARRIERS,
        "Carriers",
        "a claim goes to the carrier, at its address for claims. One carrier is enough "
        "to begin.",
        fields=3,
        taps=4,
    ),
    Board(
        ACCOUNTS_BOARD,
        "Accounts",
        "deposits post to accounts with your own numbers. Ours are filled in.",
        fields=0,
        taps=1,
    ),
    Board(
        TRUCK,
        "Test truck",
        "your clerk signs one truck before a real driver waits. One tap takes it back.",
        fields=2,
        taps=12,
    ),
)
"""The boards in their order (our own; common practice, no source)."""

_FIRST_NUMBER: Mapping[str, int] = {
    "Assets": 1310,
    "Liabilities": 2310,
    "Equity": 3310,
    "Income": 4310,
    "Expenses": 6310,
}
_ELSE = 9310


def usual_numbers() -> dict[str, str]:
    """Return a number for each kind of account, tens apart within its class.

    Common practice, no source: assets in the 1000s, liabilities in the 2000s, equity
    in the 3000s, income in the 4000s, expenses in the 6000s.
    """
    given: dict[str, int] = {}
    numbers = {}
    for kind in ACCOUNTS:
        first = _FIRST_NUMBER.get(ACCOUNT_CLASSES[kind], _ELSE)
        numbers[kind] = str(given.get(ACCOUNT_CLASSES[kind], first))
        given[ACCOUNT_CLASSES[kind]] = int(numbers[kind]) + 10
    return numbers
