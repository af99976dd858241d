"""What this floor tells the ground floor of itself; ``ClaimsConfig.ready`` hands it in."""

from claims.access import LOCATION_PATHS
from claims.models import (
    BookedMinutes,
    Claim,
    ClaimLetter,
    ClaimPayment,
    ClaimStep,
    ClaimStepFile,
    DeadlineOverride,
    Departure,
    Finding,
    FindingPhoto,
    LighterFile,
    LineDecision,
    ModelEntry,
    Notice,
    Packet,
    PaperDecision,
    PartTag,
    Setup,
    SetupList,
    SetupPhoto,
    SetupReading,
    SignOff,
)
from claims.rules.core.event_kinds import SENTENCES, TONES
from claims.rules.core.roles import ACTS
from inventory.addresses import DOCK, HOME, TAILGATE, UNDO
from inventory.models import Crate, Delivery, PackagingHold, Shipment, Unit
from inventory.upper_floor import UpperFloor

FLOOR = UpperFloor(
    pages={
        Claim: "claim",
        ClaimLetter: "claim_letter",
        Crate: "crate",
        Delivery: "delivery",
        Finding: "finding",
        Notice: "notice",
        PackagingHold: "packaging_hold",
        PartTag: "part_tag",
        Shipment: "shipment",
        Unit: "unit",
    },
    places={DOCK: "dock", HOME: "home", TAILGATE: "tailgate", UNDO: "undo"},
    location_paths=LOCATION_PATHS,
    append_only=(
        Packet,
        LighterFile,
        FindingPhoto,
        DeadlineOverride,
        PaperDecision,
        ClaimPayment,
        ClaimStep,
        ClaimStepFile,
        SetupList,
        ModelEntry,
        Setup,
        SetupReading,
        SetupPhoto,
        LineDecision,
        SignOff,
        Departure,
        BookedMinutes,
    ),
    fixed={ClaimLetter: ClaimLetter.FIXED},
    acts=ACTS,
    sentences=SENTENCES,
    tones=TONES,
)
