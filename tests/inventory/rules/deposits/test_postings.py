"""The lines of each fact of a deposit, by the table in DEVELOPERS.md: debits above zero."""

import datetime as dt

import pytest

from inventory.rules.deposits.postings import (
    CARRIER,
    CHARGES,
    DISPUTED,
    EXPECTED,
    FORFEITED,
    FREIGHT,
    KEPT,
    LARGEST,
    OPENING,
    RECEIVABLE,
    SUPPLIER,
    SUSPENSE,
    WRITTEN_OFF,
    Line,
    PostingError,
    amount_of,
    charged,
    check_lines,
    credit_expected,
    dispute_won,
    forfeited,
    freight_billed,
    held,
    held_matched,
    held_returned,
    held_taken,
    lost_by_carrier,
    lowest_from,
    memo_paid,
    needs_second_person,
    opened,
    short_accepted,
    short_disputed,
    undone,
    written_off,
)


def told(lines):
    return {line.account: line.cents for line in lines}


CASES = [
    (charged(7, 500), {RECEIVABLE: 500, SUPPLIER: -500}),
    (opened(7, 500), {RECEIVABLE: 500, OPENING: -500}),
    (
        credit_expected(7, expected=400, late=60, parts=30, hold=10),
        {EXPECTED: 400, FORFEITED: 60, CHARGES: 30, DISPUTED: 10, RECEIVABLE: -500},
    ),
    (credit_expected(7, expected=500), {EXPECTED: 500, RECEIVABLE: -500}),
    (memo_paid(7, paid=300, expected=500), {SUPPLIER: 300, EXPECTED: -300}),
    (memo_paid(7, paid=500, expected=500), {SUPPLIER: 500, EXPECTED: -500}),
    (
        memo_paid(7, paid=600, expected=500),
        {SUPPLIER: 600, EXPECTED: -500, CHARGES: -100},
    ),
    (
        memo_paid(7, paid=100, expected=0, surplus_to=FORFEITED),
        {SUPPLIER: 100, FORFEITED: -100},
    ),
    (short_accepted(7, 50, "late"), {FORFEITED: 50, EXPECTED: -50}),
    (short_accepted(7, 50, "price"), {CHARGES: 50, EXPECTED: -50}),
    (short_disputed(7, 50), {DISPUTED: 50, EXPECTED: -50}),
    (dispute_won(7, 50), {SUPPLIER: 50, DISPUTED: -50}),
    (written_off(7, 50), {WRITTEN_OFF: 50, DISPUTED: -50}),
    (written_off(7, 50, out_of=EXPECTED), {WRITTEN_OFF: 50, EXPECTED: -50}),
    (
        lost_by_carrier(7, expected=400, disputed=100),
        {CARRIER: 500, EXPECTED: -400, DISPUTED: -100},
    ),
    (lost_by_carrier(7, expected=400), {CARRIER: 400, EXPECTED: -400}),
    (forfeited(7, 500), {FORFEITED: 500, RECEIVABLE: -500}),
    (freight_billed(90), {FREIGHT: 90, SUPPLIER: -90}),
    (held(1_000), {SUPPLIER: 1_000, SUSPENSE: -1_000}),
    (held_returned(1_000), {SUSPENSE: 1_000, SUPPLIER: -1_000}),
    (held_taken(1_000), {SUSPENSE: 1_000, KEPT: -1_000}),
]


@pytest.mark.parametrize(("lines", "accounts"), CASES)
def test_each_fact_has_its_lines(lines, accounts):
    assert told(lines) == accounts
    assert sum(line.cents for line in lines) == 0
    assert amount_of(lines) == sum(cents for cents in accounts.values() if cents > 0)
    assert told(undone(lines)) == {kind: -cents for kind, cents in accounts.items()}


