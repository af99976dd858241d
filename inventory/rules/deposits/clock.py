"""How many days a crate is out under its supplier's terms, and the days that matter."""

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction

from inventory.rules.deposits.terms import DepositError, Facts, Terms
from inventory.rules.reckoning.calendars import in_words

_STARTED = {
    "invoice": "the supplier's invoice",
    "shipment": "the supplier's shipment",
    "receipt": "our receipt of the crate",
}
_STOPPED = {
    "pick-up": "the pick-up",
    "bill-date": "the date of the bill of lading",
    "receipt": "the supplier's receipt of the crate",
}


@dataclass(frozen=True, slots=True)
class Clock:
    """The days of one crate: start, stop, held in between, and days that count."""

    started_on: dt.date
    stopped_on: dt.date
    back_on: dt.date
    held_days: int
    days_out: int


def start_day(clock_starts: str, facts: Facts) -> dt.date | None:
    """Return day 0 where the clock starts so; None where its date is not known."""
    days = {
        "invoice": facts.invoiced_on,
        "shipment": facts.shipped_on,
        "receipt": facts.received_on,
    }
    return days.get(clock_starts)


def started_on(terms: Terms, facts: Facts) -> dt.date:
    """Return day 0; raise DepositError where its date is not known."""
    start = start_day(terms.clock_starts, facts)
    if start is None:
        raise DepositError(
            f"The clock starts with {_STARTED[terms.clock_starts]}, but that date is "
            "not known. Enter it first."
        )
    return start


def start_words(terms: Terms) -> str:
    """Return what starts the clock, as text."""
    return _STARTED[terms.clock_starts]


def stop_words(terms: Terms) -> str:
    """Return what stops the clock, as text."""
    return _STOPPED[terms.clock_stops]


def read_clock(terms: Terms, facts: Facts) -> Clock:
    """Return the days of a crate that leaves, or left, on ``facts.leaves_on``.

    Raise DepositError where a date is missing, where the crate arrived before it
    left, and where the clock would stop before it started.
    """
    start = started_on(terms, facts)
    leaves = facts.leaves_on
    if leaves is None:
        raise DepositError(
            "The pick-up date is not known. Enter it, or plan a pick-up."
        )
    back = facts.received_back_on or shifted(
        leaves, terms.transit_days + terms.unloading_days
    )
    if back < leaves:
        raise DepositError(
            f"The supplier received the crate on {in_words(back)}, before the pick-up "
            f"on {in_words(leaves)}. Check both dates."
        )
    stops = {"pick-up": leaves, "bill-date": facts.bill_on or leaves, "receipt": back}
    stop = stops[terms.clock_stops]
    if stop < start:
        raise DepositError(
            f"The clock would stop with {_STOPPED[terms.clock_stops]} on "
            f"{in_words(stop)}, before it starts with {_STARTED[terms.clock_starts]} "
            f"on {in_words(start)}. Check both dates."
        )
    held = _held_days(facts, start, min(leaves, stop))
    counted = (stop - start).days - (held if facts.is_clock_stopped else 0)
    return Clock(start, stop, back, held, counted)


def memo_day(terms: Terms, leaves: dt.date) -> dt.date | None:
    """Return the day the memo is due for a crate that left on a day; None: not promised."""
    if terms.memo_days is None:
        return None
    way = terms.transit_days + terms.unloading_days
    return shifted(leaves, way + terms.memo_days)


def shifted(day: dt.date, days: int) -> dt.date:
    """Return the day so many calendar days later; DepositError off the calendar."""
    try:
        return day + dt.timedelta(days=days)
    except OverflowError:
        raise DepositError("A date is outside the calendar.") from None


def _held_days(facts: Facts, start: dt.date, end: dt.date) -> int:
    """Return the held days between the start of the clock and the pick-up."""
    if facts.held_from is None:
        return 0
    first = max(facts.held_from, start)
    last = end if facts.held_to is None else min(facts.held_to, end)
    return max(0, (last - first).days)


def share_after(terms: Terms, days_out: int) -> Fraction:
    """Return the part of the deposit that is credited after ``days_out``, exact."""
    if days_out <= terms.last_full_count:
        return Fraction(1)
    if terms.decline == "straight":
        return _straight_share(terms, days_out)
    late_by = 0 if terms.includes_last_day else 1
    if terms.decline == "none" or (
        terms.ends_day is not None and days_out + late_by > terms.ends_day
    ):
        return Fraction(0)
    percent = next(
        percent for day, percent in reversed(terms.steps) if days_out + late_by > day
    )
    return Fraction(percent) / 100


def _straight_share(terms: Terms, days_out: int) -> Fraction:
    ends = terms.ends_day or 0
    if days_out >= ends:
        return Fraction(0)
    return Fraction(ends - days_out, ends - terms.last_full_count)


def last_credit_count(terms: Terms) -> int | None:
    """Return the most days out that earn any credit; None where credit never ends."""
    if terms.decline == "none":
        return terms.last_full_count
    if terms.decline == "straight":
        return (terms.ends_day or 0) - 1
    ends = next((day for day, percent in terms.steps if not percent), terms.ends_day)
    if ends is None:
        return None
    return ends if terms.includes_last_day else ends - 1


def last_pickup(terms: Terms, facts: Facts, count: int) -> dt.date | None:
    """Return the last pick-up that keeps the crate out ``count`` days or fewer.

    None where the supplier stopped the clock and the crate is still held: there is
    no such day until it is released. The bill of lading is assumed to be dated on
    the pick-up day.
    """
    start = started_on(terms, facts)
    plain = shifted(start, count - terms.days_on_the_way)
    if not facts.is_clock_stopped or facts.held_from is None:
        return plain
    held_from = max(facts.held_from, start)
    if plain < held_from:
        return plain
    if facts.held_to is None:
        return None
    return shifted(plain, max(0, (facts.held_to - held_from).days))
