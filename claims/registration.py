"""What this floor tells the ground floor of itself; ``ClaimsConfig.ready`` hands it in."""

from claims.access import LOCATION_PATHS
from claims.counted_bills import COUNTED, count_followers
from claims.models import (
    BookedMinutes,
    BookingBasis,
    Claim,
    ClaimBooking,
    ClaimFigure,
    ClaimLetter,
    ClaimLine,
    ClaimPayment,
    ClaimPosting,
    ClaimStep,
    ClaimStepFile,
    CountedBill,
    Deadline,
    DeadlineOverride,
    Departure,
    Finding,
    FindingPhoto,
    GoingOnCost,
    LighterFile,
    LineDecision,
    ModelEntry,
    Notice,
    OverlapAnswer,
    Packet,
    PaperDecision,
    PaperTask,
    PartTag,
    Remittance,
    Setup,
    SetupList,
    SetupPhoto,
    SetupReading,
    SignOff,
    ToldClaim,
)
from claims.open_kinds import OPEN_KINDS
from claims.rules.books.kinds import ACCOUNT_KINDS, ENTRY_KINDS
from claims.rules.claim.told import OPEN_CLAIMS
from claims.rules.core.event_kinds import SENTENCES, TONES
from claims.rules.core.roles import ACTS
from claims.search_kinds import SEARCH_KINDS
from inventory.addresses import DOCK, HOME, MONTH_END, TAILGATE, UNDO
from inventory.lists_above import UpperList
from inventory.models import (
    Carrier,
    Crate,
    CrateReturn,
    Delivery,
    PackagingHold,
    ReturnLine,
    Shipment,
    ShortCredit,
    Unit,
)
from inventory.rules.core.registry import Later
from inventory.upper_floor import UpperFloor

FLOOR = UpperFloor(
    pages={
        Carrier: "carrier",
        Claim: "claim",
        ClaimLetter: "claim_letter",
        Crate: "crate",
        Delivery: "delivery",
        Finding: "finding",
        Notice: "notice",
        PackagingHold: "packaging_hold",
        PartTag: "part_tag",
        Remittance: "remittance",
        Shipment: "shipment",
        Unit: "unit",
    },
    places={
        DOCK: "dock",
        HOME: "home",
        MONTH_END: "month_end",
        TAILGATE: "tailgate",
        UNDO: "undo",
    },
    location_paths=LOCATION_PATHS,
    append_only=(
        Packet,
        LighterFile,
        FindingPhoto,
        DeadlineOverride,
        PaperDecision,
        PaperTask,
        ClaimPayment,
        ClaimStep,
        ClaimStepFile,
        GoingOnCost,
        OverlapAnswer,
        SetupList,
        ModelEntry,
        Setup,
        SetupReading,
        SetupPhoto,
        LineDecision,
        SignOff,
        Departure,
        BookedMinutes,
        BookingBasis,
        ToldClaim,
        ClaimBooking,
        ClaimFigure,
        ClaimPosting,
    ),
    fixed={ClaimLetter: ClaimLetter.FIXED, Remittance: Remittance.FIXED},
    acts=ACTS,
    sentences=SENTENCES,
    tones=TONES,
    accounts=ACCOUNT_KINDS,
    entries=ENTRY_KINDS,
    errands={"documents": Later("claims.queries.claim.paper_tasks", "paper_errands")},
    says={CrateReturn: Later("claims.queries.claim.way_home", "asides_of_return")},
    objects={
        ReturnLine: Later("claims.queries.core.way_home", "objections_for_lines"),
        ShortCredit: Later("claims.queries.core.way_home", "objections_for_shorts"),
        Shipment: Later("claims.queries.core.in_currency", "objections_for_bills"),
    },
    holds_up={"month-end": Later("claims.queries.desk.month_end", "open_checks")},
    lists=(
        UpperList(
            OPEN_CLAIMS,
            Later("claims.forms.claim.told", "ClaimReader"),
            Later("claims.actions.claim.bringing_in", "bring_in_claim"),
            {Claim: Later("claims.actions.claim.bringing_in", "retire_claim")},
        ),
    ),
    made_with={
        "claim": (ClaimLine, ClaimPayment, Deadline, ToldClaim),
        "shipment": (Claim, CountedBill, Deadline),
    },
    open_kinds=OPEN_KINDS,
    search_kinds=SEARCH_KINDS,
    followers={one.name: one for one in count_followers()},
    recomputed={COUNTED: Later("claims.actions.core.recounting", "wrong_counts")},
)
