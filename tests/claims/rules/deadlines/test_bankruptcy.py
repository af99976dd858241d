"""The court's last day for a claim. The court sets it: only the safe day is counted.

Holidays of 2026 by 5 U.S.C. 6103(a): Juneteenth on Friday 19 June. 12 June 2026 is a
Friday and 14 June a Sunday by any calendar.
"""

from datetime import date

import pytest

from claims.rules.deadlines.bankruptcy import (
    BankruptcyFacts,
    proof_of_claim_duty,
    stay_words,
)
from inventory.rules.reckoning.calendars import calendar_named

FACTS = BankruptcyFacts(
    carrier="Gannet Overland",
    court="Bankr. D. Neb.",
    case_number="26-40117",
    petition_on=date(2026, 3, 2),
    bar_on=date(2026, 6, 12),
)


def duty(**over):
    facts = BankruptcyFacts(**{**vars_of(FACTS), **over})
    return proof_of_claim_duty(facts, calendar_named("US"))


def vars_of(facts):
    return {name: getattr(facts, name) for name in BankruptcyFacts.__dataclass_fields__}


@pytest.mark.parametrize(
    ("bar", "safe"),
    [
        (date(2026, 6, 12), date(2026, 6, 12)),
        (date(2026, 6, 14), date(2026, 6, 12)),
        (date(2026, 6, 19), date(2026, 6, 18)),
        (date(2026, 6, 21), date(2026, 6, 18)),
    ],
)
def test_the_safe_day_is_a_business_day_on_or_before_the_bar_date(bar, safe):
    found = duty(bar_on=bar)

    assert (found.due, found.safe) == (bar, safe)


def test_the_day_to_send_leaves_days_for_the_mail():
    assert duty(mail_days=5).send_by == date(2026, 6, 5)


def test_without_a_bar_date_there_is_no_day_to_count():
    assert duty(bar_on=None) is None


def test_the_caution_names_the_stay_and_counsel():
    found = duty()

    assert "11 U.S.C. 362" in stay_words(date(2026, 3, 2))
    assert any(
        "11 U.S.C. 362" in note and "Ask counsel" in note for note in found.notes
    )
    assert "from memory" in found.confidence


def test_what_the_court_received_meets_it():
    assert duty(filed_on=date(2026, 4, 1)).met_on == date(2026, 4, 1)
