"""What a supplier credits for a crate: by days, by parts, by holds, to the cent."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from inventory.rules.deposits.credit import (
    DepositError,
    Facts,
    PartLoss,
    Terms,
    credit_by_day,
    credit_on,
    days_left_to_full,
    last_day,
    last_full_day,
    loss_per_day,
)
from tests.amounts import usd

START = dt.date(2026, 1, 10)
PLAIN = Terms("receipt", "pick-up", 90)
STEPS = replace(
    PLAIN,
    decline="steps",
    steps=((90, Decimal(75)), (120, Decimal(50))),
    ends_day=180,
)
STRAIGHT = replace(PLAIN, full_days=10, decline="straight", ends_day=20)


def day(count):
    return START + dt.timedelta(days=count)


def crate(**more):
    return Facts(usd(40000), received_on=START, **more)


def credited(terms, count, **more):
    return credit_on(terms, crate(leaves_on=day(count), **more)).credited.cents


@pytest.mark.parametrize(
    ("terms", "count", "cents"),
    [
        (PLAIN, 0, 40000),
        (PLAIN, 90, 40000),
        (PLAIN, 91, 0),
        (replace(PLAIN, includes_last_day=False), 89, 40000),
        (replace(PLAIN, includes_last_day=False), 90, 0),
        (replace(PLAIN, full_days=0), 0, 40000),
        (replace(PLAIN, full_days=0), 1, 0),
        (replace(PLAIN, full_days=0, includes_last_day=False), 0, 0),
        (STEPS, 90, 40000),
        (STEPS, 91, 30000),
        (STEPS, 120, 30000),
        (STEPS, 121, 20000),
        (STEPS, 180, 20000),
        (STEPS, 181, 0),
        (replace(STEPS, ends_day=None), 3000, 20000),
        (replace(STEPS, includes_last_day=False), 89, 40000),
        (replace(STEPS, includes_last_day=False), 90, 30000),
        (replace(STEPS, includes_last_day=False), 119, 30000),
        (replace(STEPS, includes_last_day=False), 120, 20000),
        (replace(STEPS, includes_last_day=False), 179, 20000),
        (replace(STEPS, includes_last_day=False), 180, 0),
        (STRAIGHT, 10, 40000),
        (STRAIGHT, 11, 36000),
        (STRAIGHT, 19, 4000),
        (STRAIGHT, 20, 0),
        (STRAIGHT, 500, 0),
        (replace(STRAIGHT, includes_last_day=False), 9, 40000),
        (replace(STRAIGHT, includes_last_day=False), 10, 36364),
        (replace(STRAIGHT, includes_last_day=False), 20, 0),
    ],
)
def test_credit_goes_by_the_days_out(terms, count, cents):
    assert credited(terms, count) == cents


def test_half_a_cent_is_rounded_up():
    terms = replace(PLAIN, decline="steps", steps=((90, Decimal("12.5")),))
    found = credit_on(terms, Facts(usd(4), received_on=START, leaves_on=day(91)))
    assert (found.credited, found.percent) == (usd(1), Decimal("12.50"))


@pytest.mark.parametrize(
    ("starts", "on"),
    [("invoice", "2026-01-05"), ("shipment", "2026-01-07"), ("receipt", "2026-01-10")],
)
def test_the_clock_starts_where_the_terms_say(starts, on):
    facts = crate(
        invoiced_on=dt.date(2026, 1, 5),
        shipped_on=dt.date(2026, 1, 7),
        leaves_on=dt.date(2026, 2, 1),
    )
    found = credit_on(replace(PLAIN, clock_starts=starts), facts)
    assert found.started_on == dt.date.fromisoformat(on)
    assert found.days_out == (dt.date(2026, 2, 1) - found.started_on).days


@pytest.mark.parametrize(
    ("stops", "more", "on"),
    [
        ("pick-up", {}, day(30)),
        ("bill-date", {}, day(30)),
        ("bill-date", {"bill_on": day(29)}, day(29)),
        ("receipt", {}, day(35)),
        ("receipt", {"received_back_on": day(33)}, day(33)),
    ],
)
def test_the_clock_stops_where_the_terms_say(stops, more, on):
    terms = replace(PLAIN, clock_stops=stops, transit_days=4, unloading_days=1)
    assert credit_on(terms, crate(leaves_on=day(30), **more)).stopped_on == on


def test_the_last_pickup_leaves_time_for_the_road_and_for_unloading():
    terms = replace(STEPS, clock_stops="receipt", transit_days=4, unloading_days=1)
    assert last_full_day(terms, crate()) == day(85)
    assert last_day(terms, crate()) == day(175)
    assert credited(terms, 85) == 40000
    assert credited(terms, 86) == 30000
    assert loss_per_day(terms, crate(), day(85)) == usd(10000)
    assert loss_per_day(terms, crate(), day(84)) == usd(0)


def test_days_are_counted_over_a_leap_day():
    facts = Facts(
        usd(40000),
        received_on=dt.date(2028, 2, 1),
        leaves_on=dt.date(2028, 3, 1),
    )
    found = credit_on(replace(PLAIN, full_days=28), facts)
    assert (found.days_out, found.credited) == (29, usd(0))
    assert found.last_full_day == dt.date(2028, 2, 29)


@pytest.mark.parametrize(
    ("terms", "last"),
    [
        (PLAIN, day(90)),
        (replace(PLAIN, full_days=0, includes_last_day=False), day(-1)),
        (STEPS, day(180)),
        (replace(STEPS, ends_day=None), None),
        (replace(STEPS, steps=((90, Decimal(75)), (99, Decimal(0)))), day(99)),
        (replace(STRAIGHT, includes_last_day=False), day(19)),
    ],
)
def test_the_last_day_for_any_credit_is_the_last_that_earns_some(terms, last):
    assert last_day(terms, crate()) == last
    if last is not None and last >= START:
        assert credit_on(terms, crate(leaves_on=last)).credited.cents > 0
        after = last + dt.timedelta(days=1)
        assert credit_on(terms, crate(leaves_on=after)).credited.cents == 0


def test_days_left_run_down_to_zero_on_the_last_day_and_below_after():
    assert [days_left_to_full(PLAIN, crate(), day(n)) for n in (88, 90, 91)] == [
        2,
        0,
        -1,
    ]


BRACKETS = PartLoss("bracket", "missing", usd(1500), 2)
PANEL = PartLoss("side panel", "damaged", usd(6000))


@pytest.mark.parametrize(
    ("terms", "count", "parts", "sums"),
    [
        (STEPS, 30, (BRACKETS,), (37000, 3000)),
        (STEPS, 30, (BRACKETS, PANEL), (31000, 9000)),
        (replace(STEPS, ceiling=Decimal(20)), 30, (BRACKETS, PANEL), (32000, 8000)),
        (replace(STEPS, ceiling=Decimal(0)), 30, (PANEL,), (40000, 0)),
        (STEPS, 100, (BRACKETS,), (27000, 3000)),
        (STRAIGHT, 19, (PANEL,), (0, 4000)),
        (STEPS, 181, (PANEL,), (0, 0)),
        (STEPS, 30, (replace(PANEL, count=0),), (40000, 0)),
    ],
)
def test_parts_are_deducted_up_to_the_ceiling_and_the_credit_left(
    terms, count, parts, sums
):
    found = credit_on(terms, crate(leaves_on=day(count), parts=parts))
    assert (found.credited.cents, found.deductions.cents) == sums


def test_the_memo_is_due_so_many_days_after_receipt():
    terms = replace(PLAIN, transit_days=4, memo_days=30)
    assert credit_on(terms, crate(leaves_on=day(10))).memo_due_on == day(44)
    back = crate(leaves_on=day(10), received_back_on=day(13))
    assert credit_on(terms, back).memo_due_on == day(43)
    assert credit_on(PLAIN, back).memo_due_on is None


def test_a_table_of_days_ignores_what_really_happened():
    facts = crate(leaves_on=day(10), bill_on=day(9), received_back_on=day(12))
    for stops in ("pick-up", "bill-date", "receipt"):
        terms = replace(STEPS, clock_stops=stops)
        table = credit_by_day(terms, facts, day(89), day(92))
        assert [each.cents for each in table] == [40000, 40000, 30000, 30000]
    assert credit_by_day(STEPS, facts, day(2), day(1)) == ()


def test_the_steps_name_every_number():
    terms = replace(
        STEPS,
        clock_stops="receipt",
        transit_days=4,
        unloading_days=1,
        ceiling=Decimal(25),
        memo_days=30,
    )
    facts = crate(leaves_on=day(100), parts=(replace(PANEL, count=2),))
    assert credit_on(terms, facts).steps == (
        "Day 0 is Sat 10 Jan 2026, the day of our receipt of the crate.",
        "The clock stops on Sat 25 Apr 2026, the day of the supplier's receipt of the crate.",
        "That day is an estimate: the pick-up, plus 4 days in transit and 1 day to unload.",
        "The crate is out for 105 days.",
        "Full credit to day 90, that day included; 75 percent after day 90; 50 percent after day 120; nothing after day 180.",
        "After 105 days, 75 percent of USD 400.00 is USD 300.00, rounded half up to the cent.",
        "Lost by returning late: USD 100.00.",
        "side panel, damaged: 2 at USD 60.00 is USD 120.00.",
        "Deductions total USD 120.00, reduced to USD 100.00: the ceiling is 25 percent of the deposit.",
        "The credit is USD 200.00.",
        "Last pick-up for full credit: Sun 5 Apr 2026.",
        "Last pick-up for any credit: Sat 4 Jul 2026.",
        "The supplier's receipt of the crate: expected on Sat 25 Apr 2026.",
        "The credit memo is due 30 days later, on Mon 25 May 2026.",
    )


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        (crate(), "pick-up date is not known"),
        (crate(leaves_on=day(-1)), "Check both dates"),
        (crate(leaves_on=day(5), received_back_on=day(4)), "before the pick-up"),
        (
            Facts(usd(1), leaves_on=START),
            "our receipt of the crate, but that date is not known",
        ),
    ],
)
def test_days_that_cannot_be_are_refused_with_a_sentence(facts, words):
    with pytest.raises(DepositError, match=words):
        credit_on(PLAIN, facts)


def test_a_table_does_not_begin_before_the_clock():
    with pytest.raises(DepositError, match="before it starts"):
        credit_by_day(PLAIN, crate(), day(-1), day(1))


def test_a_table_of_more_than_a_hundred_years_is_refused():
    first = day(0)
    with pytest.raises(DepositError, match="at most 36,500 days"):
        credit_by_day(STEPS, crate(), first, first + dt.timedelta(days=36_500))
