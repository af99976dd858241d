"""A reading means what the tape or the gauge showed, exactly, however it is typed."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.reckoning.measures import MeasureError
from inventory.rules.reckoning.quantities import (
    LARGEST,
    LONGEST_TEXT,
    UNITS,
    Quantity,
    parse_quantity,
    print_figure,
)

SIXTEEN_AND_A_HALF = [
    "16 1/2",
    '16 1/2"',
    "16-1/2",
    '16-1/2"',
    "16 - 1/2",
    "16–1/2",
    "16 1/2 in",
    "16 1/2 in.",
    "16 1/2 inches",
    "16 1/2in",
    "16 1/2”",
    "16 1/2″",
    "16 1/2''",
    "16 1/2’’",
    "16 and 1/2",
    "16 & 1/2",
    "16+1/2",
    "16 1 / 2",
    "16 1⁄2",
    "16½",
    "16 ½",
    '16½"',
    "16-½",
    "16.5",
    "16.50",
    "16.5 in",
    '16.5"',
    "  16   1/2  ",
    "16\u00a01/2",
    "16 2/4",
    "16 8/16",
    "1' 4 1/2\"",
    "1'4½\"",
    "1 ft 4 1/2 in",
    "1ft 4.5in",
    "1 foot, 4 1/2 inches",
    "1'-4 1/2\"",
    "1’ 4 1/2”",
    "1′ 4 1/2″",
    "1 FT 4 1/2 IN",
    "1' 4 1/2''",
]

OTHERS = [
    ("3⅝", "in", Fraction(29, 8), "in"),
    ("3 ⅝", "in", Fraction(29, 8), "in"),
    ("3-⅝", "in", Fraction(29, 8), "in"),
    ("3 5/8 in", "in", Fraction(29, 8), "in"),
    ("3.625", "in", Fraction(29, 8), "in"),
    ("⅝", "in", Fraction(5, 8), "in"),
    ("⅛ in", "in", Fraction(1, 8), "in"),
    ("5/8", "in", Fraction(5, 8), "in"),
    (".625", "in", Fraction(5, 8), "in"),
    ("1/64", "in", Fraction(1, 64), "in"),
    ("63/64 in", "in", Fraction(63, 64), "in"),
    ("7¾", "in", Fraction(31, 4), "in"),
    ("0", "in", Fraction(0), "in"),
    ("12", "in", Fraction(12), "in"),
    ("2 ft", "in", Fraction(2), "ft"),
    ("5'", "in", Fraction(5), "ft"),
    ("5.25 feet", "in", Fraction(21, 4), "ft"),
    ("0' 3 1/2\"", "in", Fraction(7, 2), "in"),
    ("419 mm", "in", Fraction(419), "mm"),
    ("419mm", "in", Fraction(419), "mm"),
    ("419", "mm", Fraction(419), "mm"),
    ("419.5 millimeters", "in", Fraction(839, 2), "mm"),
    ("41.9 cm", "in", Fraction(419, 10), "cm"),
    ("1,232 mm", "in", Fraction(1232), "mm"),
    ("14", "psi", Fraction(14), "psi"),
    ("14 psi", "psi", Fraction(14), "psi"),
    ("14.5PSI", "psi", Fraction(29, 2), "psi"),
    ("14 1/2 psi", "psi", Fraction(29, 2), "psi"),
    ("97 kPa", "psi", Fraction(97), "kPa"),
    ("1.1 bar", "psi", Fraction(11, 10), "bar"),
    ("12.6", "V", Fraction(63, 5), "V"),
    ("12.6V", "V", Fraction(63, 5), "V"),
    ("12.6 volts", "V", Fraction(63, 5), "V"),
    ("75 ft-lb", "ft-lb", Fraction(75), "ft-lb"),
    ("75 lb-ft", "ft-lb", Fraction(75), "ft-lb"),
    ("75 ft lbs", "ft-lb", Fraction(75), "ft-lb"),
    ("900 in-lb", "ft-lb", Fraction(900), "in-lb"),
    ("102 N·m", "ft-lb", Fraction(102), "N·m"),
    ("102 Nm", "ft-lb", Fraction(102), "N·m"),
    ("0.4 h", "h", Fraction(2, 5), "h"),
    ("4.2 sec", "s", Fraction(21, 5), "s"),
    ("3,600 rpm", "rpm", Fraction(3600), "rpm"),
]

REFUSED = [
    ("", "in"),
    (" ", "in"),
    ("1/0", "in"),
    ("16 1/0", "in"),
    ("5//8", "in"),
    ("16 1/2/3", "in"),
    ("16 1/2 1/4", "in"),
    ("16 1", "in"),
    ("16.5 1/2", "in"),
    ("16.", "in"),
    ("16,5", "in"),
    ("1,23", "in"),
    ("16..5", "in"),
    ("-3", "in"),
    ("-1/2", "in"),
    ("−3", "in"),
    ("+3", "in"),
    ("abc", "in"),
    ("3a", "in"),
    ("x 1/2", "in"),
    ("1e3", "in"),
    ("inf", "in"),
    ("nan", "in"),
    ("/8", "in"),
    ("5/", "in"),
    ("16 9/8", "in"),
    ("16 8/8", "in"),
    ("163/8", "in"),
    ("163⁄8", "in"),
    ("3½½", "in"),
    ("٤٨", "in"),
    ("16 ³⁄₈", "in"),
    ("5' 14\"", "in"),
    ("5' 4' 3\"", "in"),
    ("5\" 4'", "in"),
    ("16 in in", "in"),
    ("in", "in"),
    ("14 psi", "in"),
    ("12 in", "psi"),
    ("1' 2\"", "psi"),
    ("75 Nm", "V"),
    ("100001", "psi"),
    ("9" * 30, "in"),
    ("1" * 60, "in"),
    ("12.6 V 3", "V"),
    ("1234/8", "in"),
    ("1/1000", "in"),
]


@pytest.mark.parametrize("text", SIXTEEN_AND_A_HALF)
def test_sixteen_and_a_half_is_read_from_every_written_form(text):
    assert parse_quantity(text, "in").base == Fraction(33, 2)


@pytest.mark.parametrize(("text", "unit", "figure", "own"), OTHERS)
def test_a_reading_keeps_its_exact_figure_and_its_own_unit(text, unit, figure, own):
    found = parse_quantity(text, unit)
    assert (found.figure, found.unit, found.text) == (figure, own, text)


def test_the_written_forms_are_many_and_apart():
    assert len({*SIXTEEN_AND_A_HALF, *(row[0] for row in OTHERS)}) >= 60


@pytest.mark.parametrize(("text", "unit"), REFUSED)
def test_what_is_no_reading_is_refused_in_one_sentence(text, unit):
    with pytest.raises(MeasureError, match=r"[.?]$"):
        parse_quantity(text, unit)


def test_a_missing_space_is_asked_about_with_what_it_would_mean():
    with pytest.raises(MeasureError, match="Is that 20 3/8\\?"):
        parse_quantity("163/8", "in")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("16.5", "16 1/2 in"),
        ("3⅝", "3 5/8 in"),
        ("3.7", "3.7 in"),
        ("12.50 V", "12.5 V"),
        ("419 mm", "419 mm"),
        ("1' 4\"", "16 in"),
        ("14 1/2 psi", "14.5 psi"),
        ("1/3", "1/3 in"),
    ],
)
def test_a_reading_is_printed_as_its_tool_shows_it(text, shown):
    unit = shown.rpartition(" ")[2]
    assert str(parse_quantity(text, unit)) == shown


FIGURES = st.one_of(
    st.builds(Fraction, st.integers(0, 99_999 * 64), st.just(64)),
    st.decimals(0, 99_999, places=4).map(Fraction),
    st.builds(
        lambda whole, top, bottom: whole + Fraction(top % bottom, bottom),
        st.integers(0, 99_999),
        st.integers(0, 998),
        st.integers(1, 999),
    ),
)


@given(figure=FIGURES, unit=st.sampled_from(sorted(UNITS)))
def test_print_then_parse_gives_the_same_value(figure, unit):
    printed = str(Quantity(figure, unit))
    found = parse_quantity(printed, unit)
    assert (found.figure, found.unit) == (figure, unit)


@given(figure=FIGURES)
def test_a_printed_figure_has_no_needless_zeros(figure):
    printed = print_figure(figure)
    assert not printed.startswith("00")
    assert "." not in printed or not printed.endswith("0")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (Quantity(Fraction(127), "mm"), Quantity(Fraction(5), "in")),
        (Quantity(Fraction(1), "ft"), Quantity(Fraction(12), "in")),
        (Quantity(Fraction(1), "bar"), Quantity(Fraction(100), "kPa")),
        (Quantity(Fraction(120), "in-lb"), Quantity(Fraction(10), "ft-lb")),
    ],
)
def test_units_of_one_dimension_compare_exactly(one, other):
    assert one.base == other.base


@pytest.mark.parametrize(
    ("reading", "base"),
    [
        # NIST SP 811 (2008), B.8: 1 psi is 6.894 757 kPa; 1 lbf-ft is 1.355 818 N·m.
        (Quantity(Fraction("6.894757"), "kPa"), 1),
        (Quantity(Fraction("1.355818"), "N·m"), 1),
    ],
)
def test_the_factors_agree_with_the_published_ones(reading, base):
    assert abs(reading.base - base) < Fraction(1, 1_000_000)


def test_an_empty_field_is_answered_with_an_example():
    for text in ("", "   "):
        with pytest.raises(MeasureError, match="Enter it like 16 1/2"):
            parse_quantity(text, "in")


def test_a_text_is_read_up_to_its_longest():
    inches = "1." + "0" * 22
    longest = f"12 feet, {inches} inches"
    assert len(longest) == LONGEST_TEXT
    assert parse_quantity(longest, "in").figure == 145
    with pytest.raises(MeasureError, match="That is not a reading"):
        parse_quantity(f"120 feet, {inches} inches", "in")


@pytest.mark.parametrize("inches", ["12", "12 1/2", "13"])
def test_a_foot_has_no_twelfth_inch(inches):
    with pytest.raises(MeasureError, match="12 or more"):
        parse_quantity(f"5' {inches}\"", "in")
    assert parse_quantity("5' 11 15/16\"", "in").figure == Fraction(1151, 16)


def test_only_a_fraction_of_one_or_more_is_told_as_such():
    with pytest.raises(MeasureError, match="The fraction is 1 or more"):
        parse_quantity("16 3/2", "in")
    with pytest.raises(MeasureError, match="That is not a reading"):
        parse_quantity("sixteen", "in")


@pytest.mark.parametrize("text", ["8/8", "163/8"])
def test_a_fraction_of_one_or_more_is_asked_about(text):
    with pytest.raises(MeasureError, match="Leave a space"):
        parse_quantity(text, "in")


def test_the_largest_reading_is_still_one():
    assert parse_quantity(str(LARGEST), "psi").figure == LARGEST
    with pytest.raises(MeasureError, match="too large"):
        parse_quantity(str(LARGEST + 1), "psi")


def test_thousands_are_parted_from_ten_thousand_up():
    assert print_figure(Fraction(9_999)) == "9999"
    assert print_figure(Fraction(10_000)) == "10,000"
