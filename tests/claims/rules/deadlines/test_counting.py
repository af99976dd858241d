"""The clocks of each regime: the day before, on and after each rule's edge."""

import datetime as dt

import pytest

from claims.rules.deadlines.answers import answered_on
from claims.rules.deadlines.counting import deadlines_for, schedule_for
from claims.rules.deadlines.facts import Facts, FactsError, Letter, Term
from claims.rules.deadlines.starts import first_disputed_on
from claims.rules.regimes import REGIMES
from inventory.rules.reckoning.calendars import CalendarError

D = dt.date
NOV_20 = D(2026, 11, 20)


def of(duty, regime="us-motor", **facts):
    """Return the one deadline of that duty, or None."""
    found = [x for x in deadlines_for(Facts(regime, **facts)) if x.duty == duty]
    assert len(found) <= 1
    return found[0] if found else None


def duties(regime="us-motor", **facts):
    return [each.duty for each in deadlines_for(Facts(regime, **facts))]


def test_the_example_five_business_days_over_thanksgiving():
    notice = of("concealed-notice", is_concealed=True, delivered_on=NOV_20)
    assert (notice.due, notice.safe) == (D(2026, 11, 30), D(2026, 11, 27))
    assert notice.starts_on == NOV_20
    assert "Thu 26 Nov 2026 is left out: Thanksgiving Day." in notice.counted
    assert (
        "If holidays count as ordinary days: it ends Fri 27 Nov 2026." in notice.notes
    )


@pytest.mark.parametrize(
    ("billed", "due"),
    [
        (D(2015, 4, 16), D(2015, 5, 5)),
        (D(2015, 4, 17), D(2015, 5, 5)),
        (D(2015, 4, 18), D(2015, 4, 27)),
        (D(2015, 4, 19), D(2015, 4, 27)),
    ],
)
def test_concealed_damage_goes_by_the_bills_date(billed, due):
    facts = {"is_concealed": True, "bill_on": billed, "delivered_on": D(2015, 4, 20)}
    assert of("concealed-notice", **facts).due == due


def test_the_older_bill_keeps_fifteen_days_and_the_safe_day_five():
    facts = {"is_concealed": True, "bill_on": D(2026, 11, 10), "delivered_on": NOV_20}
    notice = of("concealed-notice", "us-motor-older", **facts)
    assert (notice.due, notice.safe) == (D(2026, 12, 5), D(2026, 11, 27))


def test_the_older_bill_before_2015_has_no_five_day_reading():
    facts = {
        "is_concealed": True,
        "bill_on": D(2015, 4, 1),
        "delivered_on": D(2015, 4, 7),
    }
    notice = of("concealed-notice", "us-motor-older", **facts)
    assert (notice.due, notice.safe) == (D(2015, 4, 22), D(2015, 4, 22))


@pytest.mark.parametrize(
    ("billed", "is_noted"),
    [(D(2016, 8, 12), True), (D(2016, 8, 13), False), (D(2016, 8, 14), False)],
)
def test_a_bill_older_than_the_table_is_noted(billed, is_noted):
    claim = of("claim", bill_on=billed, delivered_on=D(2016, 8, 20))
    assert any("older than this table" in note for note in claim.notes) is is_noted


@pytest.mark.parametrize(
    ("is_concealed", "expected"),
    [
        (True, {"concealed-notice"}),
        (False, {"apparent-notice"}),
        (None, {"apparent-notice", "concealed-notice"}),
    ],
)
def test_sight_at_delivery_chooses_the_notice(is_concealed, expected):
    found = duties(is_concealed=is_concealed, delivered_on=NOV_20)
    assert {each for each in found if each.endswith("notice")} == expected


def test_an_apparent_notice_is_due_on_the_day_even_on_a_saturday():
    saturday = D(2026, 11, 21)
    notice = of("apparent-notice", is_concealed=False, delivered_on=saturday)
    assert (notice.due, notice.safe) == (saturday, saturday)


def test_a_shortage_counts_from_the_earlier_of_bill_and_delivery():
    facts = {"loss": "shortage", "bill_on": D(2026, 11, 10), "delivered_on": NOV_20}
    claim = of("claim", **facts)
    assert claim.due == D(2027, 8, 10)
    assert "Counted from delivery: it ends Fri 20 Aug 2027." in claim.notes


def test_a_refusal_counts_from_the_earlier_of_bill_and_tender():
    facts = {"loss": "refused", "bill_on": D(2026, 11, 10), "refused_on": NOV_20}
    claim = of("claim", **facts)
    assert claim.due == D(2027, 8, 10)
    assert any("the tender that was refused" in note for note in claim.notes)


