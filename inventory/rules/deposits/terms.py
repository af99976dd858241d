"""A supplier's deposit terms for crates, and the facts of one crate.

Every number here comes from the supplier's own crate terms, never from law. One
flag, ``includes_last_day``, decides every day limit alike: where it is False, "to
day 90" ends with day 89 and "after day 120" begins with day 120.
"""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from inventory.rules.reckoning.money import Money

Starts = Literal["invoice", "shipment", "receipt"]
Stops = Literal["pick-up", "bill-date", "receipt"]
Decline = Literal["none", "steps", "straight"]
Payer = Literal["us", "supplier"]
Problem = Literal["missing", "damaged"]

STARTS: tuple[Starts, ...] = ("invoice", "shipment", "receipt")
STOPS: tuple[Stops, ...] = ("pick-up", "bill-date", "receipt")
DECLINES: tuple[Decline, ...] = ("none", "steps", "straight")
PAYERS: tuple[Payer, ...] = ("us", "supplier")
PART_PROBLEMS: tuple[Problem, ...] = ("missing", "damaged")

MOST_DAYS = 36_500
"""The longest count of days allowed; a hundred years means no end."""

_HUNDRED = Decimal(100)


class DepositError(ValueError):
    """A credit cannot be calculated; the message can be shown."""


@dataclass(frozen=True, slots=True)
class Terms:
    """A supplier's crate terms, as they were when the crate was charged.

    ``clock_starts`` names the day that is day 0: the invoice's, the supplier's
    shipment's, or our receipt's. ``clock_stops`` names the day up to which days are
    counted: the pick-up, the date of the bill of lading, or the supplier's receipt,
    expected ``transit_days`` plus ``unloading_days`` calendar days after pick-up.

    Credit is full to day ``full_days``. After it, by ``decline``: "none", nothing;
    "steps", each (after day, percent of the deposit) until the next, the first
    after ``full_days``, nothing after ``ends_day`` (None: the last step remains);
    "straight", in equal parts a day from the last full day to nothing on
    ``ends_day``. ``ceiling`` caps deductions at a percent of the deposit.
    A credit memo is due ``memo_days`` after the supplier's receipt (None: not stated).
    Raise DepositError where the terms contradict themselves.
    """

    clock_starts: Starts
    clock_stops: Stops
    full_days: int
    includes_last_day: bool = True
    decline: Decline = "none"
    steps: tuple[tuple[int, Decimal], ...] = ()
    ends_day: int | None = None
    ceiling: Decimal | None = None
    return_freight: Payer = "us"
    minimum_per_pickup: int = 0
    needs_authorization: bool = False
    needs_appointment: bool = False
    transit_days: int = 0
    unloading_days: int = 0
    oldest_first: bool = True
    memo_days: int | None = None

    def __post_init__(self) -> None:
        """Raise DepositError for terms that no supplier can mean."""
        _check_words(self)
        _check_counts(self)
        _check_ceiling(self)
        if self.decline == "steps":
            _check_steps(self)
        elif self.steps:
            raise DepositError('Steps need the decline "in steps".')
        if self.decline == "straight":
            _check_straight(self)
        if self.decline == "none" and self.ends_day not in {None, self.full_days}:
            raise DepositError(
                f"Without a decline nothing is credited after day {self.full_days}. "
                "Leave the day credit ends empty, or choose a decline."
            )

    @property
    def last_full_count(self) -> int:
        """Return the most days out that still earn full credit; -1 for none."""
        return self.full_days if self.includes_last_day else self.full_days - 1

    @property
    def days_on_the_way(self) -> int:
        """Return the days between pick-up and the day the clock stops."""
        if self.clock_stops != "receipt":
            return 0
        return self.transit_days + self.unloading_days


def _check_words(terms: Terms) -> None:
    for value, allowed, what in (
        (terms.clock_starts, STARTS, "The clock start"),
        (terms.clock_stops, STOPS, "The clock stop"),
        (terms.decline, DECLINES, "The decline"),
        (terms.return_freight, PAYERS, "The payer of return freight"),
    ):
        if value not in allowed:
            raise DepositError(f"{what} must be one of {', '.join(allowed)}.")


def _check_counts(terms: Terms) -> None:
    for count, what in (
        (terms.full_days, "days for full credit"),
        (terms.ends_day, "days until credit ends"),
        (terms.minimum_per_pickup, "crates for a pick-up"),
        (terms.transit_days, "days on the road"),
        (terms.unloading_days, "days to unload"),
        (terms.memo_days, "days to the credit memo"),
    ):
        if count is not None and not 0 <= count <= MOST_DAYS:
            raise DepositError(f"The {what} must be from 0 to {MOST_DAYS:,}.")