@pytest.mark.parametrize(
    ("amounts", "says"),
    [
        ([5], "at least two lines"),
        ([5, -4], "do not sum to zero"),
        ([5, -5, 0], "other than zero"),
        ([True, -1], "other than zero"),
        ([LARGEST + 1, -LARGEST - 1], "too large"),
    ],
)
def test_what_is_no_entry_is_refused(amounts, says):
    with pytest.raises(PostingError, match=says):
        check_lines([Line(RECEIVABLE, cents) for cents in amounts])


def test_two_lines_of_the_largest_amount_are_an_entry():
    check_lines([Line(RECEIVABLE, LARGEST), Line(SUPPLIER, -LARGEST)])


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: charged(7, -1), "less than zero"),
        (lambda: memo_paid(7, paid=1, expected=1, surplus_to=SUPPLIER), "surplus"),
        (lambda: short_accepted(7, 1, "lost"), "owed by the carrier"),
        (lambda: written_off(7, 1, out_of=RECEIVABLE), "Only an expected"),
    ],
)
def test_a_fact_that_cannot_be_is_refused(make, says):
    with pytest.raises(PostingError, match=says):
        make()


def test_the_lowest_balance_is_that_of_the_end_of_a_day():
    first, second, third = (dt.date(2026, 3, number) for number in (1, 2, 3))
    dated = [(third, 40), (first, 100), (second, -90), (second, 20)]
    assert lowest_from(dated, first) == 30
    assert lowest_from(dated, second) == 30
    assert lowest_from(dated, third) == 70
    assert lowest_from([(first, 5), (third, -9)], second) == -4
    assert lowest_from([], first) == 0


@pytest.mark.parametrize(
    ("cents", "currency", "is_needed"),
    [(5_000, "USD", False), (5_001, "USD", True), (1, "CAD", True)],
)
def test_above_the_limit_or_in_another_currency_two_decide(cents, currency, is_needed):
    found = needs_second_person(
        cents, currency=currency, limit=5_000, limit_currency="USD"
    )
    assert found is is_needed


@pytest.mark.parametrize(
    "make",
    [
        lambda: charged(7, -1),
        lambda: opened(7, -1),
        lambda: credit_expected(7, expected=500, late=-1),
        lambda: credit_expected(7, expected=500, parts=-1),
        lambda: credit_expected(7, expected=500, hold=-1),
        lambda: memo_paid(7, paid=-1, expected=500),
        lambda: memo_paid(7, paid=1, expected=-500),
        lambda: short_accepted(7, -1, "price"),
        lambda: short_disputed(7, -1),
        lambda: dispute_won(7, -1),
        lambda: written_off(7, -1),
        lambda: lost_by_carrier(7, expected=-1),
        lambda: lost_by_carrier(7, expected=500, disputed=-1),
        lambda: forfeited(7, -1),
        lambda: freight_billed(-1),
    ],
)
def test_no_fact_turns_its_lines_round_by_an_amount_below_zero(make):
    with pytest.raises(PostingError, match="less than zero"):
        make()


@pytest.mark.parametrize(
    "make",
    [
        lambda: charged(7, 0),
        lambda: credit_expected(7, expected=0),
        lambda: short_disputed(7, 0),
        lambda: freight_billed(0),
    ],
)
def test_a_fact_of_nothing_is_no_entry(make):
    with pytest.raises(PostingError, match="at least two lines"):
        make()


def test_one_line_too_large_among_others_is_refused():
    half = LARGEST // 2 + 1
    lines = [
        Line(RECEIVABLE, 2 * half),
        Line(SUPPLIER, -half),
        Line(OPENING, -half),
    ]
    with pytest.raises(PostingError, match="too large"):
        check_lines(lines)


def test_a_held_credit_that_is_matched_leaves_the_supplier_account_as_it_is():
    lines = held_matched(90, memo_paid(7, paid=90, expected=90))
    assert [(one.account, one.cents, one.deposit) for one in lines] == [
        (SUSPENSE, 90, None),
        (SUPPLIER, -90, None),
        (SUPPLIER, 90, 7),
        (EXPECTED, -90, 7),
    ]
