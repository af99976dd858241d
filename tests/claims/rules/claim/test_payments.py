"""The money of a claim: what counts, what waits, what a payment may be.

The rules on a payment marked as full are from memory: UCC 3-311 (an accord by use of an
instrument, and repayment within 90 days), UCC 1-308(b) (a reservation of rights does not
help). What a carrier pays or credits is common practice, no source.
"""

from datetime import date

import pytest

from claims.rules.claim.payments import Payment, against_payment, money_of

DAY = date(2026, 5, 4)


def payment(number=1, cents=10_000, **over):
    return Payment(number=number, on=DAY, cents=cents, method="check", **over)


def held(*choices, method="check"):
    return Payment(
        number=1,
        on=DAY,
        cents=10_000,
        method=method,
        in_full=True,
        choices=tuple((choice, DAY) for choice in choices),
    )


@pytest.mark.parametrize(
    ("one", "state", "choices"),
    [
        (payment(), "counted", ("part", "full")),
        (payment(is_reversed=True), "reversed", ()),
        (payment(choices=(("part", DAY),)), "counted", ("part", "full")),
        (held(), "held", ("full", "return", "ask", "deposited")),
        (held("full"), "counted", ()),
        (held("return"), "return", ()),
        (held("ask"), "ask", ()),
        (held("deposited"), "held", ("full", "repaid")),
        (held("deposited", "repaid"), "repaid", ()),
        (held(method="transfer"), "held", ("full", "repaid")),
    ],
)
def test_a_payment_is_in_the_state_that_its_decisions_say(one, state, choices):
    assert one.state == state
    assert one.open_choices() == choices


@pytest.mark.parametrize(
    ("one", "repay_by"),
    [
        (held(), None),
        (held("deposited"), date(2026, 8, 2)),
        (held(method="transfer"), date(2026, 8, 2)),
        (held("deposited", "full"), None),
        (payment(), None),
    ],
)
def test_ninety_days_to_repay_run_from_the_deposit(one, repay_by):
    assert one.repay_by == repay_by


def test_only_what_counts_reduces_the_balance():
    rows = [
        payment(1, 30_000),
        payment(2, 5_000, is_reversed=True),
        held(),
        payment(4, 20_000),
    ]

    money = money_of(126_420, rows, date(2026, 4, 4))

    assert (money.paid_cents, money.held_cents, money.held_count) == (50_000, 10_000, 1)
    assert (money.balance_cents, money.percent, money.days_taken) == (76_420, 39, 30)


def test_more_than_claimed_leaves_no_balance():
    money = money_of(10_000, [payment(1, 12_000)], None)

    assert (money.balance_cents, money.days_taken) == (0, None)


@pytest.mark.parametrize(
    ("over", "word"),
    [
        ({"cents": 0}, "more than 0"),
        ({"cents": 9_999_900}, "more than the balance"),
        ({"cents": 76_421}, "more than the balance"),
        ({"method": "credit"}, "Name the freight bills"),
    ],
)
def test_what_is_wrong_with_a_payment_is_said(over, word):
    money = money_of(126_420, [payment(1, 50_000)], None)
    good = {"cents": 76_420, "method": "check", "bills": "", "reason": ""}

    assert not against_payment(money, **good)
    assert word in " ".join(against_payment(money, **{**good, **over}))


def test_more_than_the_balance_passes_with_a_reason():
    money = money_of(100, [], None)

    assert not against_payment(
        money, cents=200, method="card", bills="", reason="Interest of 1.00."
    )


def test_a_payment_that_waits_counts_against_the_next_one():
    money = money_of(10_000, [held()], None)

    assert against_payment(money, cents=1, method="check", bills="", reason="")
