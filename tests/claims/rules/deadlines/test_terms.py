"""Contract and tariff terms: they override, and are held against the floor."""

import datetime as dt

import pytest

from claims.rules.deadlines.counting import deadlines_for
from claims.rules.deadlines.facts import Facts, FactsError, Term

D = dt.date
DELIVERED = D(2026, 3, 10)


def of(duty, term, regime="us-motor", **facts):
    facts = {"delivered_on": DELIVERED, **facts}
    asked = Facts(regime, terms={duty: term}, **facts)
    return next((x for x in deadlines_for(asked) if x.duty == duty), None)


def test_a_longer_claim_term_replaces_the_default():
    claim = of("claim", Term(count=12, unit="months"))
    assert claim.due == D(2027, 3, 10)
    assert claim.confidence == "contract term"
    assert claim.authority.startswith("contract or tariff term")


@pytest.mark.parametrize("is_contract", [True, None])
def test_below_the_floor_it_stands_where_contract_carriage_is_possible(is_contract):
    claim = of("claim", Term(count=6, unit="months"), is_contract_carriage=is_contract)
    assert (claim.due, claim.safe) == (D(2026, 9, 10), D(2026, 9, 10))
    notes = " ".join(claim.notes)
    assert "Ask the supplier today" in notes
    assert "unenforceable" not in notes
    assert "may not go below" not in notes


def test_below_the_floor_it_is_flagged_on_common_carriage_and_kept_as_safe():
    claim = of("claim", Term(count=6, unit="months"), is_contract_carriage=False)
    assert (claim.due, claim.safe) == (D(2026, 12, 10), D(2026, 9, 10))
    assert any("may not go below" in note for note in claim.notes)


@pytest.mark.parametrize(
    ("days", "due"),
    [(274, D(2026, 12, 10)), (275, D(2026, 12, 10)), (276, D(2026, 12, 11))],
)
def test_a_term_in_days_is_held_against_the_nine_months_by_date(days, due):
    claim = of("claim", Term(count=days, unit="days"), is_contract_carriage=False)
    assert claim.due == due
    assert any("may not go below" in note for note in claim.notes) is (days < 275)


def test_nine_months_from_the_bill_are_not_below_the_floor():
    term = Term(starts="bill")
    claim = of("claim", term, bill_on=D(2026, 3, 2), is_contract_carriage=False)
    assert claim.due == D(2026, 12, 2)
    assert not any("floor" in note for note in claim.notes)


def test_a_short_suit_term_on_common_carriage_stays_two_years():
    facts = {"disallowed_on": D(2026, 6, 1), "is_contract_carriage": False}
    suit = of("suit", Term(count=1, unit="years"), **facts)
    assert (suit.due, suit.safe) == (D(2028, 6, 1), D(2027, 6, 1))


def test_a_suit_term_counted_from_delivery_runs_before_any_disallowance():
    suit = of("suit", Term(count=2, unit="years", starts="delivery"))
    assert suit.due == D(2028, 3, 10)
    assert any("Ask the supplier today" in note for note in suit.notes)


def test_a_suit_term_from_delivery_on_common_carriage_is_disputed_until_refused():
    term = Term(count=2, unit="years", starts="delivery")
    suit = of("suit", term, is_contract_carriage=False)
    assert (suit.due, suit.standing) == (D(2028, 3, 10), "disputed")


def test_forty_eight_hours_are_no_matter_of_the_floor():
    term = Term(count=48, unit="hours")
    notice = of("concealed-notice", term, is_concealed=True, is_contract_carriage=False)
    assert (notice.due, notice.safe) == (D(2026, 3, 12), D(2026, 3, 11))
    assert not any("floor" in note for note in notice.notes)


@pytest.mark.parametrize(
    ("hours", "due", "safe"),
    [
        (23, D(2026, 3, 10), D(2026, 3, 10)),
        (24, D(2026, 3, 11), D(2026, 3, 10)),
        (47, D(2026, 3, 11), D(2026, 3, 10)),
        (48, D(2026, 3, 12), D(2026, 3, 11)),
    ],
)
def test_hours_end_on_no_later_day_than_they_surely_reach(hours, due, safe):
    notice = of("concealed-notice", Term(count=hours, unit="hours"), is_concealed=True)
    assert (notice.due, notice.safe) == (due, safe)


def test_a_term_may_count_from_discovery():
    term = Term(count=5, unit="days", starts="discovery")
    notice = of(
        "concealed-notice", term, is_concealed=True, discovered_on=D(2026, 3, 16)
    )
    assert (notice.starts_on, notice.due) == (D(2026, 3, 16), D(2026, 3, 21))


def test_a_start_not_known_leaves_the_usual_one_and_says_so():
    term = Term(count=5, unit="days", starts="discovery")
    notice = of("concealed-notice", term, is_concealed=True)
    assert notice.due == D(2026, 3, 15)
    assert any("discovery, whose day is not known" in note for note in notice.notes)


def test_a_term_that_changes_only_the_count_keeps_the_unit():
    notice = of("concealed-notice", Term(count=3), is_concealed=True)
    assert notice.due == D(2026, 3, 13)


def test_a_term_in_days_drops_the_exception_of_sundays():
    term = Term(count=10, unit="days")
    notice = of("concealed-notice", term, "cmr", is_concealed=True)
    assert notice.due == D(2026, 3, 20)


