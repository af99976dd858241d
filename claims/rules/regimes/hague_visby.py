"""Ocean carriage under the Hague-Visby Rules, Brussels 1968."""

import datetime as dt

from claims.rules.regimes.records import Floor, Record, Regime, Start

_FLOOR = Floor(count=1, unit="years", authority="Hague-Visby Art III r.8")
_EXTENDED = "The parties may agree to extend it once the cause of action has arisen."

RECORDS = (
    Record(
        key="hague-visby/apparent",
        duty="apparent-notice",
        owed_by="claimant",
        losses=("damage", "shortage", "refused"),
        sight="apparent",
        starts=(Start("delivery"),),
        count=0,
        unit="days",
        effect="the burden shifts",
        authority="Hague-Visby Art III r.6",
        confidence="from memory",
        notes=("In writing before or at removal.",),
    ),
    Record(
        key="hague-visby/concealed",
        duty="concealed-notice",
        owed_by="claimant",
        losses=("damage", "shortage"),
        sight="concealed",
        starts=(Start("delivery"),),
        count=3,
        unit="days",
        effect="the burden shifts",
        authority="Hague-Visby Art III r.6",
        confidence="from memory",
        notes=("In writing. Late notice is no bar.",),
    ),
    Record(
        key="hague-visby/suit",
        duty="suit",
        owed_by="claimant",
        losses=("damage", "delay"),
        starts=(Start("delivery"),),
        count=1,
        unit="years",
        floor=_FLOOR,
        effect="the suit is barred",
        authority="Hague-Visby Art III r.6",
        confidence="from memory",
        notes=(_EXTENDED,),
    ),
    Record(
        key="hague-visby/suit-part",
        duty="suit",
        owed_by="claimant",
        losses=("shortage", "refused"),
        starts=(Start("delivery"), Start("agreed-delivery")),
        pick="earliest",
        count=1,
        unit="years",
        floor=_FLOOR,
        effect="the suit is barred",
        authority="Hague-Visby Art III r.6",
        confidence="from memory",
        notes=(_EXTENDED,),
    ),
    Record(
        key="hague-visby/suit-loss",
        duty="suit",
        owed_by="claimant",
        losses=("non-delivery",),
        starts=(Start("agreed-delivery"),),
        count=1,
        unit="years",
        floor=_FLOOR,
        effect="the suit is barred",
        authority="Hague-Visby Art III r.6",
        confidence="from memory",
        notes=(
            "Counted from the day the goods should have been delivered.",
            _EXTENDED,
        ),
    ),
)

REGIME = Regime(
    key="hague-visby",
    title="Ocean carriage (Hague-Visby)",
    authority="Hague-Visby Rules, Brussels 1968, Art III",
    records=RECORDS,
    effective_from=dt.date(1977, 6, 23),
    is_ocean=True,
    notes=("No last day for the claim itself: the suit clock runs from delivery.",),
)
