"""US ocean carriage: Carriage of Goods by Sea Act, 46 U.S.C. 30701 note."""

import datetime as dt

from claims.rules.regimes.records import Floor, Record, Regime, Start

_FLOOR = Floor(count=1, unit="years", authority="COGSA sec. 3(8)")

RECORDS = (
    Record(
        key="cogsa/apparent",
        duty="apparent-notice",
        owed_by="claimant",
        losses=("damage", "shortage", "refused"),
        sight="apparent",
        starts=(Start("delivery"),),
        count=0,
        unit="days",
        effect="the burden shifts",
        authority="COGSA sec. 3(6)",
        confidence="text seen",
        notes=("In writing before or at removal; it may stand on the receipt.",),
    ),
    Record(
        key="cogsa/concealed",
        duty="concealed-notice",
        owed_by="claimant",
        losses=("damage", "shortage"),
        sight="concealed",
        starts=(Start("delivery"),),
        count=3,
        unit="days",
        effect="the burden shifts",
        authority="COGSA sec. 3(6)",
        confidence="text seen",
        notes=("Late notice does not affect the right to sue within the year.",),
    ),
    Record(
        key="cogsa/suit",
        duty="suit",
        owed_by="claimant",
        losses=("damage", "delay"),
        starts=(Start("delivery"),),
        count=1,
        unit="years",
        floor=_FLOOR,
        effect="the suit is barred",
        authority="COGSA sec. 3(6)",
        confidence="text seen",
    ),
    Record(
        key="cogsa/suit-part",
        duty="suit",
        owed_by="claimant",
        losses=("shortage", "refused"),
        starts=(Start("delivery"), Start("agreed-delivery")),
        pick="earliest",
        count=1,
        unit="years",
        floor=_FLOOR,
        effect="the suit is barred",
        authority="COGSA sec. 3(6)",
        confidence="text seen",
    ),
    Record(
        key="cogsa/suit-loss",
        duty="suit",
        owed_by="claimant",
        losses=("non-delivery",),
        starts=(Start("agreed-delivery"),),
        count=1,
        unit="years",
        floor=_FLOOR,
        effect="the suit is barred",
        authority="COGSA sec. 3(6)",
        confidence="text seen",
        notes=("Counted from the day the goods should have been delivered.",),
    ),
)

REGIME = Regime(
    key="cogsa",
    title="US ocean carriage (COGSA)",
    authority="46 U.S.C. 30701 note; 49 Stat. 1207",
    records=RECORDS,
    calendar="US",
    effective_from=dt.date(1936, 7, 15),
    is_ocean=True,
    notes=("No last day for the claim itself: the suit clock runs from delivery.",),
)
