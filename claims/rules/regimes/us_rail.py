"""US rail carriage: 49 U.S.C. 11706 and 49 CFR Part 1005."""

from dataclasses import replace

from claims.rules.regimes import us_carrier_duties
from claims.rules.regimes.records import ALL_LOSSES, Floor, Record, Regime, Start

_CLAIM_FLOOR = Floor(count=9, unit="months", authority="49 U.S.C. 11706(e)")
_SUIT_FLOOR = Floor(count=2, unit="years", authority="49 U.S.C. 11706(e)")
_NO_START = (
    "The statute sets a floor of nine months and no start: the contract says both."
)
_ACKNOWLEDGEMENT, _DISPOSITION, _STATUS = us_carrier_duties.RECORDS

_CLAIM = Record(
    key="us-rail/claim-damage",
    duty="claim",
    owed_by="claimant",
    losses=("damage", "delay"),
    starts=(Start("delivery"),),
    count=9,
    unit="months",
    floor=_CLAIM_FLOOR,
    effect="the claim is barred",
    authority="49 U.S.C. 11706(e)",
    confidence="from memory",
    notes=(_NO_START,),
)

RECORDS = (
    _CLAIM,
    replace(
        _CLAIM,
        key="us-rail/claim-part",
        losses=("shortage", "refused"),
        starts=(Start("delivery"), Start("bill")),
        pick="earliest",
    ),
    replace(
        _CLAIM,
        key="us-rail/claim-loss",
        losses=("non-delivery",),
        starts=(Start("bill"),),
    ),
    replace(
        _ACKNOWLEDGEMENT,
        key="us-rail/acknowledgement",
        authority="49 CFR 1005.3",
        confidence="from memory",
    ),
    replace(
        _DISPOSITION,
        key="us-rail/disposition",
        authority="49 CFR 1005.5",
        confidence="from memory",
    ),
    replace(
        _STATUS,
        key="us-rail/status",
        authority="49 CFR 1005.5",
        confidence="from memory",
    ),
    Record(
        key="us-rail/suit",
        duty="suit",
        owed_by="claimant",
        losses=ALL_LOSSES,
        starts=(Start("disallowance"),),
        count=2,
        unit="years",
        floor=_SUIT_FLOOR,
        effect="the suit is barred",
        authority="49 U.S.C. 11706(e); Whatley v. Canadian Pacific (8th Cir. 2018)",
        confidence="secondary",
    ),
)

REGIME = Regime(
    key="us-rail",
    title="US rail carriage",
    authority="49 U.S.C. 11706; 49 CFR Part 1005",
    records=RECORDS,
    calendar="US",
    is_inland_us=True,
    notes=(
        "No notice period is set by law: read the contract.",
        "Silence of the carrier starts no suit clock.",
    ),
)
