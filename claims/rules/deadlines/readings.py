"""Reading one record against the facts: the due day, the safe day, and why."""

import datetime as dt
from dataclasses import dataclass, replace

from claims.rules.deadlines.facts import Deadline, Facts, Standing
from claims.rules.deadlines.starts import (
    Began,
    dated_on,
    first_disputed_on,
    known_starts,
    trigger_words,
    unknown_starts,
)
from claims.rules.deadlines.suit_letters import letter_notes, starts_by_disallowance
from claims.rules.deadlines.suspension import shift_for
from claims.rules.regimes.records import Reading, Record
from inventory.rules.reckoning.calendars import (
    WEEKENDS_ONLY,
    Calendar,
    in_words,
    on_or_before,
)
from inventory.rules.reckoning.periods import Counted, Period, add_period

_HOURS_IN_A_DAY = 24


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another reading's last day, and what it is based on."""

    due: dt.date
    words: str


def read_record(record: Record, facts: Facts, calendar: Calendar) -> Deadline | None:
    """Return the deadline of ``record``, or None where no start or count is known."""
    starts = known_starts(record.starts, facts)
    if not starts or record.count is None:
        return None
    if record.pick == "earliest":
        starts = tuple(sorted(starts, key=lambda each: each.on))
    began = starts[0]
    counted = last_day(record, began.on, calendar)
    others = _alternatives(record, starts, facts, calendar)
    shift = shift_for(record, began.on, counted.due, facts)
    earliest = min([counted.due, *(other.due for other in others)])
    due = counted.due + shift.due_by
    return Deadline(
        duty=record.duty,
        owed_by=record.owed_by,
        due=due,
        safe=safe_day(min(earliest + shift.safe_by, due), began.on, calendar),
        starts_on=began.on,
        counted=(*began.steps, *counted.steps, *shift.steps),
        effect=record.effect,
        authority=record.authority,
        confidence=record.confidence,
        record_key=record.key,
        notes=(
            *record.notes,
            *(f"{each.words}: it ends {in_words(each.due)}." for each in others),
            *_unknown_notes(record, began, facts),
            *_dating_notes(record, facts),
            *_calendar_notes(record, calendar),
            *shift.notes,
            *letter_notes(record, began, facts, is_stopped=shift.standing is not None),
        ),
        standing=shift.standing or _standing(record, facts),
    )


def last_day(record: Record, start: dt.date, calendar: Calendar) -> Counted:
    """Return the last day of the record's period from ``start``, with steps."""
    count = record.count or 0
    if record.unit == "hours":
        return _hours(start, count)
    if count == 0 and not record.plus_days:
        return Counted(due=start, steps=("It is due on that day itself.",))
    period = Period(count=count, unit=record.unit, excepted=record.excepted)
    counted = add_period(start, period, calendar)
    if not record.plus_days:
        return counted
    due = counted.due + dt.timedelta(days=record.plus_days)
    step = f"Plus {record.plus_days} day: {in_words(due)}."
    return Counted(due=due, steps=(*counted.steps, step))


