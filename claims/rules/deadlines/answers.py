"""What the carrier's letters do: answers owed, and the reports that follow."""

import datetime as dt

from claims.rules.deadlines.facts import Deadline, Facts
from claims.rules.deadlines.readings import last_day, safe_day
from claims.rules.deadlines.starts import letters_in_order
from claims.rules.regimes.records import Record
from inventory.rules.reckoning.calendars import Calendar, in_words

AT_LEAST = 2
AT_MOST = 60


def answered_on(facts: Facts) -> dt.date | None:
    """Return when the carrier first paid, declined or made a firm offer.

    An offer is an answer under 49 CFR 370.9(a) though it starts no suit clock.
    """
    received = facts.claim_received_on
    return next(
        (
            letter.on
            for letter in letters_in_order(facts)
            if received is None or letter.on >= received
        ),
        None,
    )


def answered(deadline: Deadline, facts: Facts) -> bool:
    """Return whether the carrier's letters show this duty of its done in time."""
    if deadline.duty == "disposition":
        day = answered_on(facts)
    elif deadline.duty == "acknowledgement":
        # Only payment or refusal makes an acknowledgment needless: 370.5(a).
        received = facts.claim_received_on or dt.date.min
        day = next(
            (
                letter.on
                for letter in letters_in_order(facts)
                if letter.kind in {"disallowed", "paid"} and letter.on >= received
            ),
            None,
        )
    else:
        return False
    return day is not None and day <= deadline.due


def status_reports(
    record: Record, disposition_due: dt.date, facts: Facts, calendar: Calendar
) -> list[Deadline]:
    """Return the status reports due after an answer that was not given.

    They repeat until the carrier answers: those due before ``as_of`` and the next,
    at least two and at most sixty. None is due after the answer.
    """
    ended = answered_on(facts)
    reports: list[Deadline] = []
    start = disposition_due
    while len(reports) < AT_MOST:
        counted = last_day(record, start, calendar)
        if counted.due <= start or (ended is not None and ended < counted.due):
            break
        if len(reports) >= AT_LEAST and not _is_before(start, facts.as_of):
            break
        number = len(reports) + 1
        reports.append(
            Deadline(
                duty=f"status-{number}",
                owed_by=record.owed_by,
                due=counted.due,
                safe=safe_day(counted.due, start, calendar),
                starts_on=start,
                counted=(f"Report {number} after the answer was due.", *counted.steps),
                effect=record.effect,
                authority=record.authority,
                confidence=record.confidence,
                record_key=record.key,
                notes=record.notes,
            )
        )
        start = counted.due
    return reports


def _is_before(day: dt.date, as_of: dt.date | None) -> bool:
    return as_of is not None and day < as_of


def answer_notes(deadline: Deadline, facts: Facts) -> list[str]:
    """Return when the carrier's letters did what this duty of its asks for."""
    if deadline.owed_by == "carrier" and answered(deadline, facts):
        day = answered_on(facts)
        return [f"Answered in writing on {in_words(day)}."] if day else []
    return []
