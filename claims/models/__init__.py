"""What must be true of stored facts on the upper floor."""

from claims.models.claims import Claim, ClaimLine, Packet, PaperDecision
from claims.models.deadlines import Deadline, DeadlineOverride
from claims.models.inspections import Finding, FindingPart, FindingPhoto, Inspection
from claims.models.notices import Notice
from claims.models.supplements import Supplement

__all__ = [
    "Claim",
    "ClaimLine",
    "Deadline",
    "DeadlineOverride",
    "Finding",
    "FindingPart",
    "FindingPhoto",
    "Inspection",
    "Notice",
    "Packet",
    "PaperDecision",
    "Supplement",
]