def test_a_shortage_without_the_bills_date_says_what_is_missing():
    claim = of("claim", loss="shortage", delivered_on=NOV_20)
    assert claim.due == D(2027, 8, 20)
    assert any("Not known: the bill's date" in note for note in claim.notes)


def test_damage_counts_from_delivery_whatever_the_bills_date():
    facts = {"bill_on": D(2026, 11, 10), "delivered_on": NOV_20}
    assert of("claim", **facts).due == D(2027, 8, 20)


def test_loss_has_no_date_without_a_bill():
    schedule = schedule_for(Facts("us-motor", loss="non-delivery"))
    assert schedule.deadlines == ()
    assert "No date for claim yet. Not known: the bill's date." in schedule.notes


def test_the_safe_day_goes_back_to_a_business_day():
    claim = of("claim", bill_on=D(2026, 3, 1), delivered_on=D(2026, 3, 26))
    assert (claim.due, claim.safe) == (D(2026, 12, 26), D(2026, 12, 24))


def test_an_observed_holiday_is_no_safe_day():
    claim = of("claim", delivered_on=D(2025, 10, 3))
    assert (claim.due, claim.safe) == (D(2026, 7, 3), D(2026, 7, 2))


def test_the_older_suit_is_two_years_and_a_day_and_safe_at_two_years():
    suit = of("suit", "us-motor-older", disallowed_on=D(2026, 3, 10))
    assert (suit.due, suit.safe) == (D(2028, 3, 11), D(2028, 3, 10))


def test_two_years_from_a_leap_day_end_on_the_last_of_february():
    assert of("suit", disallowed_on=D(2024, 2, 29)).due == D(2026, 2, 28)


def test_the_older_loss_counts_from_the_agreed_day_and_is_safe_from_the_bill():
    facts = {
        "loss": "non-delivery",
        "bill_on": D(2026, 1, 8),
        "agreed_delivery_on": D(2026, 1, 20),
    }
    claim = of("claim", "us-motor-older", **facts)
    assert (claim.due, claim.safe) == (D(2026, 10, 20), D(2026, 10, 8))


def test_cmr_leaves_out_sundays_and_holidays_and_safe_counts_them():
    facts = {"is_concealed": True, "delivered_on": D(2026, 4, 2), "calendar": "DE-BY"}
    notice = of("concealed-notice", "cmr", **facts)
    assert (notice.due, notice.safe) == (D(2026, 4, 13), D(2026, 4, 10))


def test_a_refused_cmr_consignment_takes_the_earlier_start():
    facts = {"loss": "refused", "bill_on": D(2026, 1, 5), "refused_on": D(2026, 2, 2)}
    suit = of("suit", "cmr", **facts)
    assert suit.due == D(2027, 2, 2)
    assert any("Mon 5 Apr 2027" in note for note in suit.notes)


def test_canada_counts_the_claim_from_shipment_and_the_notice_from_delivery():
    facts = {"bill_on": D(2026, 2, 20), "delivered_on": D(2026, 3, 2)}
    notice = of("concealed-notice", "canada-road", is_concealed=True, **facts)
    assert notice.due == D(2026, 5, 1)
    assert of("claim", "canada-road", **facts).due == D(2026, 11, 20)


def test_canada_wants_notice_of_non_delivery_nine_months_from_shipment():
    facts = {"loss": "non-delivery", "taken_over_on": D(2026, 2, 20)}
    notice = of("apparent-notice", "canada-road", **facts)
    assert (notice.due, notice.effect) == (D(2026, 11, 20), "the claim is barred")


def test_montreal_is_safe_from_the_day_the_aircraft_ought_to_have_come():
    facts = {"delivered_on": D(2026, 4, 9), "agreed_delivery_on": D(2026, 4, 3)}
    suit = of("suit", "montreal", **facts)
    assert (suit.due, suit.safe) == (D(2028, 4, 9), D(2028, 4, 3))


@pytest.mark.parametrize("regime", ["montreal", "cim"])
def test_where_lateness_extinguishes_the_claim_it_says_barred(regime):
    facts = {"is_concealed": True, "delivered_on": NOV_20}
    assert of("concealed-notice", regime, **facts).effect == "the claim is barred"


@pytest.mark.parametrize("regime", ["us-motor", "cmr", "cogsa", "hague-visby"])
def test_where_lateness_only_shifts_the_burden_it_says_so(regime):
    facts = {"is_concealed": True, "delivered_on": NOV_20}
    assert of("concealed-notice", regime, **facts).effect == "the burden shifts"


