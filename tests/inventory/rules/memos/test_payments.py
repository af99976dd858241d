"""How one payment on a deposit is spread; four sums of a credit that ships."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.deposits.credit import Facts, Terms, credit_on
from inventory.rules.deposits.postings import FORFEITED, PostingError
from inventory.rules.deposits.shipping_credit import expected_of, whole_deposit
from inventory.rules.memos.payments import payment_of
from tests.amounts import usd


def test_expected_goes_before_disputed_and_disputed_before_more():
    paid = payment_of(100, expected=60, disputed=30, room=95)
    assert (paid.to_expected, paid.to_disputed, paid.surplus, paid.beyond) == (
        60,
        30,
        5,
        5,
    )
    accounts = [(line.account, line.cents, line.deposit) for line in paid.lines(7)]
    assert accounts == [
        ("supplier-account", 95, 7),
        ("credits-expected", -60, 7),
        ("disputed-credits", -30, 7),
        ("crate-charges", -5, 7),
        ("supplier-account", 5, None),
        ("supplier-suspense", -5, None),
    ]


def test_a_surplus_may_lessen_what_lateness_cost():
    lines = payment_of(9, expected=8, disputed=0, room=20).lines(
        7, surplus_to=FORFEITED
    )
    assert lines[-1].account == FORFEITED


def test_nothing_is_no_entry():
    with pytest.raises(PostingError):
        payment_of(0, expected=5, disputed=0, room=5).lines(7)


cents = st.integers(0, 50_000)


@given(cents, cents, cents, cents)
def test_a_payment_is_spread_whole(amount, expected, disputed, more):
    paid = payment_of(
        amount, expected=expected, disputed=disputed, room=expected + disputed + more
    )
    parts = (paid.to_expected, paid.to_disputed, paid.surplus, paid.beyond)
    assert sum(parts) == amount
    assert min(parts) >= 0
    assert paid.rest == expected - paid.to_expected
    assert not (paid.rest and paid.to_disputed)
    assert paid.to_expected + paid.to_disputed + paid.surplus <= (
        expected + disputed + more
    )
    if amount:
        assert sum(line.cents for line in paid.lines(1)) == 0


@given(
    st.integers(1, 100_000),
    st.integers(0, 200),
    st.integers(0, 60),
    st.booleans(),
)
def test_the_four_sums_are_the_deposit(deposit, days, held, stopped):
    terms = Terms(
        clock_starts="invoice",
        clock_stops="pick-up",
        full_days=60,
        decline="steps",
        steps=((60, Decimal("66.67")), (90, Decimal(25))),
        ends_day=120,
    )
    start = date(2026, 1, 1)
    facts = Facts(
        deposit=usd(deposit),
        invoiced_on=start,
        leaves_on=date.fromordinal(start.toordinal() + days),
        held_from=start,
        held_to=date.fromordinal(start.toordinal() + held),
        is_clock_stopped=stopped,
    )
    found = expected_of(credit_on(terms, facts))
    assert found.whole == deposit
    assert min(found.expected, found.late, found.parts, found.hold) >= 0
    assert sum(line.cents for line in found.lines(3)) == 0


def test_without_terms_all_is_expected():
    found = whole_deposit(500, "USD")
    assert (found.expected, found.whole) == (500, 500)
