"""A deposit is split in four when its crate ships, and the four add up to it."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

from inventory.rules.deposits.credit import Facts, PartLoss, Terms, credit_on
from inventory.rules.deposits.postings import (
    CHARGES,
    DISPUTED,
    EXPECTED,
    FORFEITED,
    RECEIVABLE,
)
from inventory.rules.deposits.shipping_credit import expected_of, whole_deposit
from tests.amounts import usd

START = dt.date(2026, 1, 10)
STEPS = Terms(
    "receipt",
    "pick-up",
    90,
    decline="steps",
    steps=((90, Decimal(75)), (120, Decimal("33.3333"))),
    ends_day=180,
)


def credit(leaves, **more):
    facts = Facts(
        usd(40000),
        received_on=START,
        leaves_on=START + dt.timedelta(days=leaves),
        **more,
    )
    return credit_on(STEPS, facts)


def test_the_four_sums_add_up_to_the_deposit_and_are_posted_so():
    # 130 days: 33.3333 percent of 400.00 is 133.33; without 20 held days 75 percent.
    parts = (PartLoss("slat", "missing", each=usd(1500), count=2),)
    held = {
        "held_from": START + dt.timedelta(days=50),
        "held_to": START + dt.timedelta(days=70),
    }
    split = expected_of(credit(130, parts=parts, **held))
    assert (split.expected, split.late, split.parts, split.hold) == (
        10333,
        10000,
        3000,
        16667,
    )
    assert split.whole == 40000
    assert {line.account: line.cents for line in split.lines(7)} == {
        EXPECTED: 10333,
        FORFEITED: 10000,
        CHARGES: 3000,
        DISPUTED: 16667,
        RECEIVABLE: -40000,
    }
    assert (split.currency, split.steps) == (
        "USD",
        credit(130, parts=parts, **held).steps,
    )


def test_a_hold_is_not_charged_with_what_parts_would_have_cost_anyway():
    # 190 days: nothing. Without 20 held days 133.33, of which the parts take 50.00.
    parts = (PartLoss("panel", "damaged", each=usd(5000), count=1),)
    held = {
        "held_from": START + dt.timedelta(days=50),
        "held_to": START + dt.timedelta(days=70),
    }
    split = expected_of(credit(190, parts=parts, **held))
    assert (split.expected, split.parts, split.hold) == (0, 0, 8333)
    assert split.late == 40000 - 8333
    assert split.expected + split.hold == expected_of(credit(170, parts=parts)).expected


def test_without_terms_the_whole_deposit_is_expected():
    split = whole_deposit(40000, "USD")
    assert (split.expected, split.late, split.parts, split.hold) == (40000, 0, 0, 0)
    assert "No crate terms are on file" in split.steps[0]


def test_the_sentences_give_the_held_days_and_what_was_earned_without_them():
    held = {
        "held_from": START + dt.timedelta(days=50),
        "held_to": START + dt.timedelta(days=59),
    }
    steps = credit(130, **held).steps
    assert (
        "The crate was on hold for 9 days while the clock ran; that cost no credit."
        in steps
    )
    longer = {**held, "held_to": START + dt.timedelta(days=60)}
    assert (
        "The crate was on hold for 10 days while the clock ran. Without the hold, 120 "
        "days would have earned 75 percent." in credit(130, **longer).steps
    )
    early = replace(STEPS, steps=((90, Decimal("66.66667")),), ends_day=None)
    facts = Facts(
        usd(40000),
        received_on=START,
        leaves_on=START + dt.timedelta(days=91),
    )
    assert any(
        "66.6667 percent of USD 400.00" in s for s in credit_on(early, facts).steps
    )
    assert credit_on(early, facts).steps[-1] == (
        "Last pick-up for any credit: no last day: the last step remains."
    )


def test_an_estimated_receipt_is_said_until_the_day_is_known():
    terms = replace(STEPS, clock_stops="receipt", transit_days=2, unloading_days=1)
    facts = Facts(
        usd(40000), received_on=START, leaves_on=START + dt.timedelta(days=10)
    )
    says = (
        "That day is an estimate: the pick-up, plus 2 days in transit and 1 day to "
        "unload."
    )
    assert says in credit_on(terms, facts).steps
    known = replace(facts, received_back_on=START + dt.timedelta(days=12))
    assert says not in credit_on(terms, known).steps
    assert not any("estimate" in step for step in credit_on(STEPS, facts).steps)


def test_a_clock_that_stands_still_has_no_last_day():
    facts = Facts(
        usd(40000),
        received_on=START,
        leaves_on=START + dt.timedelta(days=60),
        held_from=START + dt.timedelta(days=50),
        is_clock_stopped=True,
    )
    assert (
        "Last pick-up for full credit: no last day while the supplier's clock is stopped."
        in credit_on(STEPS, facts).steps
    )
