"""Crate terms read in plain words."""

from dataclasses import replace
from decimal import Decimal

from inventory.rules.deposits.credit import Terms
from inventory.rules.deposits.terms_words import terms_in_words

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

    def test_two_crates_are_a_minimum_and_one_is_none(self):
        assert "at least 2 crates" in words(replace(PLAIN, minimum_per_pickup=2))
        assert "at least" not in words(replace(PLAIN, minimum_per_pickup=1))

    def test_the_memo_says_when_it_is_due_or_that_nobody_says(self):
        assert "is stated" in words(PLAIN)
        assert "due 30 days after" in words(replace(PLAIN, memo_days=30))
