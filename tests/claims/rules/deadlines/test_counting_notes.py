"""What a deadline says beside its day: what is missing, disputed or due at once."""

import datetime as dt

import pytest

from claims.rules.deadlines.counting import deadlines_for, schedule_for
from claims.rules.deadlines.facts import Facts, Letter, Term

D = dt.date
NOV_20 = D(2026, 11, 20)


def of(duty, regime="us-motor", **facts):
    """Return the one deadline of that duty."""
    (found,) = [x for x in deadlines_for(Facts(regime, **facts)) if x.duty == duty]
    return found


def test_a_number_that_the_law_leaves_open_is_asked_for_by_its_duty():
    notes = schedule_for(Facts("us-intrastate", delivered_on=NOV_20)).notes
    asked = [note for note in notes if note.startswith("No date for")]
    assert [note.split(":")[0] for note in asked] == [
        "No date for claim",
        "No date for suit",
    ]
    assert all("Read the bill or tariff and enter its term." in n for n in asked)


def test_a_number_that_a_term_gives_is_not_asked_for():
    terms = {"claim": Term(count=9, unit="months")}
    facts = Facts("us-intrastate", delivered_on=NOV_20, terms=terms)
    notes = " ".join(schedule_for(facts).notes)
    assert "No date for claim" not in notes
    assert "No date for suit" in notes


@pytest.mark.parametrize("billed", [D(2026, 11, 10), None])
def test_without_the_bills_date_it_is_said_that_another_chose_the_rule(billed):
    notice = of(
        "concealed-notice", is_concealed=True, delivered_on=NOV_20, bill_on=billed
    )
    says = "The bill's date is not known, so another date chose the rule in force."
    assert (says in notice.notes) is (billed is None)


def test_what_is_due_at_once_says_so_in_one_sentence():
    notice = of("apparent-notice", is_concealed=False, delivered_on=NOV_20)
    assert notice.due == NOV_20
    assert notice.counted[-1] == "It is due on that day itself."


def test_a_disputed_letter_is_counted_by_the_stricter_reading_too():
    # The older bill: two years and one day; read without the odd day, two years.
    letters = (Letter(D(2026, 3, 10), "offer-and-decline"),)
    suit = of("suit", "us-motor-older", letters=letters, disallowed_on=D(2026, 5, 11))
    assert suit.due == D(2028, 5, 12)
    words = [n for n in suit.notes if "both offers and declines; counted" in n]
    assert words[0].endswith("it ends Fri 10 Mar 2028.")
    assert suit.safe == D(2028, 3, 10)


def test_a_through_bill_counts_from_the_first_day_of_delivery():
    facts = {"delivered_on": NOV_20, "is_through_bill": True}
    suit = of("suit", refused_on=D(2026, 11, 24), **facts)
    assert suit.due == D(2027, 11, 20)
