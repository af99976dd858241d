"""Crate terms read in plain words, and crate sizes are read in inches or mm."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.rules.deposits.credit import Terms
from inventory.rules.deposits.terms_words import terms_in_words
from inventory.rules.reckoning.measures import (
    MeasureError,
    format_length,
    parse_length_mm,
)

PLAIN = Terms(clock_starts="invoice", clock_stops="receipt", full_days=60)
STEPS = replace(
    PLAIN,
    decline="steps",
    steps=((60, Decimal("62.50")), (90, Decimal(25))),
    ends_day=120,
)


def words(terms):
    return " ".join(terms_in_words(terms))


class TestTerms:
    def test_plain_terms_say_where_the_clock_starts_and_stops(self):
        text = words(PLAIN)
        assert "starts on the date of the supplier's invoice" in text
        assert "stops on the date the supplier receives it" in text
        assert "Full credit to day 60, that day included; nothing after that." in text

    def test_steps_are_said_in_order_with_where_they_end(self):
        assert (
            "then 62.5 % after day 60, 25 % after day 90, nothing after day 120."
            in words(STEPS)
        )

    def test_a_step_to_nothing_ends_the_credit(self):
        steps = (*STEPS.steps, (100, Decimal(0)))
        assert "25 % after day 90, nothing after day 100." in words(
            replace(STEPS, steps=steps, ends_day=None)
        )

    def test_a_straight_decline_says_its_end(self):
        terms = replace(PLAIN, decline="straight", ends_day=150)
        assert "evenly to zero on day 150." in words(terms)

    def test_a_day_not_included_is_said(self):
        assert "that day not included" in words(replace(PLAIN, includes_last_day=False))

    def test_what_the_return_needs_is_said(self):
        terms = replace(
            PLAIN,
            return_freight="supplier",
            minimum_per_pickup=6,
            needs_authorization=True,
            needs_appointment=True,
            ceiling=Decimal(40),
        )
        text = words(terms)
        assert (
            "The supplier pays the return freight, at least 6 crates per pick-up, "
            "a return authorization and an appointment required first." in text
        )
        assert "up to 40 % of the deposit" in text

    def test_the_memo_says_when_it_is_due_or_that_nobody_says(self):
        assert "is stated" in words(PLAIN)
        assert "due 30 days after" in words(replace(PLAIN, memo_days=30))


class TestLengths:
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
        ],
    )
    def test_a_length_is_read_in_its_own_unit(self, text, unit, millimetres):
        assert parse_length_mm(text, unit) == millimetres

    @pytest.mark.parametrize(
        ("text", "unit"),
        [
            ("", "in"),
            ("0", "in"),
            ("abc", "mm"),
            ("12.5", "mm"),
            ("1/0", "in"),
            ("-3", "mm"),
            ("99999", "in"),
            ("٤٨", "in"),
        ],
    )
    def test_what_is_no_length_is_told(self, text, unit):
        with pytest.raises(MeasureError, match="Enter"):
            parse_length_mm(text, unit)

    def test_every_sixteenth_survives_being_kept_in_millimetres(self):
        for sixteenths in range(1, 1000):
            kept = parse_length_mm(f"{sixteenths}/16", "in")
            assert format_length(kept).startswith(_shop(Fraction(sixteenths, 16)))

    def test_both_units_are_shown(self):
        assert format_length(1232) == '48 1/2" (1,232 mm)'


def _shop(inches):
    whole, part = divmod(inches, 1)
    if not part:
        return f'{whole}"'
    return f'{whole} {part}"' if whole else f'{part}"'