def test_parcel_terms_are_all_the_carrier_has():
    claim = of("claim", Term(count=60, unit="days"), "parcel")
    assert (claim.due, claim.owed_by) == (D(2026, 5, 9), "claimant")


def test_a_carriers_own_promise_counts_from_receipt_of_the_claim():
    term = Term(count=10, unit="business-days")
    answer = of("disposition", term, "parcel", claim_received_on=D(2026, 3, 16))
    assert (answer.due, answer.owed_by) == (D(2026, 3, 30), "carrier")


@pytest.mark.parametrize("term", [Term(count=60), Term(unit="days"), Term()])
def test_a_duty_that_only_the_terms_impose_needs_count_and_unit(term):
    with pytest.raises(FactsError, match="needs both a count and a unit"):
        of("claim", term, "parcel")


def test_a_term_gives_the_number_that_the_law_leaves_open():
    claim = of("claim", Term(count=6, unit="months"), "us-intrastate")
    assert claim.due == D(2026, 9, 10)


def test_status_reports_follow_the_contracts_own_rhythm():
    terms = {"disposition": Term(count=60), "status": Term(count=30)}
    asked = Facts("us-motor", claim_received_on=D(2026, 1, 15), terms=terms)
    found = {x.duty: x.due for x in deadlines_for(asked)}
    assert found["disposition"] == D(2026, 3, 16)
    assert found["status-1"] == D(2026, 4, 15)


def test_a_delay_term_speaks_only_of_delay():
    term = Term(count=7, unit="days")
    assert of("delay-notice", term) is None
    assert of("delay-notice", term, loss="delay").due == D(2026, 3, 17)


def test_a_shorter_cmr_suit_term_is_held_against_the_suspended_year():
    facts = {"claim_received_on": D(2026, 4, 1), "disallowed_on": D(2026, 5, 1)}
    term = Term(count=6, unit="months")
    suit = of("suit", term, "cmr", is_contract_carriage=False, **facts)
    assert (suit.due, suit.safe) == (D(2027, 4, 9), D(2026, 10, 9))


def test_another_start_or_length_leaves_the_regimes_other_readings_behind():
    moved = of("claim", Term(starts="bill"), bill_on=D(2026, 3, 2), loss="shortage")
    assert not any("Counted from delivery" in note for note in moved.notes)
    longer = of("concealed-notice", Term(count=9), is_concealed=True)
    assert not any("ordinary days" in note for note in longer.notes)


def test_a_new_length_leaves_the_stricter_reading_behind():
    # Without the term: 15 days, and five business days as the stricter reading.
    facts = {
        "regime": "us-motor-older",
        "is_concealed": True,
        "bill_on": D(2026, 3, 2),
    }
    notice = of("concealed-notice", Term(count=20, unit="days"), **facts)
    assert (notice.due, notice.safe) == (D(2026, 3, 30), D(2026, 3, 30))


def test_another_start_alone_keeps_the_length_and_what_it_leaves_out():
    # CMR Art 30: seven days, Sundays and holidays not counted.
    facts = {"regime": "cmr", "is_concealed": True, "discovered_on": D(2026, 3, 12)}
    notice = of("concealed-notice", Term(starts="discovery"), **facts)
    assert notice.due == D(2026, 3, 20)


@pytest.mark.parametrize(
    ("duty", "loss", "due"),
    [
        ("apparent-notice", "shortage", D(2026, 3, 15)),
        ("claim", "shortage", D(2026, 3, 7)),
        ("claim", "damage", D(2026, 3, 15)),
    ],
)
def test_a_term_that_names_no_start_begins_where_its_loss_does(duty, loss, due):
    facts = {"regime": "private", "loss": loss, "bill_on": D(2026, 3, 2)}
    found = of(duty, Term(count=5, unit="days"), **facts)
    assert found.due == due


@pytest.mark.parametrize("term", [Term(count=2), Term(unit="months")])
def test_a_count_or_a_unit_alone_leaves_the_odd_day_behind(term):
    # The older bill gives two years and one day. What replaces it has no odd day.
    suit = of("suit", term, "us-motor-older", disallowed_on=D(2026, 5, 11))
    assert suit.due == (D(2028, 5, 11) if term.count else D(2026, 7, 11))


def test_the_floor_of_a_suspended_year_is_suspended_too():
    # CMR Art 32(2): from the claim of 2 March to the refusal of 2 April, 31 days.
    facts = {
        "delivered_on": D(2026, 1, 12),
        "claim_received_on": D(2026, 3, 2),
        "disallowed_on": D(2026, 4, 2),
        "is_contract_carriage": False,
    }
    suit = of("suit", Term(count=360, unit="days"), "cmr", **facts)
    assert (suit.due, suit.safe) == (D(2027, 2, 12), D(2027, 2, 5))


def test_another_start_alone_leaves_the_stricter_readings_behind():
    # The older bill counts nine months from delivery, more strictly from the bill.
    facts = {
        "loss": "shortage",
        "bill_on": D(2026, 3, 2),
        "discovered_on": D(2026, 3, 20),
    }
    usual = of("claim", Term(starts="delivery"), "us-motor-older", **facts)
    claim = of("claim", Term(starts="discovery"), "us-motor-older", **facts)
    assert claim.due == D(2026, 12, 20)
    assert not any("it ends" in note for note in (*claim.notes, *usual.notes))
    own = Facts("us-motor-older", delivered_on=DELIVERED, **facts)
    (bare,) = [each for each in deadlines_for(own) if each.duty == "claim"]
    assert any("it ends" in note for note in bare.notes)
