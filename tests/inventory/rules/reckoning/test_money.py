"""Money is whole cents; what people type is read or refused with a sentence."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.reckoning.money import (
    Money,
    MoneyError,
    allocate,
    format_cents,
    format_rate,
    largest_first,
    parse_amount,
    plain_cents,
    round_half_up,
    to_cents,
    to_decimal,
    two_places,
)
from tests.amounts import usd


@pytest.mark.parametrize(
    ("text", "currency", "cents"),
    [
        ("1,234.50", "USD", 123450),
        ("1234.5", "USD", 123450),
        ("  0 ", "USD", 0),
        (".05", "USD", 5),
        ("$12", "USD", 1200),
        ("USD 12.00", "USD", 1200),
        ("12.00 EUR", "EUR", 1200),
        ("1.50000", "USD", 150),
        ("1,500", "JPY", 1500),
        ("1.234", "BHD", 1234),
        ("0" * 23 + "7", "USD", 700),
    ],
)
def test_a_typed_amount_is_read_in_minor_units(text, currency, cents):
    assert parse_amount(text, currency) == cents


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "Enter an amount"),
        ("-", "not an amount"),
        ("1e9", "not an amount"),
        ("NaN", "not an amount"),
        ("Infinity", "not an amount"),
        ("\uff11\uff12", "not an amount"),
        ("\u0663", "not an amount"),
        ("1,50", "not an amount"),
        ("12,34,567", "not an amount"),
        ("1.234,50", "not an amount"),
        ("12.", "not an amount"),
        ("1 234", "not an amount"),
        ("0x10", "not an amount"),
        ("--1", "not an amount"),
        ("1.005", "fractions of a cent"),
        ("-5", "cannot be less than zero"),
        ("9" * 30, "too long"),
        ("0" * 25, "too long"),
        ("9" * 20, "too large"),
        ("€5", "not an amount"),
    ],
)
def test_what_is_no_amount_is_refused_with_a_sentence(text, says):
    with pytest.raises(MoneyError, match=says):
        parse_amount(text, "USD")


def test_a_currency_without_decimals_refuses_them():
    with pytest.raises(MoneyError, match="JPY has no decimals"):
        parse_amount("1.5", "JPY")


def test_an_amount_below_zero_is_read_where_it_may_be():
    assert parse_amount("-1,000.01", "USD", may_be_negative=True) == -100001


def test_a_decimal_that_is_no_number_is_refused():
    for amount in (Decimal("NaN"), Decimal("Infinity"), Decimal("1e30")):
        with pytest.raises(MoneyError):
            to_cents(amount, "USD")


@pytest.mark.parametrize("code", ["usd", "US", "", "USDX", "U$D"])
def test_a_currency_is_three_capital_letters(code):
    with pytest.raises(MoneyError, match="three capital letters"):
        Money(1, code)


def test_amounts_are_written_as_people_and_machines_read_them():
    assert format_cents(123450, "USD") == "1,234.50"
    assert format_cents(-5, "USD", code=True) == "USD -0.05"
    assert format_cents(1500, "JPY", code=True) == "JPY 1,500"
    assert plain_cents(123450, "USD") == "1234.50"
    assert plain_cents(1500, "JPY") == "1500.00"
    assert str(usd(123456789)) == "USD 1,234,567.89"


def test_a_rate_keeps_at_least_two_places():
    rates = [Decimal("0.6"), Decimal(25), Decimal("8.33"), Decimal("1.46450")]
    assert [format_rate(rate) for rate in rates] == ["0.60", "25.00", "8.33", "1.4645"]


def test_halves_round_away_from_zero():
    amounts = ["0.005", "0.004999", "-0.005", "2.675", "1.115"]
    cents = [round_half_up(Decimal(amount), "USD") for amount in amounts]
    assert cents == [1, 0, -1, 268, 112]


def test_currencies_never_mix():
    with pytest.raises(MoneyError, match="cannot be added"):
        Money(1, "USD") + Money(1, "CAD")
    with pytest.raises(MoneyError, match="cannot be added"):
        assert Money(1, "USD") < Money(1, "CAD")


def test_money_adds_negates_and_multiplies_to_the_cent():
    assert usd(150) + usd(25) - usd(5) == usd(170)
    assert -usd(150) == usd(-150)
    assert usd(1001).times(Decimal("0.5")) == usd(501)
    assert Money.typed("3.10", "USD").amount == Decimal("3.10")


def test_a_float_is_never_money():
    with pytest.raises(MoneyError, match="whole cents"):
        usd(1.5)  # type: ignore[arg-type]


def test_three_equal_parts_of_ten_cents_differ_by_one():
    assert allocate(10, [1, 1, 1]) == [4, 3, 3]


def test_the_largest_remainder_takes_the_odd_cent():
    assert allocate(100, [1, 2, 4]) == [14, 29, 57]


@pytest.mark.parametrize("weights", [[], [0, 0], [1, -1], [2, -1]])
def test_a_split_needs_weights(weights):
    with pytest.raises(ValueError, match="Weights"):
        allocate(100, weights)


@given(
    st.integers(-(10**12), 10**12),
    st.lists(st.integers(0, 10**9), min_size=1, max_size=30).filter(any),
)
def test_a_split_adds_up_and_no_part_is_a_cent_away(total, weights):
    parts = allocate(total, weights)
    assert sum(parts) == total
    for part, weight in zip(parts, weights, strict=True):
        assert abs(part - Fraction(total * weight, sum(weights))) < 1


@given(st.integers(-(10**14), 10**14), st.sampled_from(["USD", "JPY", "BHD"]))
def test_writing_and_reading_an_amount_give_it_back(cents, currency):
    text = format_cents(cents, currency)
    assert parse_amount(text, currency, may_be_negative=True) == cents
    assert to_cents(to_decimal(cents, currency), currency) == cents


def test_the_largest_amount_is_kept_and_not_a_cent_more():
    most = Decimal(10**13)
    assert to_cents(most, "USD") == 10**15
    assert to_cents(-most, "USD") == -(10**15)
    for amount in (most + Decimal("0.01"), -most - Decimal("0.01")):
        with pytest.raises(MoneyError, match="too large"):
            to_cents(amount, "USD")


def test_the_largest_amount_of_a_currency_without_decimals():
    assert to_cents(Decimal(10**15 - 1), "JPY") == 10**15 - 1
    with pytest.raises(MoneyError, match="too large"):
        to_cents(Decimal(10**15), "JPY")


def test_too_many_digits_are_told_by_the_currency():
    with pytest.raises(MoneyError, match="BHD has 3 digits after the point"):
        parse_amount("1.2345", "BHD")


def test_equal_amounts_are_not_less_than_each_other():
    assert not usd(5) < usd(5)
    assert usd(5) <= usd(5)
    assert usd(4) < usd(5)
    assert not usd(5) <= usd(4)


def test_a_machine_reads_as_many_places_as_the_currency_has():
    assert plain_cents(1234, "BHD") == "1.234"
    assert [two_places(Fraction(1, 8)), two_places(Decimal(3))] == ["0.13", "3.00"]


def test_money_is_split_in_its_own_currency():
    assert usd(10).split([1, 1, 1]) == [usd(4), usd(3), usd(3)]
    assert allocate(-10, [1, 1, 1]) == [-4, -3, -3]
    assert allocate(10, [0, 1]) == [0, 10]


def test_a_list_begins_at_home_and_never_compares_two_currencies():
    rows = [(90_000, "CAD"), (100, "USD"), (500_000, "JPY"), (2_000, "USD")]
    rows.sort(key=lambda row: largest_first(*row, "USD"))

    assert rows == [(2_000, "USD"), (100, "USD"), (90_000, "CAD"), (500_000, "JPY")]
