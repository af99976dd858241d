"""US carriage within one state: U.C.C. 7-309, where no other statute governs."""

from claims.rules.regimes.records import ALL_LOSSES, Record, Regime, Start

RECORDS = (
    Record(
        key="us-intrastate/claim",
        duty="claim",
        owed_by="claimant",
        losses=ALL_LOSSES,
        starts=(Start("delivery"),),
        count=None,
        unit="months",
        effect="the claim is barred",
        authority="U.C.C. 7-309(c): reasonable provisions in the bill or tariff",
        confidence="text seen",
    ),
    Record(
        key="us-intrastate/suit",
        duty="suit",
        owed_by="claimant",
        losses=ALL_LOSSES,
        starts=(Start("disallowance"),),
        count=None,
        unit="years",
        effect="the suit is barred",
        authority="U.C.C. 7-309(c): reasonable provisions in the bill or tariff",
        confidence="text seen",
    ),
)

REGIME = Regime(
    key="us-intrastate",
    title="US carriage within one state",
    authority="U.C.C. 7-309",
    records=RECORDS,
    calendar="US",
    notes=(
        (
            "The law gives no number of days: the bill or tariff may set any "
            "reasonable time. Read it today and enter it."
        ),
    ),
)