def _hours(start: dt.date, hours: int) -> Counted:
    """Return the day on which ``hours`` from some minute of ``start`` run out.

    The minute is not known, so whole days are counted and the rest dropped.
    """
    due = start + dt.timedelta(days=hours // _HOURS_IN_A_DAY)
    return Counted(
        due=due,
        steps=(
            f"{hours} hours run at once, from the minute of the day it started.",
            f"They run out on {in_words(due)}, at that minute.",
        ),
    )


def safe_day(earliest: dt.date, starts_on: dt.date, calendar: Calendar) -> dt.date:
    """Return the last business day on or before ``earliest``.

    It is never before the day the clock starts: notice of Saturday's
    delivery cannot be given on the Friday.
    """
    return min(earliest, max(on_or_before(earliest, calendar), starts_on))


def _alternatives(
    record: Record, starts: tuple[Began, ...], facts: Facts, calendar: Calendar
) -> tuple[Alternative, ...]:
    """Return every other reading of the record that gives another day."""
    due = last_day(record, starts[0].on, calendar).due
    found = [
        *_without_holidays(record, starts[0].on),
        *_other_starts(record, starts, facts, calendar),
        *_stated(record, starts[0], facts),
        *_letter_of_two_minds(record, facts, calendar),
    ]
    return tuple(each for each in found if each.due != due)


def _without_holidays(record: Record, start: dt.date) -> list[Alternative]:
    if record.unit == "hours" and record.count:
        earlier = last_day(record, start, WEEKENDS_ONLY).due - dt.timedelta(days=1)
        words = "The minute is not known; to the end of the last whole day"
        return [Alternative(due=max(earlier, start), words=words)]
    if record.unit != "business-days" and record.excepted == "none":
        return []
    due = last_day(record, start, WEEKENDS_ONLY).due
    return [Alternative(due=due, words="If holidays count as ordinary days")]


def _other_starts(
    record: Record, starts: tuple[Began, ...], facts: Facts, calendar: Calendar
) -> list[Alternative]:
    if record.pick != "earliest":
        return []
    return [
        Alternative(
            due=last_day(record, began.on, calendar).due,
            words=f"Counted from {trigger_words(began.trigger, facts)}",
        )
        for began in starts[1:]
    ]


def _stated(record: Record, began: Began, facts: Facts) -> list[Alternative]:
    """Return the stricter readings that the record itself states."""
    found = []
    for reading in record.also:
        on = _reading_start(reading, began, facts)
        if on is not None:
            strict = replace(
                record,
                count=record.count if reading.count is None else reading.count,
                unit=reading.unit or record.unit,
                plus_days=0 if reading.count is not None else record.plus_days,
            )
            due = last_day(strict, on, WEEKENDS_ONLY).due
            found.append(Alternative(due=due, words=reading.words))
    return found


def _reading_start(reading: Reading, began: Began, facts: Facts) -> dt.date | None:
    """Return where the reading starts; None where it does not apply."""
    dated = dated_on(facts)
    if reading.effective_from and dated and dated < reading.effective_from:
        return None
    if reading.starts is None:
        return began.on
    starts = known_starts(reading.starts, facts)
    return starts[0].on if starts else None


def _letter_of_two_minds(
    record: Record, facts: Facts, calendar: Calendar
) -> list[Alternative]:
    disputed = first_disputed_on(facts)
    if disputed is None or not starts_by_disallowance(record):
        return []
    words = (
        f"The letter of {in_words(disputed)} both offers and declines; counted from it"
    )
    due = last_day(record, disputed, calendar).due
    strict = [
        each.due for each in _stated(record, Began(disputed, "disallowance", ()), facts)
    ]
    return [Alternative(due=min([due, *strict]), words=words)]


def _standing(record: Record, facts: Facts) -> Standing:
    is_disputed = first_disputed_on(facts) and starts_by_disallowance(record)
    return "disputed" if is_disputed else "running"


def _unknown_notes(record: Record, began: Began, facts: Facts) -> list[str]:
    """Return which other start is not known and could end the period earlier."""
    if record.pick != "earliest":
        return []
    return [
        f"Not known: {words}. Counted from that the period may end earlier, so enter "
        "it."
        for words in unknown_starts(record.starts, facts)
        if words != trigger_words(began.trigger, facts)
    ]


def _dating_notes(record: Record, facts: Facts) -> list[str]:
    is_dated = record.effective_from is not None or record.effective_until is not None
    if not is_dated or facts.bill_on is not None:
        return []
    return ["The bill's date is not known, so another date chose the rule in force."]


def _calendar_notes(record: Record, calendar: Calendar) -> list[str]:
    counts_holidays = record.unit == "business-days" or record.excepted != "none"
    if not counts_holidays or calendar.code:
        return []
    return ["No holiday calendar is set. Only days you added count as holidays."]
