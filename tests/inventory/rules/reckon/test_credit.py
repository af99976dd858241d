"""The what-if door for crate credits: strict in, strings out."""

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.reckon.credit import reckon_credit
from inventory.rules.reckon.reading import ReckonError
from inventory.rules.reckon.subjects import GROUND_FLOOR, reckon

TERMS = {
    "clock_starts": "receipt",
    "clock_stops": "receipt",
    "full_days": 90,
    "decline": "steps",
    "steps": [
        {"after_day": 90, "percent": 75},
        {"after_day": 120, "percent": "50"},
    ],
    "ends_day": 180,
    "ceiling": 25,
    "transit_days": 4,
    "unloading_days": 1,
    "memo_days": 30,
}
CRATE = {
    "deposit": "400.00",
    "terms": TERMS,
    "received_on": "2026-01-10",
    "leaves_on": "2026-04-20",
}


def ask(**more):
    return reckon_credit({**CRATE, **more})


def test_the_answer_holds_every_figure_apart():
    found = ask(
        parts=[{"part": "panel", "problem": "damaged", "each": 60, "count": 2}],
        held_from="2026-03-01",
        held_to="2026-03-20",
    )
    steps = found.pop("steps")
    assert found == {
        "currency": "USD",
        "deposit": "400.00",
        "credit": "200.00",
        "late_loss": "100.00",
        "hold_loss": "100.00",
        "deductions": "100.00",
        "days_out": 105,
        "percent": "75.00",
        "started_on": "2026-01-10",
        "stopped_on": "2026-04-25",
        "last_full_day": "2026-04-05",
        "last_day": "2026-07-04",
        "memo_due_on": "2026-05-25",
        "by_day": [],
    }
    assert steps[0] == "Day 0 is Sat 10 Jan 2026, the day of our receipt of the crate."
    assert all(step.endswith(".") for step in steps)


def test_terms_may_be_as_short_as_three_keys():
    short = {"clock_starts": "receipt", "clock_stops": "pick-up", "full_days": 100}
    found = ask(terms=short)
    assert (found["credit"], found["last_full_day"]) == ("400.00", "2026-04-20")
    assert found["memo_due_on"] is None


def test_the_last_day_may_be_left_out_of_full_credit():
    found = ask(terms={**TERMS, "includes_last_day": False}, leaves_on="2026-04-05")
    assert (found["days_out"], found["credit"]) == (90, "300.00")


def test_a_stopped_clock_does_not_count_the_hold():
    found = ask(held_from="2026-03-01", held_to="2026-03-20", clock_stopped=True)
    assert (found["days_out"], found["credit"]) == (86, "400.00")


def test_credit_that_never_ends_has_no_last_day():
    found = ask(terms={**TERMS, "ends_day": None}, leaves_on="2030-01-01")
    assert (found["credit"], found["last_day"]) == ("200.00", None)


def test_a_table_shows_the_day_on_which_the_money_goes():
    table = ask(table={"from": "2026-04-04", "to": "2026-04-06"})["by_day"]
    assert table == [
        {
            "leaves_on": "2026-04-04",
            "credit": "400.00",
            "lost_since_day_before": "0.00",
        },
        {
            "leaves_on": "2026-04-05",
            "credit": "400.00",
            "lost_since_day_before": "0.00",
        },
        {
            "leaves_on": "2026-04-06",
            "credit": "300.00",
            "lost_since_day_before": "100.00",
        },
    ]


def test_money_keeps_two_places_in_a_currency_without_decimals():
    found = ask(currency="JPY", deposit=40000, leaves_on="2026-04-20")
    assert (found["credit"], found["late_loss"]) == ("30000.00", "10000.00")


def test_it_is_one_of_the_subjects():
    assert (
        json.loads(reckon("credit", json.dumps(CRATE), GROUND_FLOOR))["credit"]
        == "300.00"
    )


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"colour": 1}, 'The key "colour" is not known'),
        ({"deposit": None}, 'The key "deposit" is missing'),
        ({"leaves_on": None}, 'The key "leaves_on" is missing'),
        ({"deposit": "-1"}, '"deposit" is less than zero'),
        ({"deposit": "1.005"}, '"deposit": That has fractions of a cent'),
        ({"deposit": True}, '"deposit" is not a number'),
        ({"currency": "usd"}, '"currency": A currency is three capital letters'),
        ({"received_on": None}, "Enter it first"),
        ({"leaves_on": "2026-01-01"}, "Check both dates"),
        ({"leaves_on": "2026-02-30"}, "not a day of the calendar"),
        ({"received_back_on": "2026-04-19"}, "before the pick-up"),
        ({"held_to": "2026-04-19"}, "an end but no start"),
        ({"clock_stopped": "no"}, '"clock_stopped" is not true or false'),
        ({"terms": []}, '"terms" is not an object'),
        ({"terms": {**TERMS, "days": 3}}, '"terms.days" is not known'),
        ({"terms": {**TERMS, "full_days": None}}, '"terms.full_days" is missing'),
        ({"terms": {**TERMS, "full_days": "1.5"}}, "whole number"),
        ({"terms": {**TERMS, "full_days": 36501}}, "whole number"),
        ({"terms": {**TERMS, "clock_stops": "never"}}, "use one of pick-up"),
        ({"terms": {**TERMS, "steps": [{"after_day": 90}]}}, '.percent" is missing'),
        (
            {"terms": {**TERMS, "steps": TERMS["steps"][::-1]}},
            "Use the same day for both",
        ),
        ({"terms": {**TERMS, "ceiling": 101}}, "from 0 to 100 percent"),
        ({"parts": [{"part": "lid"}]}, '"parts[1].problem" is missing'),
        (
            {"parts": [{"part": "lid", "problem": "lost", "each": 1}]},
            "use one of missing, damaged",
        ),
        (
            {"parts": [{"part": "lid", "problem": "missing", "each": -1}]},
            '"parts[1].each" is less than zero',
        ),
        ({"table": {"from": "2026-05-01"}}, '"table.to" is missing'),
        ({"table": {"from": "2026-05-02", "to": "2026-05-01"}}, "same or a later"),
        ({"table": {"from": "2026-05-02", "to": "2036-05-01"}}, "at most 1,000"),
        ({"table": {"from": "2025-01-01", "to": "2025-01-02"}}, "before it starts"),
    ],
)
def test_bad_input_is_refused_in_one_line(more, says):
    with pytest.raises(ReckonError, match=re.escape(says)) as caught:
        ask(**more)
    assert "\n" not in str(caught.value)


ODD = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.sampled_from(["receipt", "straight", "2026-05-01", "9", "\ud800"]),
    lambda inner: (
        st.lists(inner, max_size=2)
        | st.dictionaries(st.sampled_from(["from", "to", "part"]), inner, max_size=3)
    ),
    max_leaves=4,
)


@given(
    st.dictionaries(st.sampled_from([*CRATE, "parts", "table", "held_from"]), ODD),
    st.dictionaries(st.sampled_from([*TERMS, "includes_last_day"]), ODD),
)
def test_whatever_is_asked_is_answered_or_refused(odd, odd_terms):
    question = {**CRATE, "terms": {**TERMS, **odd_terms}, **odd}
    try:
        answer = json.loads(reckon("credit", json.dumps(question), GROUND_FLOOR))
    except ReckonError as error:
        assert "\n" not in str(error)
    else:
        assert answer["steps"]
