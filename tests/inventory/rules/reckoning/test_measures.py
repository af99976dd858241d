"""Mass stays as stated; pounds and kilograms convert exactly."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.reckoning.measures import (
    Mass,
    MeasureError,
    format_exact,
    format_inches,
    parse_inches,
    parse_mass,
)


def test_a_pound_is_exactly_the_kilograms_agreed_in_1959():
    assert Mass(Decimal(1), "lb").kilograms == Fraction("0.45359237")
    assert Mass(Decimal("0.45359237"), "kg").pounds == 1


@given(st.decimals(0, 10**6, places=3), st.sampled_from(["lb", "kg"]))
def test_there_and_back_is_the_same_mass(amount, unit):
    mass = Mass(amount, unit)
    assert mass.pounds * Fraction("0.45359237") == mass.kilograms


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("1,240", "1,240 lb"),
        ("1240.50", "1,240.5 lb"),
        ("562.5 kg", "562.5 kg"),
        ("90 LBS", "90 lb"),
        ("0", "0 lb"),
    ],
)
def test_a_typed_weight_is_kept_as_stated(text, shown):
    assert str(parse_mass(text, "lb")) == shown


@pytest.mark.parametrize(
    "text",
    [
        "",
        "-5",
        "1e3",
        "NaN",
        "\uff11\uff12",
        "1,24",
        "12 st",
        "kg",
        ".",
        "9999999",
        "1" * 20,
    ],
)
def test_what_is_no_weight_is_refused(text):
    with pytest.raises(MeasureError):
        parse_mass(text, "lb")


@pytest.mark.parametrize("amount", [Decimal(-1), Decimal("NaN"), Decimal("Infinity")])
def test_a_mass_is_a_number_not_below_zero(amount):
    with pytest.raises(MeasureError):
        Mass(amount, "kg")


@pytest.mark.parametrize(
    ("text", "inches", "shown"),
    [
        ("3 1/2", Fraction(7, 2), '3 1/2"'),
        ("3-1/2", Fraction(7, 2), '3 1/2"'),
        ("5/16", Fraction(5, 16), '5/16"'),
        ("3.25", Fraction(13, 4), '3 1/4"'),
        ('12"', Fraction(12), '12"'),
    ],
)
def test_inches_are_read_as_a_shop_writes_them(text, inches, shown):
    assert parse_inches(text) == inches
    assert format_inches(inches) == shown


@pytest.mark.parametrize("text", ["", "1/0", "x", "1//2", "3 1", "-1", "1/2/3"])
def test_what_is_no_length_is_refused(text):
    with pytest.raises(MeasureError):
        parse_inches(text)


def test_an_exact_value_is_shown_short():
    assert format_exact(Fraction(2, 3)) == "0.667"
    assert format_exact(Fraction(1500)) == "1,500"
