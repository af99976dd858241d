"""A carrier in bankruptcy: the court's last day for our claim, as a dated duty.

The court sets the bar date; nothing here counts it. A proof of claim must have reached
the court by then, so the safe day is the business day on or before it.
"""

import datetime as dt
from dataclasses import dataclass

from claims.rules.deadlines.counted_duty import CountedDuty, send_by
from inventory.rules.reckoning import calendars
from inventory.rules.reckoning.calendars import Calendar, in_words

DUTY = "proof-of-claim"
VERSION = "bankruptcy-1"
AUTHORITY = "Bar date of the court (11 U.S.C. 501, 502(b)(9); Fed. R. Bankr. P. 3002(c), 3003(c))"
CONFIDENCE = "from memory"
STAY = (
    "The carrier filed for bankruptcy on {day}. From then on the automatic stay stops "
    "suits and collection against it (11 U.S.C. 362, from memory). Do not sue, and do "
    "not press for payment. Ask counsel."
)


@dataclass(frozen=True)
class BankruptcyFacts:
    """What is recorded of a carrier's bankruptcy, and of our proof of claim.

    ``bar_on`` is None while the court has set no bar date that we know of;
    ``filed_on`` is the day on which the court received our proof of claim.
    """

    carrier: str
    court: str
    case_number: str
    petition_on: dt.date
    bar_on: dt.date | None
    mail_days: int = 5
    filed_on: dt.date | None = None


def stay_words(petition_on: dt.date) -> str:
    """Return the caution that goes with every claim against the carrier."""
    return STAY.format(day=in_words(petition_on))


def proof_of_claim_duty(
    facts: BankruptcyFacts, calendar: Calendar
) -> CountedDuty | None:
    """Return the duty to file the proof of claim; None while no bar date is known."""
    if facts.bar_on is None:
        return None
    safe = calendars.on_or_before(facts.bar_on, calendar)
    steps = [f"The court set {in_words(facts.bar_on)} as the last day."]
    if safe != facts.bar_on:
        steps.append(
            f"The safe day is the business day before, {calendars.in_words(safe)}."
        )
    return CountedDuty(
        duty=DUTY,
        owed_by="claimant",
        record_key="bankruptcy/bar-date",
        rule_version=VERSION,
        starts_on=facts.petition_on,
        due=facts.bar_on,
        safe=max(safe, facts.petition_on),
        send_by=send_by(safe, facts.mail_days, calendar, facts.petition_on),
        steps=tuple(steps),
        notes=(
            "The court must have it by then: what is only mailed does not count.",
            stay_words(facts.petition_on),
        ),
        effect="The claim may get nothing of what the court shares out.",
        authority=AUTHORITY,
        confidence=CONFIDENCE,
        met_on=facts.filed_on,
        inputs={
            "carrier": facts.carrier,
            "court": facts.court,
            "case": facts.case_number,
            "petition": facts.petition_on.isoformat(),
            "bar date": facts.bar_on.isoformat(),
            "days for the mail": str(facts.mail_days),
        },
        is_of_claim=True,
    )
