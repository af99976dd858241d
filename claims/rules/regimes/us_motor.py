"""US interstate motor carriage under the 2016 uniform bill of lading."""

import datetime as dt

from claims.rules.regimes import us_carrier_duties
from claims.rules.regimes.records import ALL_LOSSES, Floor, Record, Regime, Start

_BILL_2016 = "Uniform Straight Bill of Lading (NMF 100-AP Supp. 2, 13 Aug 2016)"
_FIVE_DAYS_FROM = dt.date(2015, 4, 18)

CLAIM_FLOOR = Floor(count=9, unit="months", authority="49 U.S.C. 14706(e)(1)")
SUIT_FLOOR = Floor(count=2, unit="years", authority="49 U.S.C. 14706(e)(1)")

APPARENT = Record(
    key="us-motor/apparent",
    duty="apparent-notice",
    owed_by="claimant",
    losses=("damage", "shortage", "refused"),
    sight="apparent",
    starts=(Start("delivery"),),
    count=0,
    unit="days",
    effect="the burden shifts",
    authority="NMFC Item 300105-A (18 Apr 2015); trade practice before",
    confidence="secondary",
    notes=(
        "Write it on the delivery receipt: pieces, crate, what and where.",
        (
            "A clear receipt is evidence of good delivery, not proof: "
            "it can be rebutted (GAO B-185283)."
        ),
    ),
)

CONCEALED_15_DAYS = Record(
    key="us-motor/concealed-15-days",
    duty="concealed-notice",
    owed_by="claimant",
    losses=("damage", "shortage"),
    sight="concealed",
    starts=(Start("delivery"),),
    count=15,
    unit="days",
    effective_until=_FIVE_DAYS_FROM,
    effect="the burden shifts",
    authority="NMFC Item 300135, as it stood before 18 Apr 2015",
    confidence="secondary",
    notes=("Ask for an inspection in the same notice; confirm it in writing.",),
)

RECORDS = (
    APPARENT,
    CONCEALED_15_DAYS,
    Record(
        key="us-motor/concealed",
        duty="concealed-notice",
        owed_by="claimant",
        losses=("damage", "shortage"),
        sight="concealed",
        starts=(Start("delivery"),),
        count=5,
        unit="business-days",
        effective_from=_FIVE_DAYS_FROM,
        effect="the burden shifts",
        authority="NMFC Item 300135-A(e), (f) (18 Apr 2015)",
        confidence="text seen",
        notes=(
            "Ask for an inspection in the same notice; confirm it in writing.",
            (
                "Counted from delivery, not from discovery. Business days are not "
                "defined in the item: Monday to Friday less holidays is our reading."
            ),
            (
                "Late notice does not lose the claim: the consignee must then show "
                "that it did not happen after delivery."
            ),
        ),
    ),
    Record(
        key="us-motor/claim-damage",
        duty="claim",
        owed_by="claimant",
        losses=("damage", "delay"),
        starts=(Start("delivery"),),
        count=9,
        unit="months",
        floor=CLAIM_FLOOR,
        effect="the claim is barred",
        authority=f"{_BILL_2016} sec. 3(b); NMFC Item 300105-A",
        confidence="secondary",
        notes=("It must have reached the carrier by then, with a stated amount.",),
    ),
    Record(
        key="us-motor/claim-part",
        duty="claim",
        owed_by="claimant",
        losses=("shortage", "refused"),
        starts=(Start("delivery"), Start("bill")),
        pick="earliest",
        count=9,
        unit="months",
        floor=CLAIM_FLOOR,
        effect="the claim is barred",
        authority=f"{_BILL_2016} sec. 3(b); NMFC Item 300105-A",
        confidence="secondary",
        notes=(
            "It must have reached the carrier by then, with a stated amount.",
            (
                "Damage runs from delivery, loss from the bill's date; which of them "
                "covers a part missing or refused is not settled: the earlier counts."
            ),
        ),
    ),
    Record(
        key="us-motor/claim-loss",
        duty="claim",
        owed_by="claimant",
        losses=("non-delivery",),
        starts=(Start("bill"),),
        count=9,
        unit="months",
        floor=CLAIM_FLOOR,
        effect="the claim is barred",
        authority=f"{_BILL_2016} sec. 3(b); NMFC Item 300105-A",
        confidence="secondary",
        notes=("It must have reached the carrier by then, with a stated amount.",),
    ),
    *us_carrier_duties.RECORDS,
    Record(
        key="us-motor/suit",
        duty="suit",
        owed_by="claimant",
        losses=ALL_LOSSES,
        starts=(Start("disallowance"),),
        count=2,
        unit="years",
        floor=SUIT_FLOOR,
        effect="the suit is barred",
        authority=f"{_BILL_2016} sec. 3(c); 49 U.S.C. 14706(e)",
        confidence="secondary",
    ),
)

REGIME = Regime(
    key="us-motor",
    title="US motor carriage, 2016 bill",
    authority="49 U.S.C. 14706; 49 CFR Part 370; uniform bill of lading of 2016",
    records=RECORDS,
    calendar="US",
    effective_from=dt.date(2016, 8, 13),
    is_inland_us=True,
    notes=(
        "The statute sets floors only: the bill, tariff or contract sets the period.",
        "The classification text is proprietary and was not seen after 2017.",
        "Silence of the carrier starts no suit clock.",
    ),
)
