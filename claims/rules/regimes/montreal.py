"""International air carriage: Montreal Convention 1999."""

import datetime as dt

from claims.rules.regimes.records import Floor, Reading, Record, Regime, Start

_FLOOR = Floor(count=2, unit="years", authority="Montreal Art 26")
_NOTICE_FLOOR = Floor(count=14, unit="days", authority="Montreal Art 26")
_DELAY_FLOOR = Floor(count=21, unit="days", authority="Montreal Art 26")
_FORTHWITH = "At once on discovery; this is the last day. In writing."
_COURT = "The court seised counts the period by its own law (Art 35(2))."
_OUGHT = Reading(
    words="The day the aircraft ought to have arrived",
    starts=(Start("agreed-delivery"),),
)

RECORDS = (
    Record(
        key="montreal/apparent",
        duty="apparent-notice",
        owed_by="claimant",
        losses=("damage", "shortage", "refused"),
        sight="apparent",
        starts=(Start("delivery"),),
        count=14,
        unit="days",
        floor=_NOTICE_FLOOR,
        effect="the claim is barred",
        authority="Montreal Art 31(2), (4), 52",
        confidence="secondary",
        notes=(_FORTHWITH, "Receipt without complaint is evidence of good delivery."),
    ),
    Record(
        key="montreal/concealed",
        duty="concealed-notice",
        owed_by="claimant",
        losses=("damage", "shortage"),
        sight="concealed",
        starts=(Start("delivery"),),
        count=14,
        unit="days",
        floor=_NOTICE_FLOOR,
        effect="the claim is barred",
        authority="Montreal Art 31(2), (4), 52",
        confidence="secondary",
        notes=(_FORTHWITH, "Counted from receipt, not from discovery."),
    ),
    Record(
        key="montreal/delay",
        duty="delay-notice",
        owed_by="claimant",
        losses=("delay",),
        starts=(Start("delivery"),),
        count=21,
        unit="days",
        floor=_DELAY_FLOOR,
        effect="the claim is barred",
        authority="Montreal Art 31(2), (4), 52",
        confidence="secondary",
        notes=("In writing, counted from the day the cargo was at our disposal.",),
    ),
    Record(
        key="montreal/suit",
        duty="suit",
        owed_by="claimant",
        losses=("damage", "shortage", "delay", "refused"),
        starts=(Start("arrival"), Start("delivery")),
        count=2,
        unit="years",
        also=(_OUGHT,),
        floor=_FLOOR,
        effect="the suit is barred",
        authority="Montreal Art 35",
        confidence="secondary",
        notes=(
            "Counted from arrival at destination, which may lie before delivery.",
            _COURT,
        ),
    ),
    Record(
        key="montreal/suit-loss",
        duty="suit",
        owed_by="claimant",
        losses=("non-delivery",),
        starts=(Start("agreed-delivery"), Start("arrival")),
        pick="earliest",
        count=2,
        unit="years",
        floor=_FLOOR,
        effect="the suit is barred",
        authority="Montreal Art 35",
        confidence="secondary",
        notes=(
            "Counted from the day the aircraft ought to have arrived.",
            (
                "Conditions on air waybills often ask for written notice within "
                "120 days of issue: read the waybill."
            ),
            _COURT,
        ),
    ),
)

REGIME = Regime(
    key="montreal",
    title="International air carriage (Montreal)",
    authority="Montreal Convention 1999, Arts 31, 35, 52",
    records=RECORDS,
    effective_from=dt.date(2003, 11, 4),
    notes=("The complaint is the claim; without it no action lies, save for fraud.",),
)
