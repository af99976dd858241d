"""Canadian road carriage: the provincial uniform conditions of carriage."""

from claims.rules.regimes.records import ALL_LOSSES, Reading, Record, Regime, Start

_CONDITIONS = "Uniform Conditions of Carriage (e.g. O. Reg. 643/05; Quebec T-12, r.6)"
_ESTIMATE = "In writing, with origin, destination, date and an estimated amount."
_SHIPMENT = (Start("shipment"),)
_TAKEN_OVER = Reading(
    words="The day the goods were taken over", starts=(Start("taken-over"),)
)


RECORDS = (
    Record(
        key="canada-road/apparent",
        duty="apparent-notice",
        owed_by="claimant",
        losses=("damage", "shortage", "refused"),
        sight="apparent",
        starts=(Start("delivery"),),
        count=60,
        unit="days",
        effect="the claim is barred",
        authority=f"{_CONDITIONS}, notice of claim",
        confidence="text seen",
        notes=(_ESTIMATE,),
    ),
    Record(
        key="canada-road/concealed",
        duty="concealed-notice",
        owed_by="claimant",
        losses=("damage", "shortage"),
        sight="concealed",
        starts=(Start("delivery"),),
        count=60,
        unit="days",
        effect="the claim is barred",
        authority=f"{_CONDITIONS}, notice of claim",
        confidence="text seen",
        notes=(_ESTIMATE,),
    ),
    Record(
        key="canada-road/delay",
        duty="delay-notice",
        owed_by="claimant",
        losses=("delay",),
        starts=(Start("delivery"),),
        count=60,
        unit="days",
        effect="the claim is barred",
        authority=f"{_CONDITIONS}, notice of claim",
        confidence="text seen",
        notes=(_ESTIMATE,),
    ),
    Record(
        key="canada-road/non-delivery",
        duty="apparent-notice",
        owed_by="claimant",
        losses=("non-delivery",),
        starts=_SHIPMENT,
        count=9,
        unit="months",
        also=(_TAKEN_OVER,),
        effect="the claim is barred",
        authority=f"{_CONDITIONS}, notice of claim on failure to deliver",
        confidence="text seen",
        notes=(_ESTIMATE,),
    ),
    Record(
        key="canada-road/claim",
        duty="claim",
        owed_by="claimant",
        losses=ALL_LOSSES,
        starts=_SHIPMENT,
        count=9,
        unit="months",
        also=(_TAKEN_OVER,),
        effect="the claim is barred",
        authority=f"{_CONDITIONS}, final statement of claim",
        confidence="text seen",
        notes=(
            "Counted from shipment, not from delivery.",
            "Send a copy of the paid freight bill with it.",
        ),
    ),
    Record(
        key="canada-road/suit",
        duty="suit",
        owed_by="claimant",
        losses=ALL_LOSSES,
        starts=(Start("discovery"),),
        count=None,
        unit="years",
        effect="the suit is barred",
        authority="the province's limitation act",
        confidence="from memory",
    ),
)

REGIME = Regime(
    key="canada-road",
    title="Canadian road carriage",
    authority=_CONDITIONS,
    records=RECORDS,
    calendar="CA",
    notes=(
        "Each province has its own regulation: compare the words on the bill.",
        "No clock of the carrier was found in the conditions for general freight.",
    ),
)
