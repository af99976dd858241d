"""The supplier's own notice periods, as dated duties.

They are contract terms: only the supplier's terms back them, and they run
in addition to the carrier's deadlines, never instead of them.
"""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from claims.rules.deadlines.counted_duty import CountedDuty, send_by
from inventory.rules.reckoning import calendars
from inventory.rules.reckoning.calendars import Calendar
from inventory.rules.reckoning.periods import Period, add_period

KINDS = ("damage", "shortage", "wrong", "defect")
AUTHORITY = "Supplier's terms"
VERSION = "supplier-1"
MAIL_DAYS = 1
"""A notice to a supplier goes by email; one business day to check that it arrived."""

_HIDDEN = frozenset({"damage", "shortage", "wrong"})
"""What a closed crate may still hide; a defect shows only in use."""


@dataclass(frozen=True)
class SupplierTerm:
    """How long the supplier gives: ``kind`` of KINDS, count, unit and start."""

    kind: str
    count: int
    unit: str
    starts: str


@dataclass(frozen=True)
class SupplierFacts:
    """What starts the supplier's periods, for one delivery.

    ``found`` are the kinds of trouble found, each with the day of the first find;
    ``has_closed_crates`` means that a crate may still hide some; a shortage it hides
    only while the count does not agree. ``told_on`` is the day on which the supplier is proven to have been notified.
    """

    supplier: str
    delivered_on: dt.date
    bill_on: dt.date | None = None
    found: Mapping[str, dt.date] = field(default_factory=dict)
    has_closed_crates: bool = False
    count_agrees: bool = False
    told_on: dt.date | None = None


def supplier_duties(
    terms: Sequence[SupplierTerm], facts: SupplierFacts, calendar: Calendar
) -> tuple[CountedDuty, ...]:
    """Return the duties toward the supplier that run or ran for this delivery.

    A period runs when its trouble was found, or may still be in a closed crate.
    """
    hidden = _HIDDEN - {"shortage"} if facts.count_agrees else _HIDDEN
    wanted = set(facts.found) | (hidden if facts.has_closed_crates else frozenset())
    found = (_duty(term, facts, calendar) for term in terms if term.kind in wanted)
    return tuple(duty for duty in found if duty is not None)


def _start(term: SupplierTerm, facts: SupplierFacts) -> tuple[dt.date | None, str]:
    """Return the day the period starts and a note where it had to be assumed."""
    if term.starts == "discovery":
        return facts.found.get(term.kind), ""
    if term.starts == "bill" and facts.bill_on:
        return facts.bill_on, ""
    if term.starts == "invoice":
        day = facts.bill_on or facts.delivered_on
        return min(day, facts.delivered_on), (
            "The invoice date is not on file, so the earlier of bill and delivery "
            "is used, to be safe."
        )
    if term.starts == "bill":
        return (
            facts.delivered_on,
            "The bill's date is not known, so delivery is used.",
        )
    return facts.delivered_on, ""


def _duty(
    term: SupplierTerm, facts: SupplierFacts, calendar: Calendar
) -> CountedDuty | None:
    start, note = _start(term, facts)
    if start is None:
        return None
    counted = add_period(start, _period(term), calendar)
    safe = calendars.on_or_before(counted.due, calendar)
    steps = list(counted.steps)
    if term.unit == "hours":
        steps.insert(
            0, f"{term.count} hours are counted as whole days, the shorter way."
        )
    if safe != counted.due:
        steps.append(
            f"The safe day is the business day before, {calendars.in_words(safe)}."
        )
    return CountedDuty(
        duty=f"supplier-{term.kind}",
        owed_by="claimant",
        record_key=f"supplier/{term.kind}",
        rule_version=VERSION,
        starts_on=start,
        due=counted.due,
        safe=max(safe, start),
        send_by=send_by(max(safe, start), MAIL_DAYS, calendar, start),
        steps=tuple(steps),
        notes=(note,) if note else (),
        effect=f"{facts.supplier} may reject the claim.",
        authority=AUTHORITY,
        confidence="contract term",
        met_on=facts.told_on if term.kind in facts.found else None,
        inputs={
            "period": f"{term.count} {term.unit} from {term.starts}",
            "delivered": facts.delivered_on.isoformat(),
            "bill": facts.bill_on.isoformat() if facts.bill_on else "",
            "start": start.isoformat(),
        },
    )


def _period(term: SupplierTerm) -> Period:
    if term.unit == "hours":
        return Period(count=term.count // 24, unit="days")
    if term.unit == "business-days":
        return Period(count=term.count, unit="business-days")
    if term.unit == "weeks":
        return Period(count=term.count, unit="weeks")
    if term.unit == "months":
        return Period(count=term.count, unit="months")
    if term.unit == "years":
        return Period(count=term.count, unit="years")
    return Period(count=term.count, unit="days")


_KIND_OF_DAMAGE = {
    "short": "shortage",
    "missing": "shortage",
    "over": "wrong",
    "wrong": "wrong",
    "defect": "defect",
}


def supplier_kind(damage_kind: str) -> str:
    """Return which of the supplier's periods a finding of this kind falls under."""
    return _KIND_OF_DAMAGE.get(damage_kind, "damage")


def first_finds(
    finds: Collection[tuple[str, dt.date]],
) -> dict[str, dt.date]:
    """Return each kind of trouble with the day of its first find.

    ``finds`` are pairs of a finding's damage kind and the day it was found.
    """
    found: dict[str, dt.date] = {}
    for damage_kind, day in finds:
        kind = supplier_kind(damage_kind)
        found[kind] = min(found.get(kind, day), day)
    return found
