"""What this floor tells the ground floor of itself; ``ClaimsConfig.ready`` hands it in."""

from claims.access import LOCATION_PATHS
from claims.actions.claim.bringing_in import bring_in_claim, retire_claim
from claims.forms.claim.told import ClaimReader
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
from claims.queries.claim.paper_tasks import paper_errands
from claims.queries.claim.way_home import asides_of_return
from claims.queries.core.in_currency import objections_for_bills
from claims.queries.core.way_home import objections_for_lines, objections_for_shorts
from claims.queries.desk.month_end import open_checks
from claims.rules.books.kinds import ACCOUNT_KINDS, ENTRY_KINDS
from claims.rules.claim.told import OPEN_CLAIMS
from claims.rules.core.event_kinds import SENTENCES, TONES
from claims.rules.core.roles import ACTS
from claims.search_kinds import SEARCH_KINDS
from inventory.addresses import DOCK, HOME, MONTH_END, TAILGATE, UNDO
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
from inventory.upper_floor import UpperFloor, UpperList

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
    errands={"documents": paper_errands},
    says={CrateReturn: asides_of_return},
    objects={
        ReturnLine: objections_for_lines,
        ShortCredit: objections_for_shorts,
        Shipment: objections_for_bills,
    },
    holds_up={"month-end": open_checks},
    lists=(UpperList(OPEN_CLAIMS, ClaimReader, bring_in_claim, {Claim: retire_claim}),),
    made_with={
        "claim": (ClaimLine, ClaimPayment, Deadline, ToldClaim),
        "shipment": (Claim, Deadline),
    },
    open_kinds=OPEN_KINDS,
    search_kinds=SEARCH_KINDS,
)
