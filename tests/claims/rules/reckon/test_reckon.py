"""The door for what-if: what it answers, and what it refuses in one line."""

import json
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from claims.rules.reckon import SUBJECTS, ReckonError, reckon
from inventory.rules.reckon.reading import Reader, parse_object

MOTOR = {"regime": "us-motor", "delivered_on": "2026-11-20"}
FIVE = {"from": "2026-11-20", "count": 5, "unit": "business-days"}


def ask(subject, question):
    return json.loads(reckon(subject, json.dumps(question)))


def refusal(subject, text):
    if not isinstance(text, str):
        text = json.dumps(text)
    with pytest.raises(ReckonError) as caught:
        reckon(subject, text)
    return str(caught.value)


def test_deadlines_have_the_keys_promised():
    (first, *_) = ask("deadlines", {**MOTOR, "concealed": True})["deadlines"]
    promised = {"duty", "owed_by", "due", "safe", "starts_on", "counted"}
    assert promised | {"effect", "authority", "confidence", "notes"} <= set(first)
    assert (first["due"], first["safe"]) == ("2026-11-30", "2026-11-27")


def test_every_key_of_the_question_is_taken():
    question = {
        "regime": "us-motor",
        "loss": "damage",
        "concealed": True,
        "bill_date": "2026-11-10",
        "taken_over_on": "2026-11-11",
        "delivered_on": "2026-11-20",
        "refused_on": "2026-11-20",
        "agreed_delivery_on": "2026-11-19",
        "carriage_on": "2026-11-11",
        "claim_received_on": "2026-12-01",
        "disallowed_on": "2027-01-15",
        "as_of": "2027-02-01",
        "calendar": "US",
        "holidays": ["2026-11-27"],
        "contract_carriage": False,
        "terms": {"claim": {"count": 10, "unit": "months", "starts": "bill"}},
    }
    found = {each["duty"]: each for each in ask("deadlines", question)["deadlines"]}
    assert found["concealed-notice"]["due"] == "2026-12-01"
    assert found["concealed-notice"]["safe"] == "2026-11-25"
    assert found["claim"]["due"] == "2027-09-10"
    assert found["disposition"]["standing"] == "met"


def test_letters_are_taken_too():
    letters = [{"on": "2027-01-15", "kind": "offer-and-decline"}]
    found = ask("deadlines", {**MOTOR, "letters": letters})["deadlines"]
    assert [each["standing"] for each in found if each["duty"] == "suit"] == [
        "disputed"
    ]


def test_a_period_needs_no_more_than_three_keys():
    assert ask("period", FIVE)["due"] == "2026-11-27"


def test_a_number_may_be_a_decimal_text():
    assert ask("period", {**FIVE, "count": "5.0"})["due"] == "2026-11-27"


def test_a_null_is_a_key_left_out():
    assert ask("period", {**FIVE, "calendar": None})["due"] == "2026-11-27"


@pytest.mark.parametrize("subject", ["", "dates", "Deadlines"])
def test_an_unknown_subject_is_refused_with_the_list(subject):
    assert all(each in refusal(subject, {}) for each in SUBJECTS)


@pytest.mark.parametrize(
    ("question", "words"),
    [
        ({**FIVE, "colour": 1}, 'The key "colour" is not known'),
        ({"from": "2026-01-01", "unit": "days"}, 'The key "count" is missing'),
        ({**FIVE, "unit": "hours"}, "use one of days, business-days"),
        ({**FIVE, "unit": "Days"}, '"unit" is "Days"'),
        ({**FIVE, "from": "2026-02-30"}, "not a day of the calendar"),
        ({**FIVE, "from": "20261120"}, "YYYY-MM-DD"),
        ({**FIVE, "from": "2026-11-20T00:00"}, "YYYY-MM-DD"),
        ({**FIVE, "from": "\uff12\uff10\uff12\uff16-11-20"}, "YYYY-MM-DD"),
        ({**FIVE, "from": "tomorrow"}, "YYYY-MM-DD"),
        ({**FIVE, "from": 20261120}, "YYYY-MM-DD"),
        ({**FIVE, "from": "1899-12-31"}, "between 1900 and 2200"),
        ({**FIVE, "from": "2201-01-01"}, "between 1900 and 2200"),
        ({**FIVE, "from": "9999-12-31"}, "between 1900 and 2200"),
        ({**FIVE, "count": -1}, "whole number"),
        ({**FIVE, "count": 1.5}, "whole number"),
        ({**FIVE, "count": True}, "not a number"),
        ({**FIVE, "count": "five"}, "not a plain decimal"),
        ({**FIVE, "count": "1_000"}, "not a plain decimal"),
        ({**FIVE, "count": "٣"}, "not a plain decimal"),
        ({**FIVE, "count": 10**9}, "whole number"),
        ({**FIVE, "count": 150_000}, "dates go from 1900 to 2200"),
        ({**FIVE, "calendar": "ZZ"}, "no holiday table for ZZ"),
        ({**FIVE, "calendar": "us"}, "is not a calendar"),
        ({**FIVE, "calendar": 7}, "is not a text"),
        ({**FIVE, "holidays": "2026-11-26"}, "is not a list"),
        ({**FIVE, "holidays": [26]}, '"holidays" item 1'),
        (
            {**FIVE, "unit": "months", "except": "sundays-and-holidays"},
            "days and weeks",
        ),
    ],
)
def test_a_bad_period_is_refused_in_one_line(question, words):
    told = refusal("period", question)
    assert words in told
    assert "\n" not in told


