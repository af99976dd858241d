"""The parts of a legal period: frozen records, filled in one module per regime."""

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from inventory.rules.reckoning.periods import Excepted, Unit

Duty = Literal[
    "apparent-notice",
    "concealed-notice",
    "delay-notice",
    "claim",
    "acknowledgement",
    "disposition",
    "status",
    "suit",
]
Loss = Literal["damage", "shortage", "non-delivery", "delay", "refused"]
Party = Literal["claimant", "carrier"]
Trigger = Literal[
    "delivery",
    "bill",
    "shipment",
    "taken-over",
    "agreed-delivery",
    "arrival",
    "refusal",
    "discovery",
    "claim-received",
    "disallowance",
    "disposition",
]
Effect = Literal[
    "the burden shifts",
    "the claim is barred",
    "the suit is barred",
    "the carrier is late",
]
Confidence = Literal["text seen", "secondary", "from memory", "contract term"]
Sight = Literal["apparent", "concealed", "either"]
# Hours stand in contracts only; the table below counts in days and longer.
ClockUnit = Unit | Literal["hours"]

DUTIES: tuple[Duty, ...] = (
    "apparent-notice",
    "concealed-notice",
    "delay-notice",
    "claim",
    "acknowledgement",
    "disposition",
    "status",
    "suit",
)
LOSSES: tuple[Loss, ...] = ("damage", "shortage", "non-delivery", "delay", "refused")
ALL_LOSSES = LOSSES
TRIGGERS: tuple[Trigger, ...] = (
    "delivery",
    "bill",
    "shipment",
    "taken-over",
    "agreed-delivery",
    "arrival",
    "refusal",
    "discovery",
    "claim-received",
    "disallowance",
)


@dataclass(frozen=True, slots=True)
class Start:
    """What starts a clock, and how long after it the clock starts."""

    trigger: Trigger
    plus: int = 0
    plus_unit: Unit = "days"


@dataclass(frozen=True, slots=True)
class Reading:
    """A second, stricter reading: it moves the safe date, never the due one.

    What is None is as in the record itself. ``effective_from`` is the first
    bill date to which the reading applies.
    """

    words: str
    count: int | None = None
    unit: ClockUnit | None = None
    starts: tuple[Start, ...] | None = None
    effective_from: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Floor:
    """The shortest period that a contract of common carriage may set."""

    count: int
    unit: Unit
    authority: str


@dataclass(frozen=True, slots=True)
class Record:
    """One duty under one regime: its clock, its effect, its paragraph.

    ``starts`` are alternatives: the first whose date is known, or the
    ``earliest`` of those known. A ``count`` of None says that the law gives no
    number and the contract must be asked. ``plus_days`` is the odd day of "two
    years and one day". ``effective_from`` and ``effective_until`` (first day
    after) are compared with the bill's date.
    """

    key: str
    duty: Duty
    owed_by: Party
    losses: tuple[Loss, ...]
    starts: tuple[Start, ...]
    count: int | None
    unit: ClockUnit
    effect: Effect
    authority: str
    confidence: Confidence
    sight: Sight = "either"
    pick: Literal["first", "earliest"] = "first"
    plus_days: int = 0
    excepted: Excepted = "none"
    also: tuple[Reading, ...] = ()
    floor: Floor | None = None
    is_suspended_by_claim: bool = False
    effective_from: dt.date | None = None
    effective_until: dt.date | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Regime:
    """One legal regime: its name, its records and what a reader must know.

    ``calendar`` is the holiday calendar used when none is named.
    ``effective_from`` is the table's own date: a bill older than it is noted.
    """

    key: str
    title: str
    authority: str
    records: tuple[Record, ...]
    calendar: str = ""
    effective_from: dt.date | None = None
    is_inland_us: bool = False
    is_ocean: bool = False
    notes: tuple[str, ...] = ()
