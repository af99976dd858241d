"""What people type becomes a domain value, or a sentence that says what to do."""

from datetime import date, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from inventory.forms.core.day_fields import DayField, MomentField
from inventory.forms.core.measure_fields import PercentField
from inventory.forms.core.number_fields import CountField, MassField, MoneyField
from inventory.forms.core.text_fields import LineField, ProField, TextField

HUGE = str(2**63)


def wide(text):
    """Return the text in full-width digits, as an East Asian keyboard types them."""
    return "".join(chr(ord(c) + 0xFEE0) if c.isdigit() else c for c in text)


def refused(field, text):
    with pytest.raises(ValidationError) as caught:
        field.clean(text)
    return " ".join(caught.value.messages)


def day_field():
    field = DayField(label="Day")
    field.latest = date(2026, 3, 31)
    return field


@pytest.mark.parametrize("text", ["2026-03-31", " 2026-03-31 ", "2021-03-31"])
def test_a_day_is_read(text):
    assert day_field().clean(text) == date.fromisoformat(text.strip())


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("tomorrow", "Enter the date as 2026-03-31."),
        ("31.03.2026", "Enter the date as 2026-03-31."),
        (wide("2026-03-31"), "Enter the date as 2026-03-31."),
        ("2026-3-1", "Enter the date as 2026-03-31."),
        ("20260331", "Enter the date as 2026-03-31."),
        ("2026-W14-2", "Enter the date as 2026-03-31."),
        ("9" * 5000, "Enter the date as 2026-03-31."),
        ("2026-03-31\0", "Enter the date as 2026-03-31."),
        ("2026-02-30", "There is no day 2026-02-30"),
        ("0000-01-01", "There is no day"),
        ("2026-04-01", "in the future"),
        ("9999-12-31", "in the future"),
        ("1999-01-01", "Check the year"),
    ],
)
def test_a_wrong_day_is_told(text, sentence):
    assert sentence in refused(day_field(), text)


def test_an_empty_day_is_none_unless_it_is_asked_for():
    assert day_field().clean("") is None
    assert refused(DayField(label="Day", missing="Write the day."), "") == (
        "Write the day."
    )


def moment_field():
    field = MomentField(label="Arrived")
    field.latest = datetime(2026, 3, 31, 12, 0)  # noqa: DTZ001
    return field


def test_a_moment_is_read_as_the_docks_own_clock():
    read = moment_field().clean("2026-03-31 11:59")

    assert read == datetime(2026, 3, 31, 11, 59)  # noqa: DTZ001


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("2026-03-31 12:01", "in the future"),
        ("2026-03-31 12:02", "up to Tue 31 Mar, 12:00 PM."),
        ("2026-03-31 24:00", "from 00:00 to 23:59"),
        ("2026-02-30 10:00", "There is no day"),
        ("2026-03-31", "Enter date and time"),
        ("now", "Enter date and time"),
        ("1999-03-31 10:00", "Check the year"),
    ],
)
def test_a_wrong_moment_is_told(text, sentence):
    assert sentence in refused(moment_field(), text)


@pytest.mark.parametrize(
    ("text", "cents"),
    [("1,250.00", 125_000), ("0", 0), ("12.5", 1250), ("$3", 300), (" 7 ", 700)],
)
def test_an_amount_becomes_cents(text, cents):
    assert MoneyField(label="Charge", currency="USD").clean(text) == cents


@pytest.mark.parametrize(
    "text",
    [
        "-1",
        "0.005",
        "NaN",
        "Infinity",
        "1e9",
        HUGE,
        wide("12"),
        "12 dollars",
        "1.2.3",
        "\0",
    ],
)
def test_a_wrong_amount_is_told(text):
    assert refused(MoneyField(label="Charge", currency="USD"), text)


def test_an_amount_comes_back_as_it_is_typed():
    assert (
        MoneyField(label="Charge", currency="USD").prepare_value(125_000) == "1,250.00"
    )
    assert MoneyField(label="Charge", currency="USD").prepare_value("abc") == "abc"


@pytest.mark.parametrize(
    ("text", "mass"), [("1,240.5", Decimal("1240.5")), ("640", Decimal(640))]
)
def test_a_weight_is_read(text, mass):
    assert MassField(label="Weight").clean(text) == mass


@pytest.mark.parametrize(
    "text", ["0", "-3", "NaN", "1e3", HUGE, "heavy", wide("12"), "1,2"]
)
def test_a_wrong_weight_is_told(text):
    assert refused(MassField(label="Weight"), text)


@pytest.mark.parametrize(
    "text", ["-1", "1.5", "NaN", HUGE, wide("12"), "four", "100000", "\0"]
)
def test_a_wrong_count_is_told(text):
    assert "whole number" in refused(CountField(label="Pieces"), text)


def test_a_count_keeps_its_least():
    field = CountField(label="Pieces", least=1)

    assert field.clean("1") == 1
    assert "from 1" in refused(field, "0")


def test_an_identifier_has_one_form():
    field = LineField(label="PRO", most=30, is_identifier=True)

    assert field.clean(f" pw\u00a0{wide('700')}-\u202e12\0 ") == "PW 700-12"


def test_a_line_that_is_too_long_says_by_how_much():
    field = LineField(label="Driver", most=80)

    assert refused(field, "x" * 81) == "Shorten this to 80 characters; it has 81."


def test_a_text_keeps_its_lines_and_drops_what_cannot_be_seen():
    assert TextField(label="Note").clean("a\r\nb\0\u202ec\t") == "a\nbc"


@pytest.mark.parametrize("text", ["x" * 10_001, "\n".join("x" * 201)])
def test_a_text_has_an_end(text):
    assert "Shorten this" in refused(TextField(label="Note"), text)


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("PRO-771 204", "771 204"),
        ("pro no. 771204", "771204"),
        ("PRO # 771204", "771204"),
        ("PROBE771", "PROBE771"),
        ("771204", "771204"),
    ],
)
def test_a_pro_is_kept_without_the_word_that_pages_put_before_it(text, kept):
    assert ProField().clean(text) == kept


@pytest.mark.parametrize("text", ["PRO-", "PRO", ""])
def test_a_pro_that_is_nothing_but_the_word_is_not_made_empty(text):
    if text:
        assert ProField().clean(text) == text
    else:
        assert "Enter the PRO number" in refused(ProField(), text)


@pytest.mark.parametrize(
    ("field", "sentence"),
    [
        (CountField, "Enter a number."),
        (DayField, "Enter a date."),
        (MassField, "Enter a weight."),
        (MomentField, "Enter a date and time."),
        (MoneyField, "Enter an amount, such as 185.00."),
        (PercentField, "Enter a percentage."),
        (TextField, "Fill this in."),
    ],
)
def test_an_empty_field_says_what_to_do(field, sentence):
    own = "Enter what the invoice says."

    assert field(label="Empty").clean("") in {None, ""}
    assert refused(field(label="Empty", required=True), "") == sentence
    assert refused(field(label="Empty", missing=own), "") == own


def test_what_is_typed_is_asked_for_in_the_fitting_keys():
    keys = {
        kind: kind(label="Typed").widget.attrs.get("inputmode")
        for kind in (CountField, DayField, MoneyField)
    }

    assert keys == {CountField: "numeric", DayField: None, MoneyField: "decimal"}
    stepper = CountField(label="Crates", least=2, has_stepper=True).widget.attrs
    assert stepper["data-stepper-min"] == "2"
