"""Contract and tariff terms that replace the regime's own period."""

import datetime as dt
from dataclasses import replace

from claims.rules.deadlines.facts import Deadline, Facts, FactsError, Term
from claims.rules.deadlines.readings import last_day, read_record
from claims.rules.deadlines.starts import day_of, known_starts, trigger_words
from claims.rules.deadlines.suspension import shift_for
from claims.rules.regimes.records import (
    ALL_LOSSES,
    Duty,
    Effect,
    Loss,
    Record,
    Sight,
    Start,
)
from inventory.rules.reckoning.calendars import Calendar, in_words

_CARRIERS: tuple[Duty, ...] = ("acknowledgement", "disposition", "status")
_EFFECTS: dict[Duty, Effect] = {
    "suit": "the suit is barred",
    "acknowledgement": "the carrier is late",
    "disposition": "the carrier is late",
    "status": "the carrier is late",
}
_LOSSES: dict[Duty, tuple[Loss, ...]] = {
    "apparent-notice": ("damage", "shortage", "refused"),
    "concealed-notice": ("damage", "shortage"),
    "delay-notice": ("delay",),
}
_ASK = (
    "It is shorter than the floor of {authority}. Contract carriage can agree to "
    "that. Ask the supplier today whether this is contract carriage, and meet this "
    "date."
)
_FLAG = (
    "A term sets it at {day}, shorter than the floor of {authority}, which common "
    "carriage may not go below. Meet the earlier date anyway."
)


def own_record(duty: Duty, term: Term, facts: Facts) -> Record:
    """Return a record for a duty that only the terms impose.

    Raise FactsError where the term gives no count or no unit.
    """
    if term.count is None or term.unit is None:
        raise FactsError(f"The term for {duty} needs both a count and a unit.")
    is_carriers = duty in _CARRIERS
    sights: dict[Duty, Sight] = {
        "apparent-notice": "apparent",
        "concealed-notice": "concealed",
    }
    return Record(
        key=f"{facts.regime}/{duty}",
        duty=duty,
        owed_by="carrier" if is_carriers else "claimant",
        losses=_LOSSES.get(duty, ALL_LOSSES),
        starts=_default_starts(duty, facts),
        pick="earliest",
        count=term.count,
        unit=term.unit,
        effect=_EFFECTS.get(duty, "the claim is barred"),
        authority="",
        confidence="contract term",
        sight=sights.get(duty, "either"),
    )


def _default_starts(duty: Duty, facts: Facts) -> tuple[Start, ...]:
    """Return where a term that names no start begins: the earliest that fits."""
    if duty == "status":
        return (Start("disposition"),)
    if duty in _CARRIERS:
        return (Start("claim-received"),)
    if duty == "suit":
        return (Start("disallowance"),)
    if facts.loss == "non-delivery":
        return (Start("bill"), Start("taken-over"))
    if facts.loss in {"shortage", "refused"} and duty == "claim":
        return (Start("delivery"), Start("bill"))
    return (Start("delivery"),)


def with_term(record: Record, term: Term, facts: Facts) -> Record:
    """Return ``record`` with the term's count, unit and start in place of its own.

    A start whose day is not known leaves the record's own start in place.
    """
    is_new_length = term.count is not None or term.unit is not None
    starts, notes = record.starts, list(record.notes)
    if term.starts is not None:
        wanted = (Start(term.starts),)
        if known_starts(wanted, facts) or not known_starts(record.starts, facts):
            starts = wanted
        else:
            notes.append(
                f"The term counts from {trigger_words(term.starts, facts)}, whose "
                "day is not known. Counted from the usual start until you enter it."
            )
    is_moved = starts != record.starts
    return replace(
        record,
        key=f"{record.key}+term",
        count=record.count if term.count is None else term.count,
        unit=term.unit or record.unit,
        starts=starts,
        plus_days=0 if is_new_length else record.plus_days,
        excepted="none" if is_new_length else record.excepted,
        also=() if is_new_length or is_moved else record.also,
        authority=_authority(record),
        confidence="contract term",
        notes=tuple(notes),
    )


def _authority(record: Record) -> str:
    usual = f", in place of {record.authority}" if record.authority else ""
    return f"contract or tariff term as entered{usual}"


def read_term(
    record: Record, term: Term, facts: Facts, calendar: Calendar
) -> Deadline | None:
    """Return the deadline under the term, compared with the statutory floor.

    On contract carriage, or where that is not known, a term below the floor
    counts and the supplier must be asked. On common carriage the regime's own
    day is the due day, and the term's day the safe one.
    """
    agreed = read_record(with_term(record, term, facts), facts, calendar)
    if agreed is None or record.floor is None:
        return agreed
    if not _is_below_floor(record, agreed, facts, calendar):
        return agreed
    authority = record.floor.authority
    if facts.is_contract_carriage is not False:
        return replace(agreed, notes=(*agreed.notes, _ASK.format(authority=authority)))
    flag = _FLAG.format(day=in_words(agreed.due), authority=authority)
    usual = read_record(record, facts, calendar)
    if usual is None:
        return replace(agreed, notes=(*agreed.notes, flag), standing="disputed")
    return replace(
        usual,
        safe=min(usual.safe, agreed.safe),
        record_key=agreed.record_key,
        notes=(*usual.notes, flag),
    )


def _is_below_floor(
    record: Record, agreed: Deadline, facts: Facts, calendar: Calendar
) -> bool:
    """Return whether the term ends before the statutory floor does.

    The claim floor has no start of its own and is counted from the term's. The
    suit floor is counted from the disallowance; before one, any date is below.
    """
    if record.floor is None:
        return False
    start: dt.date | None = agreed.starts_on
    if any(each.trigger == "disallowance" for each in record.starts):
        start = day_of("disallowance", facts)
    if start is None:
        return True
    floor = replace(
        record, count=record.floor.count, unit=record.floor.unit, plus_days=0
    )
    shift = shift_for(record, start, last_day(floor, start, calendar).due, facts)
    return agreed.due < last_day(floor, start, calendar).due + shift.due_by
