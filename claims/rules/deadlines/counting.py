"""Counting every dated duty of a shipment and its claim, in date order.

``due`` is the regime's own table; ``safe`` never passes the earliest reading
and is a business day. Filing means received by the carrier, not sent.
"""

import datetime as dt
from dataclasses import replace
from functools import lru_cache

from claims.rules.deadlines.answers import answer_notes, answered, status_reports
from claims.rules.deadlines.facts import Deadline, Facts, FactsError, Schedule
from claims.rules.deadlines.readings import read_record
from claims.rules.deadlines.starts import dated_on, unknown_starts
from claims.rules.deadlines.terms import own_record, read_term, with_term
from claims.rules.deadlines.through import with_through_bill
from claims.rules.regimes import REGIMES
from claims.rules.regimes.records import DUTIES, Record, Regime
from inventory.rules.reckoning import calendars
from inventory.rules.reckoning.calendars import Calendar, in_words


@lru_cache(maxsize=4096)
def deadlines_for(facts: Facts) -> tuple[Deadline, ...]:
    """Return the dated duties in date order; raise FactsError for bad facts.

    Bills of one day ask the same again and again, so the last answers are kept.
    """
    return schedule_for(facts).deadlines


def schedule_for(facts: Facts) -> Schedule:
    """Return the dated duties with the notes on them.

    Raise FactsError for an unknown regime or a term without its count, and
    CalendarError for an unknown calendar.
    """
    regime = REGIMES.get(facts.regime)
    if regime is None:
        raise FactsError(f"{facts.regime!r} is not a regime.")
    calendar = calendar_for(facts)
    records = _records_for(regime, facts)
    found = [_read(record, facts, calendar) for record in records]
    deadlines = [each for each in found if each is not None]
    deadlines += _status_of(records, deadlines, facts, calendar)
    deadlines = with_through_bill(regime, deadlines, facts, calendar)
    age = _age_notes(regime, facts)
    return Schedule(
        deadlines=tuple(
            sorted(
                (_with_notes(each, age, facts) for each in deadlines),
                key=lambda each: (each.due, _rank(each)),
            )
        ),
        notes=(*regime.notes, *age, *_order_notes(facts), *_missing(records, facts)),
    )


def calendar_for(facts: Facts) -> Calendar:
    """Return the calendar named in the facts, or else the regime's own."""
    code = facts.calendar
    if code is None:
        code = REGIMES[facts.regime].calendar
    return calendars.calendar_named(code, facts.holidays)


def _rank(deadline: Deadline) -> tuple[int, str]:
    base = "status" if deadline.duty.startswith("status") else deadline.duty
    number = deadline.duty.removeprefix("status-").rjust(4, "0")
    return ([str(duty) for duty in DUTIES].index(base), number)


def _records_for(regime: Regime, facts: Facts) -> list[Record]:
    """Return the records that fit the loss, the sight and the bill's date."""
    fitting = [each for each in regime.records if _fits(each, facts)]
    covered = {each.duty for each in fitting}
    for duty, term in facts.terms.items():
        if duty not in covered:
            own = own_record(duty, term, facts)
            if _fits(own, facts):
                fitting.append(own)
    return fitting


def _fits(record: Record, facts: Facts) -> bool:
    if facts.loss not in record.losses:
        return False
    hidden = {"apparent": True, "concealed": False}.get(record.sight)
    if hidden is not None and facts.is_concealed is hidden:
        return False
    return _is_in_force(record, dated_on(facts))


def _is_in_force(record: Record, dated: dt.date | None) -> bool:
    """Return whether the record governs a bill of that date, or else today's."""
    if dated is None:
        return record.effective_until is None
    is_begun = record.effective_from is None or record.effective_from <= dated
    return is_begun and (
        record.effective_until is None or dated < record.effective_until
    )


def _read(record: Record, facts: Facts, calendar: Calendar) -> Deadline | None:
    if record.duty == "status":
        return None
    term = facts.terms.get(record.duty)
    if term is None:
        return read_record(record, facts, calendar)
    return read_term(record, term, facts, calendar)


def _status_of(
    records: list[Record],
    deadlines: list[Deadline],
    facts: Facts,
    calendar: Calendar,
) -> list[Deadline]:
    """Return the repeating reports that follow an answer that did not come."""
    first = next((each for each in deadlines if each.duty == "disposition"), None)
    record = next((each for each in records if each.duty == "status"), None)
    if first is None or record is None:
        return []
    term = facts.terms.get("status")
    if term is not None:
        record = with_term(record, term, facts)
    return status_reports(record, first.due, facts, calendar)


def _with_notes(deadline: Deadline, age: tuple[str, ...], facts: Facts) -> Deadline:
    extra = [*age, *answer_notes(deadline, facts)]
    standing = "met" if answered(deadline, facts) else deadline.standing
    return replace(deadline, notes=(*deadline.notes, *extra), standing=standing)


def _age_notes(regime: Regime, facts: Facts) -> tuple[str, ...]:
    dated = dated_on(facts)
    if regime.effective_from is None or dated is None or dated >= regime.effective_from:
        return ()
    return (
        (
            f"The shipment of {in_words(dated)} is older than this table, which "
            f"applies from {in_words(regime.effective_from)}. Check which rules "
            "governed it."
        ),
    )


def _order_notes(facts: Facts) -> tuple[str, ...]:
    """Return a note for each pair of dates in an impossible order."""
    pairs = (
        ("the delivery", facts.delivered_on, "the bill", facts.bill_on),
        ("the refusal", facts.refused_on, "the bill", facts.bill_on),
        ("the discovery", facts.discovered_on, "the delivery", facts.delivered_on),
        ("the disallowance", facts.disallowed_on, "the claim", facts.claim_received_on),
        ("the claim", facts.claim_received_on, "the bill", facts.bill_on),
    )
    return tuple(
        f"The date of {later} is before that of {earlier}. Check both."
        for later, second, earlier, first in pairs
        if first is not None and second is not None and second < first
    )


def _missing(records: list[Record], facts: Facts) -> tuple[str, ...]:
    """Return which duties have no date yet, and what is missing."""
    found = []
    for record in records:
        if record.duty == "status":
            continue
        term = facts.terms.get(record.duty)
        count = record.count if term is None or term.count is None else term.count
        if count is None:
            found.append(
                f"No date for {record.duty}: {record.authority} gives no number. "
                "Read the bill or tariff and enter its term."
            )
        elif len(unknown_starts(record.starts, facts)) == len(record.starts):
            words = " or ".join(unknown_starts(record.starts, facts))
            found.append(f"No date for {record.duty} yet. Not known: {words}.")
    return tuple(found)