def _check_ceiling(terms: Terms) -> None:
    if terms.ceiling is not None and not _is_percent(terms.ceiling):
        raise DepositError("The ceiling on deductions must be from 0 to 100 percent.")


def _is_percent(value: Decimal) -> bool:
    return value.is_finite() and 0 <= value <= _HUNDRED


def _check_steps(terms: Terms) -> None:
    if not terms.steps:
        raise DepositError("A decline in steps needs at least one step.")
    if terms.steps[0][0] != terms.full_days:
        raise DepositError(
            f"The first step begins after day {terms.steps[0][0]}, but full credit "
            f"ends with day {terms.full_days}. Use the same day for both."
        )
    _check_order(terms.steps)
    last_day = terms.steps[-1][0]
    if terms.ends_day is not None and not last_day < terms.ends_day:
        raise DepositError(
            f"Credit ends after day {terms.ends_day}, but the last step begins only "
            f"after day {last_day}."
        )


def _check_order(steps: tuple[tuple[int, Decimal], ...]) -> None:
    earlier_day, earlier_percent = -1, _HUNDRED
    for day, percent in steps:
        if not earlier_day < day <= MOST_DAYS:
            raise DepositError("List the steps in order of days, each day once.")
        if not _is_percent(percent) or percent == _HUNDRED:
            raise DepositError("The percent of a step must be from 0 to less than 100.")
        if percent > earlier_percent:
            raise DepositError(
                f"The step after day {day} credits more than the step before it."
            )
        earlier_day, earlier_percent = day, percent


def _check_straight(terms: Terms) -> None:
    if terms.ends_day is None:
        raise DepositError(
            "An even decline needs the day on which credit reaches zero."
        )
    if terms.ends_day <= terms.last_full_count or not terms.ends_day:
        raise DepositError(
            f"An even decline reaches zero on day {terms.ends_day}, which is not "
            "after the last day of full credit."
        )


@dataclass(frozen=True, slots=True)
class PartLoss:
    """A number of equal parts, missing or damaged, with the deduction for each."""

    part: str
    problem: Problem
    each: Money
    count: int = 1

    def __post_init__(self) -> None:
        """Raise DepositError for an unknown problem and for figures below zero."""
        if self.problem not in PART_PROBLEMS:
            raise DepositError("A part must be missing or damaged.")
        if self.each.cents < 0 or self.count < 0:
            raise DepositError(
                f"The deduction for {self.part} cannot be less than zero."
            )

    @property
    def total(self) -> Money:
        """Return the deduction for all of them, before any ceiling."""
        return self.each.times(self.count)


@dataclass(frozen=True, slots=True)
class Facts:
    """The facts or the plan of one crate.

    ``leaves_on`` is the pick-up, planned or actual. ``bill_on`` left empty means
    the bill is dated on the pick-up day; ``received_back_on`` left empty means it is
    expected after transit and unloading. The packaging hold lasts from ``held_from``
    to the day of release ``held_to``, which is no longer held; None: still held.
    ``is_clock_stopped`` means that the supplier agreed in writing not to count held
    days. Raise DepositError for amounts below zero or a hold that ends too early.
    """

    deposit: Money
    invoiced_on: dt.date | None = None
    shipped_on: dt.date | None = None
    received_on: dt.date | None = None
    leaves_on: dt.date | None = None
    bill_on: dt.date | None = None
    received_back_on: dt.date | None = None
    parts: tuple[PartLoss, ...] = ()
    held_from: dt.date | None = None
    held_to: dt.date | None = None
    is_clock_stopped: bool = False

    def __post_init__(self) -> None:
        """Raise DepositError for facts that cannot be."""
        if self.deposit.cents < 0:
            raise DepositError("A deposit cannot be less than zero.")
        for part in self.parts:
            if part.each.currency != self.deposit.currency:
                raise DepositError(
                    f"The deduction for {part.part} is in {part.each.currency}, but "
                    f"the deposit is in {self.deposit.currency}."
                )
        if self.held_to is not None and self.held_from is None:
            raise DepositError("The hold has an end but no start.")
        if self.held_from and self.held_to and self.held_to < self.held_from:
            raise DepositError("The hold was released before it began.")
