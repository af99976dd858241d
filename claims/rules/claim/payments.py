"""The money received for a claim: what counts, what waits, what is still open.

A check that says "payment in full" can settle a disputed claim once it is cashed (UCC
3-311, from memory), and words such as "under protest" do not help (UCC 1-308(b), from
memory). So such a payment counts for nothing until a manager decides.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

REPAY_DAYS = 90
"""UCC 3-311(c)(2), from memory: repaid within 90 days, it need not settle the claim."""

COUNTED = "counted"
HELD = "held"
REVERSED = "reversed"

STATE_WORDS = {
    COUNTED: "Received",
    HELD: "Marked as full payment: decide",
    "return": "Returned",
    "ask": "Asked for one without the words",
    "repaid": "Repaid",
    REVERSED: "Reversed",
}

_ENDS = {"full": COUNTED, "return": "return", "ask": "ask", "repaid": "repaid"}


@dataclass(frozen=True)
class Payment:
    """One payment in cents, with the choices made on it and their days, in order.

    ``in_full`` means that it bears words such as "payment in full".
    """

    number: int
    on: date
    cents: int
    method: str
    in_full: bool = False
    is_reversed: bool = False
    choices: tuple[tuple[str, date], ...] = ()

    @property
    def state(self) -> str:
        """Return a key of ``STATE_WORDS``."""
        if self.is_reversed:
            return REVERSED
        if not self.in_full:
            return COUNTED
        ends = [_ENDS[choice] for choice, _ in self.choices if choice in _ENDS]
        return ends[-1] if ends else HELD

    @property
    def deposited_on(self) -> date | None:
        """Return the day on which a payment marked as full reached our account.

        Only a check can be held back: anything else is with us as it arrives.
        """
        if not self.in_full:
            return None
        if self.method != "check":
            return self.on
        days = [day for choice, day in self.choices if choice == "deposited"]
        return days[0] if days else None

    @property
    def repay_by(self) -> date | None:
        """Return the last day to repay one that was deposited and still waits."""
        day = self.deposited_on
        if day is None or self.state != HELD:
            return None
        return day + timedelta(days=REPAY_DAYS)

    def open_choices(self) -> tuple[str, ...]:
        """Return what a manager may decide on it now."""
        if self.state == COUNTED and not self.in_full:
            return ("part", "full")
        if self.state != HELD:
            return ()
        if self.deposited_on:
            return ("full", "repaid")
        return ("full", "return", "ask", "deposited")


@dataclass(frozen=True)
class Money:
    """A claim's money in cents. ``days_taken`` run from the carrier's receipt."""

    claimed_cents: int
    paid_cents: int
    held_cents: int
    held_count: int
    last_paid_on: date | None
    days_taken: int | None

    @property
    def balance_cents(self) -> int:
        """Return what is claimed and not paid."""
        return max(self.claimed_cents - self.paid_cents, 0)

    @property
    def percent(self) -> int | None:
        """Return the whole percent of the claim that was recovered."""
        if not self.claimed_cents:
            return None
        return 100 * self.paid_cents // self.claimed_cents


def money_of(
    claimed_cents: int, payments: Iterable[Payment], received_on: date | None
) -> Money:
    """Return the money of a claim of which the carrier proved receipt on this day."""
    rows = list(payments)
    counted = [row for row in rows if row.state == COUNTED]
    held = [row for row in rows if row.state == HELD]
    last = max((row.on for row in counted), default=None)
    return Money(
        claimed_cents=claimed_cents,
        paid_cents=sum(row.cents for row in counted),
        held_cents=sum(row.cents for row in held),
        held_count=len(held),
        last_paid_on=last,
        days_taken=(last - received_on).days if last and received_on else None,
    )


def against_payment(
    money: Money, *, cents: int, method: str, bills: str, reason: str
) -> Sequence[str]:
    """Return why a payment cannot be recorded as it was typed; empty where it can."""
    reasons = []
    if cents <= 0:
        reasons.append("A payment is more than 0.")
    if cents + money.held_cents > money.balance_cents and not reason.strip():
        reasons.append(
            "That is more than the balance of the claim. Check the amount. If the "
            "carrier did pay more, explain why."
        )
    if method == "credit" and not bills.strip():
        reasons.append("Name the freight bills that the carrier credited.")
    return reasons
