"""International rail carriage: CIM, Appendix B to COTIF 1999."""

import datetime as dt

from claims.rules.regimes.records import Floor, Record, Regime, Start

_FLOOR = Floor(count=1, unit="years", authority="CIM Art 5")
_SUSPENDED = (
    "A written claim suspends it until the carrier refuses in writing and returns "
    "the documents."
)
_WILFUL = "Two years for wilful misconduct and the other cases of Art 48(1)."

RECORDS = (
    Record(
        key="cim/apparent",
        duty="apparent-notice",
        owed_by="claimant",
        losses=("damage", "shortage", "refused"),
        sight="apparent",
        starts=(Start("delivery"),),
        count=0,
        unit="days",
        effect="the claim is barred",
        authority="CIM Arts 42, 47(2)",
        confidence="from memory",
        notes=("Have the carrier ascertain it before the goods are accepted.",),
    ),
    Record(
        key="cim/concealed",
        duty="concealed-notice",
        owed_by="claimant",
        losses=("damage", "shortage"),
        sight="concealed",
        starts=(Start("delivery"),),
        count=7,
        unit="days",
        effect="the claim is barred",
        authority="CIM Art 47(2)(b)",
        confidence="from memory",
        notes=("Ask for ascertainment at once on discovery; this is the last day.",),
    ),
    Record(
        key="cim/delay",
        duty="delay-notice",
        owed_by="claimant",
        losses=("delay",),
        starts=(Start("delivery"),),
        count=60,
        unit="days",
        effect="the claim is barred",
        authority="CIM Art 47(2)(c)",
        confidence="from memory",
    ),
    Record(
        key="cim/suit-delivered",
        duty="suit",
        owed_by="claimant",
        losses=("damage", "shortage", "delay", "refused"),
        starts=(Start("delivery"),),
        count=1,
        unit="years",
        floor=_FLOOR,
        is_suspended_by_claim=True,
        effect="the suit is barred",
        authority="CIM Art 48(1), (2)(b), (3)",
        confidence="from memory",
        notes=(_SUSPENDED, _WILFUL),
    ),
    Record(
        key="cim/suit-total-loss",
        duty="suit",
        owed_by="claimant",
        losses=("non-delivery",),
        starts=(Start("agreed-delivery", plus=30),),
        count=1,
        unit="years",
        floor=_FLOOR,
        is_suspended_by_claim=True,
        effect="the suit is barred",
        authority="CIM Art 48(1), (2)(a), (3)",
        confidence="from memory",
        notes=(
            "The agreed day of delivery stands for the end of the transit period.",
            _SUSPENDED,
            _WILFUL,
        ),
    ),
)

REGIME = Regime(
    key="cim",
    title="International rail carriage (CIM)",
    authority="COTIF 1999, Appendix B (CIM), Arts 42, 47, 48",
    records=RECORDS,
    effective_from=dt.date(2006, 7, 1),
    notes=(
        "Accepting the goods ends the right of action unless the loss was ascertained.",
    ),
)