@pytest.mark.parametrize(
    ("question", "words"),
    [
        ({}, 'The key "regime" is missing'),
        ({"regime": "sea"}, "use one of us-motor"),
        ({**MOTOR, "loss": "theft"}, "use one of damage"),
        ({**MOTOR, "concealed": "yes"}, "not true or false"),
        ({**MOTOR, "contract_carriage": 1}, "not true or false"),
        ({**MOTOR, "terms": []}, '"terms" is not an object'),
        ({**MOTOR, "terms": {"pay": {}}}, '"terms.pay" is not known'),
        ({**MOTOR, "terms": {"claim": {"days": 3}}}, '"terms.claim.days" is not known'),
        ({**MOTOR, "terms": {"claim": {"count": -3}}}, "whole number"),
        ({**MOTOR, "terms": {"claim": {"starts": "noon"}}}, "use one of delivery"),
        ({**MOTOR, "terms": {"claim": {"count": 99999, "unit": "years"}}}, "calendar"),
        ({"regime": "parcel", "terms": {"claim": {"count": 3}}}, "count and a unit"),
        ({**MOTOR, "letters": [{"on": "2026-12-01"}]}, '"letters[1].kind" is missing'),
        ({**MOTOR, "letters": ["x"]}, '"letters[1]" is not an object'),
        ({**MOTOR, "delivered_on": "2026-13-01"}, '"delivered_on"'),
        ({**MOTOR, "calendar": "US-QQ"}, "no holiday table"),
    ],
)
def test_bad_facts_are_refused_in_one_line(question, words):
    told = refusal("deadlines", question)
    assert words in told
    assert "\n" not in told


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "3",
        "null",
        '{"from": "2026-01-01"} {}',
        '{"count": NaN}',
        '{"count": Infinity}',
        '{"count": 1e400}',
        '{"count": 1e999999999999}',
        '{"count": 1, "count": 2}',
        '{"count": ' + "9" * 5000 + "}",
        "[" * 100_000,
    ],
)
def test_what_is_not_one_plain_object_is_refused_in_one_line(text):
    assert "\n" not in refusal("period", text)


def test_a_key_with_line_breaks_is_named_on_one_line():
    assert "\n" not in refusal("period", {**FIVE, "a\nb": 1})


@pytest.mark.parametrize("text", ["1", "-1", "0.10", "12345.678", "1e3", "1E-3"])
def test_a_plain_decimal_is_read_exactly(text):
    found = parse_object(f'{{"n": {text}}}')["n"]
    assert found == Decimal(text)


def test_a_decimal_is_never_a_binary_fraction():
    value = Reader(parse_object('{"n": 0.1}'), keys=("n",)).decimal("n")
    assert str(value) == "0.1"


TEXTS = st.text(alphabet='aZ09-. \n"\u0663\ud800', max_size=8)
ODD = st.recursive(
    st.none() | st.booleans() | st.integers() | TEXTS,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3)
    ),
    max_leaves=5,
)
PERIOD_KEYS = st.sampled_from([*FIVE, "roll", "except", "calendar", "holidays", "x"])
MOTOR_KEYS = st.sampled_from(
    [*MOTOR, "loss", "terms", "letters", "holidays", "calendar", "as_of", "concealed"]
)


def answer_or_one_line(subject, question):
    try:
        return json.loads(reckon(subject, json.dumps(question)))
    except ReckonError as error:
        return {"refused": str(error)}


@given(st.dictionaries(PERIOD_KEYS, ODD, max_size=3))
def test_whatever_is_asked_of_a_period_is_answered_or_refused(odd):
    answer = answer_or_one_line("period", {**FIVE, **odd})
    assert answer.get("due") or "\n" not in answer["refused"]


@given(st.dictionaries(MOTOR_KEYS, ODD, max_size=3))
def test_whatever_is_asked_of_deadlines_is_answered_or_refused(odd):
    answer = answer_or_one_line("deadlines", {**MOTOR, **odd})
    assert "deadlines" in answer or "\n" not in answer["refused"]
