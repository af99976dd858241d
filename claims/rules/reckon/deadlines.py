"""What-if questions about deadlines: these facts, these dated duties."""

from typing import Any

from claims.rules.deadlines.counting import schedule_for
from claims.rules.deadlines.facts import (
    Deadline,
    Facts,
    FactsError,
    Letter,
    LetterKind,
    Term,
)
from claims.rules.regimes import REGIMES, VERSION
from claims.rules.regimes.records import (
    DUTIES,
    LOSSES,
    TRIGGERS,
    ClockUnit,
    Duty,
)
from inventory.rules.reckon.reading import Reader, ReckonError
from inventory.rules.reckoning.calendars import CalendarError
from inventory.rules.reckoning.periods import MOST, UNITS, PeriodError

_DAYS = (
    "bill_date",
    "taken_over_on",
    "delivered_on",
    "refused_on",
    "agreed_delivery_on",
    "arrived_on",
    "discovered_on",
    "carriage_on",
    "claim_received_on",
    "disallowed_on",
    "documents_returned_on",
    "as_of",
)
_KEYS = (
    *("regime", "loss", "concealed", *_DAYS, "letters", "calendar", "holidays"),
    *("contract_carriage", "through_bill", "terms"),
)
_CLOCK_UNITS: tuple[ClockUnit, ...] = (*UNITS, "hours")
_KINDS: tuple[LetterKind, ...] = ("disallowed", "offer", "offer-and-decline", "paid")


def reckon_deadlines(obj: dict[str, Any]) -> dict[str, Any]:
    """Return ``deadlines`` in date order, ``notes`` and the rules' ``version``."""
    facts = _facts(Reader(obj, keys=_KEYS, required=("regime",)))
    try:
        schedule = schedule_for(facts)
    except (CalendarError, FactsError, PeriodError) as error:
        raise ReckonError(str(error)) from None
    return {
        "deadlines": [_shown(each) for each in schedule.deadlines],
        "notes": list(schedule.notes),
        "version": VERSION,
    }


def _facts(reader: Reader) -> Facts:
    return Facts(
        regime=reader.need(reader.one_of(tuple(REGIMES)), "regime"),
        loss=reader.one_of(LOSSES)("loss") or "damage",
        is_concealed=reader.flag("concealed"),
        bill_on=reader.day("bill_date"),
        taken_over_on=reader.day("taken_over_on"),
        delivered_on=reader.day("delivered_on"),
        refused_on=reader.day("refused_on"),
        agreed_delivery_on=reader.day("agreed_delivery_on"),
        arrived_on=reader.day("arrived_on"),
        discovered_on=reader.day("discovered_on"),
        carriage_on=reader.day("carriage_on"),
        claim_received_on=reader.day("claim_received_on"),
        disallowed_on=reader.day("disallowed_on"),
        documents_returned_on=reader.day("documents_returned_on"),
        letters=_letters(reader),
        as_of=reader.day("as_of"),
        calendar=reader.text("calendar"),
        holidays=reader.days("holidays"),
        is_contract_carriage=reader.flag("contract_carriage"),
        is_through_bill=reader.flag("through_bill") or False,
        terms=_terms(reader),
    )


def _letters(reader: Reader) -> tuple[Letter, ...]:
    keys = ("on", "kind")
    return tuple(
        Letter(
            on=letter.need(letter.day, "on"),
            kind=letter.need(letter.one_of(_KINDS), "kind"),
        )
        for letter in reader.inner_list("letters", keys=keys, required=keys)
    )


def _terms(reader: Reader) -> dict[Duty, Term]:
    """Return the contract's terms by duty; raise ReckonError for an unknown duty."""
    terms = reader.inner("terms", keys=DUTIES)
    if terms is None:
        return {}
    found: dict[Duty, Term] = {}
    for duty in DUTIES:
        term = terms.inner(duty, keys=("count", "unit", "starts"))
        if term is not None:
            found[duty] = Term(
                count=term.whole("count", most=MOST),
                unit=term.one_of(_CLOCK_UNITS)("unit"),
                starts=term.one_of(TRIGGERS)("starts"),
            )
    return found


def _shown(deadline: Deadline) -> dict[str, Any]:
    return {
        "duty": deadline.duty,
        "owed_by": deadline.owed_by,
        "due": deadline.due.isoformat(),
        "safe": deadline.safe.isoformat(),
        "starts_on": deadline.starts_on.isoformat(),
        "counted": list(deadline.counted),
        "effect": deadline.effect,
        "authority": deadline.authority,
        "confidence": deadline.confidence,
        "notes": list(deadline.notes),
        "standing": deadline.standing,
        "record": deadline.record_key,
    }
