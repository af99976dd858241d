"""What must be true of stored facts on the upper floor."""

from claims.models.bench_work import BookedMinutes, PartTag
from claims.models.claim_steps import ClaimPayment, ClaimStep, ClaimStepFile
from claims.models.claims import (
    Claim,
    ClaimLine,
    LighterFile,
    Packet,
    PaperDecision,
)
from claims.models.deadlines import Deadline, DeadlineOverride
from claims.models.departures import Departure
from claims.models.inspections import Finding, FindingPart, FindingPhoto, Inspection
from claims.models.letters import ClaimLetter
from claims.models.notices import Notice
from claims.models.reminders import CalendarFeed, MorningMail
from claims.models.setups import (
    LineDecision,
    ModelEntry,
    Setup,
    SetupList,
    SetupPhoto,
    SetupReading,
    SignOff,
)
from claims.models.supplements import Supplement

__all__ = [
    "BookedMinutes",
    "CalendarFeed",
    "Claim",
    "ClaimLetter",
    "ClaimLine",
    "ClaimPayment",
    "ClaimStep",
    "ClaimStepFile",
    "Deadline",
    "DeadlineOverride",
    "Departure",
    "Finding",
    "FindingPart",
    "FindingPhoto",
    "Inspection",
    "LighterFile",
    "LineDecision",
    "ModelEntry",
    "MorningMail",
    "Notice",
    "Packet",
    "PaperDecision",
    "PartTag",
    "Setup",
    "SetupList",
    "SetupPhoto",
    "SetupReading",
    "SignOff",
    "Supplement",
]
