"""Which letter about a claim is due: what the waiting for the carrier calls for.

Every period of the carrier runs from the proven receipt of the claim, and no report of
the carrier moves it (49 CFR 370.5, 370.9).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from claims.rules.letters.claim_letter import (
    NO_PERIODS,
    CarrierPeriods,
    EarlierLetter,
)

TRACER, REMINDER, STATUS = "tracer", "reminder", "status"

TRACE_AFTER = timedelta(days=14)
"""How long after sending proof of delivery is waited for. Our own choice, no source."""

RED_BEFORE_BAR = timedelta(days=30)
"""How long before the last safe day a tracer turns red. Our own choice, no source."""


@dataclass(frozen=True)
class Waiting:
    """How long we have waited for the carrier, and what we wrote meanwhile.

    ``answered_on`` is the day of its offer, its denial or its payment.
    """

    today: date
    sent_on: date | None = None
    received_on: date | None = None
    acknowledged_on: date | None = None
    answered_on: date | None = None
    claim_by: date | None = None
    periods: CarrierPeriods = NO_PERIODS
    letters: tuple[EarlierLetter, ...] = ()

    def last(self, kind: str) -> EarlierLetter | None:
        """Return the last letter of this kind."""
        return next((row for row in reversed(self.letters) if row.kind == kind), None)


@dataclass(frozen=True)
class DueLetter:
    """A letter that is due: its kind, since when, what to do, and whether it is red."""

    kind: str
    since: date
    words: str
    is_late: bool = False


def letter_due(waiting: Waiting) -> DueLetter | None:
    """Return the letter that is due today, if one is."""
    if unsent := _unsent(waiting):
        return unsent
    if waiting.sent_on is None or waiting.answered_on is not None:
        return None
    if waiting.received_on is None:
        return _tracer(waiting, waiting.sent_on)
    return _status(waiting) or _reminder(waiting)


def is_red(waiting: Waiting) -> bool:
    """Return whether the claim may be barred before it is proven to be received."""
    if waiting.claim_by is None or waiting.received_on is not None:
        return False
    return waiting.today >= waiting.claim_by - RED_BEFORE_BAR


def acknowledge_by(waiting: Waiting) -> date | None:
    """Return the last day for the acknowledgment, where a rule sets one."""
    period = waiting.periods.acknowledge
    if waiting.received_on is None or period is None:
        return None
    return waiting.received_on + timedelta(days=period.days)


def period_ended(waiting: Waiting) -> date | None:
    """Return the last day, up to today, on which a decision or a report was owed."""
    return max(_ends(waiting), default=None)


def next_end(waiting: Waiting) -> date | None:
    """Return the next day on which a decision or a report will be owed."""
    decide, report = waiting.periods.decide, waiting.periods.report
    if waiting.received_on is None or decide is None:
        return None
    last = period_ended(waiting)
    if last is None:
        return waiting.received_on + timedelta(days=decide.days)
    return last + timedelta(days=report.days) if report else None


def _ends(waiting: Waiting) -> Iterator[date]:
    decide, report = waiting.periods.decide, waiting.periods.report
    if waiting.received_on is None or decide is None:
        return
    day = waiting.received_on + timedelta(days=decide.days)
    while day <= waiting.today:
        yield day
        if report is None:
            return
        day += timedelta(days=report.days)


def _unsent(waiting: Waiting) -> DueLetter | None:
    """Return the first letter that was confirmed and not sent; it helps nobody yet."""
    for row in waiting.letters:
        if row.goes_out and row.sent_on is None:
            words = f"Send letter {row.number}: it is confirmed and not sent"
            return DueLetter(row.kind, row.dated_on, words, is_red(waiting))
    return None


def _tracer(waiting: Waiting, sent_on: date) -> DueLetter | None:
    last = waiting.last(TRACER)
    since = max(sent_on, last.dated_on) if last else sent_on
    red = is_red(waiting)
    if waiting.today < since + TRACE_AFTER and not (red and last is None):
        return None
    words = "Write the tracer: no proof that the carrier received the claim"
    return DueLetter(TRACER, since + TRACE_AFTER, words, red)


def _reminder(waiting: Waiting) -> DueLetter | None:
    until = acknowledge_by(waiting)
    if until is None or waiting.acknowledged_on or waiting.today <= until:
        return None
    if waiting.last(REMINDER) or waiting.last(STATUS):
        return None
    since = until + timedelta(days=1)
    return DueLetter(REMINDER, since, "Write the reminder: no acknowledgment")


def _status(waiting: Waiting) -> DueLetter | None:
    ended = period_ended(waiting)
    last = waiting.last(STATUS)
    if ended is None or (last and last.dated_on >= ended):
        return None
    return DueLetter(STATUS, ended, "Write the status letter: no decision")