def test_a_through_bill_may_bring_the_ocean_clocks_inland():
    facts = {"is_concealed": True, "delivered_on": NOV_20, "is_through_bill": True}
    notice, suit = of("concealed-notice", **facts), of("suit", **facts)
    assert (notice.due, notice.safe) == (D(2026, 11, 30), D(2026, 11, 23))
    assert (suit.due, suit.standing) == (D(2027, 11, 20), "disputed")


def test_a_through_bill_moves_only_the_safe_day_of_a_suit_already_running():
    facts = {"delivered_on": NOV_20, "is_through_bill": True}
    suit = of("suit", disallowed_on=D(2027, 3, 10), **facts)
    assert (suit.due, suit.safe) == (D(2029, 3, 10), D(2027, 11, 19))


def test_an_ocean_through_bill_is_safe_from_arrival_at_the_port():
    facts = {"arrived_on": D(2026, 11, 2), "delivered_on": NOV_20}
    suit = of("suit", "cogsa", is_through_bill=True, **facts)
    assert (suit.due, suit.safe) == (D(2027, 11, 20), D(2027, 11, 2))
    assert any("nine months" in note for note in suit.notes)


def test_no_date_stands_where_the_law_gives_no_number():
    schedule = schedule_for(Facts("us-intrastate", delivered_on=NOV_20))
    assert schedule.deadlines == ()
    assert any("gives no number" in note for note in schedule.notes)


@pytest.mark.parametrize("regime", ["parcel", "private"])
def test_a_regime_without_a_table_says_to_enter_the_terms(regime):
    schedule = schedule_for(Facts(regime, delivered_on=NOV_20))
    assert schedule.deadlines == ()
    assert any("enter" in note for note in schedule.notes)


def test_dates_in_an_impossible_order_are_said():
    facts = Facts("us-motor", bill_on=D(2026, 12, 1), delivered_on=NOV_20)
    assert "The date of the delivery is before that of the bill. Check both." in (
        schedule_for(facts).notes
    )


def test_an_unknown_regime_or_calendar_is_refused():
    with pytest.raises(FactsError):
        deadlines_for(Facts("sea"))
    with pytest.raises(CalendarError):
        deadlines_for(Facts("us-motor", calendar="ZZ"))


@pytest.mark.parametrize("regime", sorted(REGIMES))
def test_deadlines_come_in_date_order(regime):
    facts = Facts(
        regime,
        bill_on=D(2026, 11, 10),
        delivered_on=NOV_20,
        claim_received_on=D(2026, 12, 1),
        disallowed_on=D(2027, 9, 1),
        terms={"claim": Term(count=60, unit="days", starts="delivery")},
    )
    found = [each.due for each in deadlines_for(facts)]
    assert found == sorted(found)
    assert found


def test_the_stricter_reading_begins_with_the_bills_of_its_day():
    def notice(billed):
        facts = {
            "is_concealed": True,
            "bill_on": billed,
            "delivered_on": D(2015, 4, 20),
        }
        return of("concealed-notice", "us-motor-older", **facts)

    first = next(
        reading.effective_from
        for record in REGIMES["us-motor-older"].records
        for reading in record.also
        if reading.effective_from
    )
    before = notice(first - dt.timedelta(days=1))
    assert (before.due, before.safe) == (D(2015, 5, 5), D(2015, 5, 5))
    assert notice(first).safe == D(2015, 4, 27)


def test_only_a_count_of_business_days_misses_a_calendar():
    facts = {"delivered_on": NOV_20, "is_concealed": True, "calendar": ""}
    says = "No holiday calendar is set. Only days you added count as holidays."
    assert says in of("concealed-notice", **facts).notes
    assert says not in of("claim", **facts).notes


def test_a_plain_refusal_of_the_same_day_is_no_dispute():
    day = D(2027, 1, 5)
    both = (Letter(day, "offer-and-decline"), Letter(day, "disallowed"))
    assert first_disputed_on(Facts("us-motor", letters=both)) is None
    assert first_disputed_on(Facts("us-motor", letters=both[:1])) == day


def test_an_answer_on_the_day_of_the_claim_is_one():
    day = D(2027, 1, 5)
    letters = (Letter(day, "offer"),)
    for received, answered in ((day, day), (day + dt.timedelta(days=1), None)):
        facts = Facts("us-motor", letters=letters, claim_received_on=received)
        assert answered_on(facts) == answered
