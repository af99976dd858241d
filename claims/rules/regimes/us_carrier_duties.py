"""What a US motor carrier owes once it has a claim: 49 CFR Part 370."""

from claims.rules.regimes.records import ALL_LOSSES, Record, Start

RECORDS = (
    Record(
        key="us-carrier/acknowledgement",
        duty="acknowledgement",
        owed_by="carrier",
        losses=ALL_LOSSES,
        starts=(Start("claim-received"),),
        count=30,
        unit="days",
        effect="the carrier is late",
        authority="49 CFR 370.5(a)",
        confidence="secondary",
        notes=(
            "In writing, and it must say what further documents are needed.",
            "Not owed when the claim is paid or declined within the 30 days.",
        ),
    ),
    Record(
        key="us-carrier/disposition",
        duty="disposition",
        owed_by="carrier",
        losses=ALL_LOSSES,
        starts=(Start("claim-received"),),
        count=120,
        unit="days",
        effect="the carrier is late",
        authority="49 CFR 370.9(a)",
        confidence="secondary",
        notes=(
            "Pay, decline or make a firm compromise offer, in writing.",
            "Lateness neither grants nor declines the claim.",
        ),
    ),
    Record(
        key="us-carrier/status",
        duty="status",
        owed_by="carrier",
        losses=ALL_LOSSES,
        starts=(Start("disposition"),),
        count=60,
        unit="days",
        effect="the carrier is late",
        authority="49 CFR 370.9(b)",
        confidence="secondary",
        notes=("Status and reason for the delay, at the end of each 60 days.",),
    ),
)
