"""What the supplier owes for one crate, by its terms and the day the crate leaves.

The credit of any crate on any day is one pure function of terms and facts. The
percent is taken of the deposit and rounded half up to the cent, once; deductions
come off after, up to the ceiling and never more than the remaining credit. So
credit, late loss and deductions add up to the deposit to the cent.
"""

import datetime as dt
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from inventory.rules.deposits.clock import (
    Clock,
    last_credit_count,
    last_pickup,
    read_clock,
    share_after,
    shifted,
)
from inventory.rules.deposits.terms import (
    DECLINES,
    MOST_DAYS,
    PART_PROBLEMS,
    PAYERS,
    STARTS,
    STOPS,
    DepositError,
    Facts,
    PartLoss,
    Terms,
)
from inventory.rules.deposits.words import Sums, credit_steps
from inventory.rules.reckoning.money import Money, round_fraction

__all__ = [
    "DECLINES",
    "MOST_DAYS",
    "PART_PROBLEMS",
    "PAYERS",
    "STARTS",
    "STOPS",
    "Credit",
    "DepositError",
    "Facts",
    "PartLoss",
    "Terms",
    "credit_by_day",
    "credit_on",
    "days_left_to_full",
    "last_day",
    "last_full_day",
    "loss_per_day",
]


@dataclass(frozen=True, slots=True)
class Credit:
    """The credit for a crate that leaves on a given day, and why it is not more.

    ``credited`` + ``late_loss`` + ``deductions`` is the deposit. ``hold_loss`` is the
    part of the late loss that the held days caused: the credit without them less
    ``credited``, so that it has nothing that parts would have cost anyway. It is shown
    and disputed separately, never added again. ``percent`` is the part of the deposit
    credited for the days out, to two places, before deductions. ``last_full_day`` and
    ``last_day`` are the last pick-ups for full and for any credit (None: no such day,
    see their functions).
    """

    credited: Money
    days_out: int
    percent: Decimal
    late_loss: Money
    deductions: Money
    hold_loss: Money
    started_on: dt.date
    stopped_on: dt.date
    last_full_day: dt.date | None
    last_day: dt.date | None
    memo_due_on: dt.date | None
    steps: tuple[str, ...]
    terms: Terms
    facts: Facts

    def loss_per_day(self, on: dt.date) -> Money:
        """Return the credit for leaving on ``on`` less that for the day after."""
        return loss_per_day(self.terms, self.facts, on)


def credit_on(terms: Terms, facts: Facts) -> Credit:
    """Return the credit of the crate that leaves, or left, on ``facts.leaves_on``.

    Raise DepositError where a date is missing or the dates cannot be in that order.
    """
    clock = read_clock(terms, facts)
    sums = _sums(terms, facts, clock)
    share = share_after(terms, clock.days_out)
    full, last = last_full_day(terms, facts), last_day(terms, facts)
    memo = terms.memo_days
    return Credit(
        credited=sums.credited,
        days_out=clock.days_out,
        percent=Decimal(round_fraction(share * 10_000)).scaleb(-2),
        late_loss=sums.late_loss,
        deductions=sums.deductions,
        hold_loss=sums.hold_loss,
        started_on=clock.started_on,
        stopped_on=clock.stopped_on,
        last_full_day=full,
        last_day=last,
        memo_due_on=None if memo is None else shifted(clock.back_on, memo),
        steps=credit_steps(terms, facts, clock, sums, last_days=(full, last)),
        terms=terms,
        facts=facts,
    )


def _sums(terms: Terms, facts: Facts, clock: Clock) -> Sums:
    by_time = facts.deposit.times(share_after(terms, clock.days_out))
    parts = Money(0, facts.deposit.currency)
    for part in facts.parts:
        parts += part.total
    deductions = _deducted(terms, facts, parts, by_time)
    credited = by_time - deductions
    hold_loss = Money(0, facts.deposit.currency)
    if clock.held_days and not facts.is_clock_stopped:
        share = share_after(terms, clock.days_out - clock.held_days)
        unheld = facts.deposit.times(share)
        hold_loss = unheld - _deducted(terms, facts, parts, unheld) - credited
    return Sums(
        credited=credited,
        by_time=by_time,
        late_loss=facts.deposit - by_time,
        hold_loss=hold_loss,
        parts=parts,
        deductions=deductions,
    )


def _deducted(terms: Terms, facts: Facts, parts: Money, by_time: Money) -> Money:
    """Return what comes off the credit for the days out: never more than that."""
    most = by_time
    if terms.ceiling is not None:
        most = min(most, facts.deposit.times(Fraction(terms.ceiling) / 100))
    return min(parts, most)


def _left_on(terms: Terms, facts: Facts, on: dt.date) -> Money:
    """Return the credit if the crate had left on ``on``, bill and receipt as expected."""
    supposed = replace(facts, leaves_on=on, bill_on=None, received_back_on=None)
    return _sums(terms, supposed, read_clock(terms, supposed)).credited


def credit_by_day(
    terms: Terms, facts: Facts, first: dt.date, last: dt.date
) -> tuple[Money, ...]:
    """Return the credit for leaving on each day from ``first`` to ``last``, both in.

    Bill date and the supplier's receipt are as expected for each day, whatever
    ``facts`` say. The amounts never rise. Raise DepositError for a day before the
    clock starts, or for more than MOST_DAYS days.
    """
    if (last - first).days >= MOST_DAYS:
        raise DepositError(f"A table of days holds at most {MOST_DAYS:,} days.")
    return tuple(
        _left_on(terms, facts, first + dt.timedelta(days=number))
        for number in range((last - first).days + 1)
    )


def loss_per_day(terms: Terms, facts: Facts, on: dt.date) -> Money:
    """Return the credit for leaving on ``on`` less that for leaving a day later."""
    return _left_on(terms, facts, on) - _left_on(terms, facts, shifted(on, 1))


def last_full_day(terms: Terms, facts: Facts) -> dt.date | None:
    """Return the last pick-up day for full credit, before any deduction.

    It may be before the clock starts where the terms leave no day. None: the crate
    is held and the supplier's clock is stopped, so there is no last day yet.
    """
    return last_pickup(terms, facts, terms.last_full_count)


def last_day(terms: Terms, facts: Facts) -> dt.date | None:
    """Return the last pick-up day for any credit, before any deduction.

    None where credit never ends, or where the supplier's clock is stopped.
    """
    count = last_credit_count(terms)
    return None if count is None else last_pickup(terms, facts, count)


def days_left_to_full(terms: Terms, facts: Facts, on: dt.date) -> int | None:
    """Return the days from ``on`` to the last pick-up for full credit.

    0 is the last day itself, below zero is too late; None: no last day yet.
    """
    last = last_full_day(terms, facts)
    return None if last is None else (last - on).days
