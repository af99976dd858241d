"""US interstate motor carriage under the uniform bill before August 2016."""

import datetime as dt
from dataclasses import replace

from claims.rules.regimes import us_carrier_duties, us_motor
from claims.rules.regimes.records import ALL_LOSSES, Reading, Record, Regime, Start

_BILL = "Uniform Straight Bill of Lading sec. 3, before 13 Aug 2016"
_RECEIVED = "It must have reached the carrier by then, with a stated amount."
_FROM_BILL = Reading(
    words="A reasonable time for delivery has no date: it cannot end before the bill's",
    starts=(Start("bill"),),
)

RECORDS = (
    replace(us_motor.APPARENT, key="us-motor-older/apparent"),
    replace(
        us_motor.CONCEALED_15_DAYS,
        key="us-motor-older/concealed",
        effective_until=None,
        authority="NMFC Item 300135, as it stood under the older bill",
        also=(
            Reading(
                words="The classification item in force since 18 April 2015",
                count=5,
                unit="business-days",
                effective_from=dt.date(2015, 4, 18),
            ),
        ),
    ),
    Record(
        key="us-motor-older/claim-damage",
        duty="claim",
        owed_by="claimant",
        losses=("damage", "delay"),
        starts=(Start("delivery"),),
        count=9,
        unit="months",
        floor=us_motor.CLAIM_FLOOR,
        effect="the claim is barred",
        authority=_BILL,
        confidence="text seen",
        notes=(
            _RECEIVED,
            "Export: counted from delivery at the port of export.",
        ),
    ),
    Record(
        key="us-motor-older/claim-part",
        duty="claim",
        owed_by="claimant",
        losses=("shortage", "refused"),
        starts=(Start("delivery"), Start("agreed-delivery")),
        pick="earliest",
        count=9,
        unit="months",
        also=(_FROM_BILL,),
        floor=us_motor.CLAIM_FLOOR,
        effect="the claim is barred",
        authority=_BILL,
        confidence="text seen",
        notes=(_RECEIVED,),
    ),
    Record(
        key="us-motor-older/claim-loss",
        duty="claim",
        owed_by="claimant",
        losses=("non-delivery",),
        starts=(Start("agreed-delivery"), Start("bill")),
        count=9,
        unit="months",
        also=(_FROM_BILL,),
        floor=us_motor.CLAIM_FLOOR,
        effect="the claim is barred",
        authority=_BILL,
        confidence="text seen",
        notes=(
            _RECEIVED,
            (
                "The bill counts from the end of a reasonable time for delivery; the "
                "agreed day stands for it, or where there is none the bill's date."
            ),
        ),
    ),
    *us_carrier_duties.RECORDS,
    Record(
        key="us-motor-older/suit",
        duty="suit",
        owed_by="claimant",
        losses=ALL_LOSSES,
        starts=(Start("disallowance"),),
        count=2,
        unit="years",
        plus_days=1,
        also=(Reading(words="Two years without the odd day", count=2, unit="years"),),
        floor=us_motor.SUIT_FLOOR,
        effect="the suit is barred",
        authority=f"{_BILL}: two years and one day",
        confidence="text seen",
    ),
)

REGIME = Regime(
    key="us-motor-older",
    title="US motor carriage, older bill",
    authority="49 U.S.C. 14706; 49 CFR Part 370; uniform bill of lading before 2016",
    records=RECORDS,
    calendar="US",
    is_inland_us=True,
    notes=(
        "The statute sets floors only: the bill, tariff or contract sets the period.",
        "Silence of the carrier starts no suit clock.",
    ),
)
