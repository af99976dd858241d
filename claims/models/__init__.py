"""What must be true of stored facts on the upper floor."""

from claims.models.bench_work import BookedMinutes, PartTag
from claims.models.books import (
    BookingBasis,
    ClaimBooking,
    ClaimFigure,
    ClaimPosting,
)
from claims.models.claim_steps import ClaimPayment, ClaimStep, ClaimStepFile
from claims.models.claims import (
    Claim,
    ClaimLine,
    LighterFile,
    Packet,
    PaperDecision,
    PaperTask,
)
from claims.models.counted_bills import CountedBill
from claims.models.deadlines import Deadline, DeadlineOverride
from claims.models.departures import Departure
from claims.models.inspections import Finding, FindingPart, FindingPhoto, Inspection
from claims.models.letters import ClaimLetter
from claims.models.notices import Notice
from claims.models.offers import GoingOnCost, OverlapAnswer
from claims.models.reminders import CalendarFeed, MorningMail
from claims.models.remittances import Remittance
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
from claims.models.told_claims import ToldClaim

__all__ = [
    "BookedMinutes",
    "BookingBasis",
    "CalendarFeed",
    "Claim",
    "ClaimBooking",
    "ClaimFigure",
    "ClaimLetter",
    "ClaimLine",
    "ClaimPayment",
    "ClaimPosting",
    "ClaimStep",
    "ClaimStepFile",
    "CountedBill",
    "Deadline",
    "DeadlineOverride",
    "Departure",
    "Finding",
    "FindingPart",
    "FindingPhoto",
    "GoingOnCost",
    "Inspection",
    "LighterFile",
    "LineDecision",
    "ModelEntry",
    "MorningMail",
    "Notice",
    "OverlapAnswer",
    "Packet",
    "PaperDecision",
    "PaperTask",
    "PartTag",
    "Remittance",
    "Setup",
    "SetupList",
    "SetupPhoto",
    "SetupReading",
    "SignOff",
    "Supplement",
    "ToldClaim",
]
