"""International road carriage: CMR, Geneva 1956, with the Protocol of 1978."""

import datetime as dt

from claims.rules.regimes.records import Floor, Record, Regime, Start

_FLOOR = Floor(count=1, unit="years", authority="CMR Art 41(1)")
_SUSPENDED = (
    "A written claim suspends it until the carrier refuses in writing and returns "
    "the documents; a partial admission restarts it only for what stays disputed."
)
_WILFUL = "Three years for wilful misconduct or its equivalent."

RECORDS = (
    Record(
        key="cmr/apparent",
        duty="apparent-notice",
        owed_by="claimant",
        losses=("damage", "shortage", "refused"),
        sight="apparent",
        starts=(Start("delivery"),),
        count=0,
        unit="days",
        effect="the burden shifts",
        authority="CMR Art 30(1)",
        confidence="secondary",
        notes=("Reservations, in any form, not later than delivery.",),
    ),
    Record(
        key="cmr/concealed",
        duty="concealed-notice",
        owed_by="claimant",
        losses=("damage", "shortage"),
        sight="concealed",
        starts=(Start("delivery"),),
        count=7,
        unit="days",
        excepted="sundays-and-holidays",
        effect="the burden shifts",
        authority="CMR Art 30(1), (4)",
        confidence="secondary",
        notes=("In writing. Saturdays count.",),
    ),
    Record(
        key="cmr/delay",
        duty="delay-notice",
        owed_by="claimant",
        losses=("delay",),
        starts=(Start("delivery"),),
        count=21,
        unit="days",
        effect="the claim is barred",
        authority="CMR Art 30(3), (4)",
        confidence="from memory",
        notes=("In writing, counted from the day the goods were at our disposal.",),
    ),
    Record(
        key="cmr/suit-delivered",
        duty="suit",
        owed_by="claimant",
        losses=("damage", "shortage", "delay"),
        starts=(Start("delivery"),),
        count=1,
        unit="years",
        floor=_FLOOR,
        is_suspended_by_claim=True,
        effect="the suit is barred",
        authority="CMR Art 32(1)(a), (2)",
        confidence="text seen",
        notes=(_SUSPENDED, _WILFUL),
    ),
    Record(
        key="cmr/suit-total-loss",
        duty="suit",
        owed_by="claimant",
        losses=("non-delivery",),
        starts=(Start("agreed-delivery", plus=30), Start("taken-over", plus=60)),
        count=1,
        unit="years",
        floor=_FLOOR,
        is_suspended_by_claim=True,
        effect="the suit is barred",
        authority="CMR Art 32(1)(b), (2)",
        confidence="text seen",
        notes=(_SUSPENDED, _WILFUL),
    ),
    Record(
        key="cmr/suit-other",
        duty="suit",
        owed_by="claimant",
        losses=("refused",),
        starts=(Start("delivery"), Start("bill", plus=3, plus_unit="months")),
        pick="earliest",
        count=1,
        unit="years",
        floor=_FLOOR,
        is_suspended_by_claim=True,
        effect="the suit is barred",
        authority="CMR Art 32(1)(a), (c), (2)",
        confidence="text seen",
        notes=(_SUSPENDED, _WILFUL),
    ),
)

REGIME = Regime(
    key="cmr",
    title="International road carriage (CMR)",
    authority="CMR, Geneva 1956, Arts 30, 32",
    records=RECORDS,
    effective_from=dt.date(1961, 7, 2),
    notes=(
        "The Convention sets no last day for the claim itself; it stops the suit clock.",
        "Name the place's calendar: its public holidays are excepted.",
    ),
)
