"""The facts needed to count a deadline, and the deadline itself."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from claims.rules.regimes.records import (
    ClockUnit,
    Confidence,
    Duty,
    Effect,
    Loss,
    Party,
    Trigger,
)

LetterKind = Literal["disallowed", "offer", "offer-and-decline", "paid"]
Standing = Literal["running", "suspended", "disputed", "met"]


class FactsError(ValueError):
    """Deadlines cannot be counted from these facts."""


@dataclass(frozen=True, slots=True)
class Letter:
    """One answer of the carrier in writing: its date, and what it does."""

    on: dt.date
    kind: LetterKind


@dataclass(frozen=True, slots=True)
class Term:
    """What a contract or tariff says about one duty; None leaves the default."""

    count: int | None = None
    unit: ClockUnit | None = None
    starts: Trigger | None = None


@dataclass(frozen=True, slots=True)
class Facts:
    """The known facts of one shipment and its claim.

    ``is_concealed`` and ``is_contract_carriage`` are None where it is not
    known. ``calendar`` is a holiday calendar ("US", "CA-ON"); None takes the
    regime's own. ``as_of`` is the day on which the question is asked.
    """

    regime: str
    loss: Loss = "damage"
    is_concealed: bool | None = None
    bill_on: dt.date | None = None
    taken_over_on: dt.date | None = None
    delivered_on: dt.date | None = None
    refused_on: dt.date | None = None
    agreed_delivery_on: dt.date | None = None
    arrived_on: dt.date | None = None
    discovered_on: dt.date | None = None
    carriage_on: dt.date | None = None
    claim_received_on: dt.date | None = None
    disallowed_on: dt.date | None = None
    documents_returned_on: dt.date | None = None
    letters: tuple[Letter, ...] = ()
    as_of: dt.date | None = None
    calendar: str | None = None
    holidays: tuple[dt.date, ...] = ()
    is_contract_carriage: bool | None = None
    is_through_bill: bool = False
    # Compared, but not hashed: a mapping has no hash.
    terms: Mapping[Duty, Term] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True)
class Deadline:
    """One dated duty.

    ``due`` is the last day by the regime's own table. ``safe`` is a business
    day on or before the earliest reading, unless that is before the clock
    even starts. ``duty`` is a Duty, or "status-1", "status-2" and so on.
    """

    duty: str
    owed_by: Party
    due: dt.date
    safe: dt.date
    starts_on: dt.date
    counted: tuple[str, ...]
    effect: Effect
    authority: str
    confidence: Confidence
    record_key: str
    notes: tuple[str, ...] = ()
    standing: Standing = "running"


@dataclass(frozen=True, slots=True)
class Schedule:
    """The deadlines in date order, with their notes."""

    deadlines: tuple[Deadline, ...]
    notes: tuple[str, ...]
