"""The calculation of a crate's credit in sentences, each with its numbers."""

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction

from inventory.rules.deposits.clock import (
    Clock,
    share_after,
    shifted,
    start_words,
    stop_words,
)
from inventory.rules.deposits.terms import Facts, Terms
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.measures import format_exact
from inventory.rules.reckoning.money import Money
from inventory.rules.reckoning.periods import counted_words


@dataclass(frozen=True, slots=True)
class Sums:
    """The amounts of one credit; ``by_time`` is before deductions."""

    credited: Money
    by_time: Money
    late_loss: Money
    hold_loss: Money
    parts: Money
    deductions: Money


def credit_steps(
    terms: Terms,
    facts: Facts,
    clock: Clock,
    sums: Sums,
    *,
    last_days: tuple[dt.date | None, dt.date | None],
) -> tuple[str, ...]:
    """Return the sentences in the order of the calculation.

    ``last_days`` are the last pick-ups for full and for any credit.
    """
    return (
        *_clock_words(terms, facts, clock),
        _terms_words(terms),
        *_time_words(terms, facts, clock, sums),
        *_part_words(terms, facts, sums),
        f"The credit is {sums.credited}.",
        *_hold_words(terms, facts, clock, sums),
        *_last_words(terms, *last_days),
        *_memo_words(terms, facts, clock),
    )


def _clock_words(terms: Terms, facts: Facts, clock: Clock) -> list[str]:
    words = [
        f"Day 0 is {in_words(clock.started_on)}, the day of {start_words(terms)}.",
        (
            f"The clock stops on {in_words(clock.stopped_on)}, the day of "
            f"{stop_words(terms)}."
        ),
    ]
    if terms.clock_stops == "receipt" and facts.received_back_on is None:
        words.append(
            f"That day is an estimate: the pick-up, plus {_days(terms.transit_days)} "
            f"in transit and {_days(terms.unloading_days)} to unload."
        )
    if clock.held_days and facts.is_clock_stopped:
        words.append(
            f"{_days(clock.held_days)} on hold not counted: the supplier stopped the "
            "clock."
        )
    return [*words, f"The crate is out for {_days(clock.days_out)}."]


def _days(count: int) -> str:
    return counted_words(count, "days")


def _terms_words(terms: Terms) -> str:
    bound = "included" if terms.includes_last_day else "not included"
    full = f"Full credit to day {terms.full_days}, that day {bound}"
    if terms.decline == "straight":
        return (
            f"{full}; then it declines evenly from day {terms.last_full_count} to "
            f"zero on day {terms.ends_day}."
        )
    parts = [full]
    parts += [
        f"{format_exact(Fraction(percent), 4)} percent after day {day}"
        for day, percent in terms.steps
    ]
    ends = terms.full_days if terms.decline == "none" else terms.ends_day
    if ends is not None:
        parts.append(f"nothing after day {ends}")
    if terms.steps and not terms.includes_last_day:
        parts.append("a day named here is not included in the step before it")
    return f"{'; '.join(parts)}."


def _time_words(terms: Terms, facts: Facts, clock: Clock, sums: Sums) -> list[str]:
    share = share_after(terms, clock.days_out) * 100
    first = (
        f"After {_days(clock.days_out)}, {format_exact(share, 4)} percent of "
        f"{facts.deposit} is {sums.by_time}, rounded half up to the cent."
    )
    if not sums.late_loss.cents:
        return [first]
    return [first, f"Lost by returning late: {sums.late_loss}."]


def _part_words(terms: Terms, facts: Facts, sums: Sums) -> list[str]:
    words = [
        f"{part.part}, {part.problem}: {part.count} at {part.each} is {part.total}."
        for part in facts.parts
    ]
    if not words:
        return []
    if sums.deductions == sums.parts:
        return [*words, f"Deductions total {sums.deductions}."]
    if sums.deductions == sums.by_time:
        why = "no more than the credit that is left"
    else:
        why = f"the ceiling is {terms.ceiling} percent of the deposit"
    return [
        *words,
        f"Deductions total {sums.parts}, reduced to {sums.deductions}: {why}.",
    ]


def _hold_words(terms: Terms, facts: Facts, clock: Clock, sums: Sums) -> list[str]:
    if not clock.held_days or facts.is_clock_stopped:
        return []
    held = f"The crate was on hold for {_days(clock.held_days)} while the clock ran"
    if not sums.hold_loss.cents:
        return [f"{held}; that cost no credit."]
    without = clock.days_out - clock.held_days
    percent = format_exact(share_after(terms, without) * 100, 4)
    return [
        (
            f"{held}. Without the hold, {_days(without)} would have earned "
            f"{percent} percent."
        ),
        f"{sums.hold_loss} of the late loss is due to the hold. Dispute it separately.",
    ]


def _last_words(
    terms: Terms, full: dt.date | None, last: dt.date | None
) -> tuple[str, str]:
    never = "no last day while the supplier's clock is stopped"
    if last is None and full is not None and terms.decline == "steps":
        never = "no last day: the last step remains"
    return (
        f"Last pick-up for full credit: {in_words(full) if full else never}.",
        f"Last pick-up for any credit: {in_words(last) if last else never}.",
    )


def _memo_words(terms: Terms, facts: Facts, clock: Clock) -> list[str]:
    if terms.memo_days is None:
        return []
    due = in_words(shifted(clock.back_on, terms.memo_days))
    received = "received" if facts.received_back_on else "expected"
    return [
        (
            f"The supplier's receipt of the crate: {received} on "
            f"{in_words(clock.back_on)}."
        ),
        f"The credit memo is due {_days(terms.memo_days)} later, on {due}.",
    ]
