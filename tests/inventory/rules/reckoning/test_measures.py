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
    format_length,
    length_in,
    parse_inches,
    parse_length_mm,
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
        "1000000.001",
        "0.000000000000001",
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


@pytest.mark.parametrize(
    ("text", "amount"), [("1,000,000", "1000000"), ("0.00000000000001", "1e-14")]
)
def test_the_heaviest_and_the_longest_typed_weight_are_read(text, amount):
    assert parse_mass(text, "lb") == Mass(Decimal(amount), "lb")


def test_the_longest_typed_length_is_read():
    assert parse_inches("000000000000000000003.25") == Fraction(13, 4)
    with pytest.raises(MeasureError):
        parse_inches("0000000000000000000003.25")


def test_a_figure_keeps_its_zeros_before_the_point_alone():
    assert format_exact(Fraction(1, 16), 4) == "0.0625"
    assert format_exact(Fraction(1, 2000)) == "0.001"
    assert str(Mass(Decimal("10.00"), "kg")) == "10 kg"


@pytest.mark.parametrize(
    ("inches", "shown"),
    [
        (Fraction(1, 32), '1/16"'),
        (Fraction(1, 33), '0"'),
        (Fraction(63, 64), '1"'),
        (Fraction(7, 8), '7/8"'),
    ],
)
def test_inches_are_shown_to_the_nearest_sixteenth(inches, shown):
    assert format_inches(inches) == shown


@pytest.mark.parametrize(
    ("text", "unit", "millimetres"),
    [
        ("48", "in", 1219),
        ("48 1/2", "in", 1232),
        ("48-1/2", "in", 1232),
        ('48 1/2"', "mm", 1232),
        ("48.5 in", "mm", 1232),
        ("1232", "mm", 1232),
        ("1,232 mm", "in", 1232),
        ("1/2 inch", "mm", 13),
        ("1 mm", "in", 1),
        ("20,000", "mm", 20_000),
    ],
)
def test_a_length_is_read_in_its_own_unit(text, unit, millimetres):
    assert parse_length_mm(text, unit) == millimetres


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("", "in"),
        ("0", "in"),
        ("0", "mm"),
        ("20001", "mm"),
        ("abc", "mm"),
        ("12.5", "mm"),
        ("1/0", "in"),
        ("-3", "mm"),
        ("99999", "in"),
        ("٤٨", "in"),
    ],
)
def test_what_is_no_length_is_told(text, unit):
    with pytest.raises(MeasureError, match="Enter"):
        parse_length_mm(text, unit)


def test_every_sixteenth_survives_being_kept_in_millimetres():
    for sixteenths in range(1, 1000):
        kept = parse_length_mm(f"{sixteenths}/16", "in")
        assert format_length(kept).startswith(_shop(Fraction(sixteenths, 16)))


def test_both_units_are_shown():
    assert format_length(1232) == '48 1/2" (1,232 mm)'


def _shop(inches):
    whole, part = divmod(inches, 1)
    if not part:
        return f'{whole}"'
    return f'{whole} {part}"' if whole else f'{part}"'


@pytest.mark.parametrize(
    ("millimeters", "feet", "meters"),
    [
        (0, "0 in", "0.00 m"),
        (25, "1 in", "0.03 m"),
        (305, "1 ft", "0.31 m"),
        (1_956, "6 ft 5 in", "1.96 m"),
        (16_154, "53 ft", "16.15 m"),  # 53 x 12 x 25.4 is 16,154.4 mm
    ],
)
def test_a_document_says_lengths_in_the_unit_of_its_dock(millimeters, feet, meters):
    assert length_in(millimeters, "ft") == feet
    assert length_in(millimeters, "m") == meters
