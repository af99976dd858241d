"""The what-if about an identifier: always an answer, unless there is no question."""

import json

import pytest

from inventory.rules.reckon.reading import ReckonError
from inventory.rules.reckon.subjects import GROUND_FLOOR, reckon


def ask(text):
    return json.loads(reckon("identifier", json.dumps({"text": text}), GROUND_FLOOR))


def test_a_valid_key_has_all_its_forms_and_no_problem():
    assert ask("]C1800300614141123452ABCD1234/") == {
        "kind": "grai",
        "key": "00614141123452",
        "serial": "ABCD1234/",
        "check_digit": "2",
        "valid": True,
        "digital_link": "https://id.gs1.org/8003/00614141123452ABCD1234%2F",
        "element_string": "(8003)00614141123452ABCD1234/",
        "problem": None,
    }


def test_an_invalid_key_is_an_answer_that_says_the_digit_due():
    answer = ask("00106141411234567890")

    assert answer["valid"] is False
    assert (answer["kind"], answer["check_digit"]) == ("sscc", "7")
    assert answer["digital_link"] is None
    assert answer["element_string"] is None
    assert "should be 7, not 0" in answer["problem"]


def test_a_mark_of_ones_own_has_a_key_and_no_gs1_form():
    assert ask("rk 0042") == {
        "kind": "own",
        "key": "RK-0042",
        "serial": None,
        "check_digit": None,
        "valid": True,
        "digital_link": None,
        "element_string": None,
        "problem": None,
    }


@pytest.mark.parametrize("text", ["", "\x00", "A" * 10_000, "\ud800", "１２"])
def test_hostile_text_is_answered_too(text):
    answer = ask(text)

    assert answer["valid"] is False
    assert answer["problem"]


@pytest.mark.parametrize(
    ("question", "words"),
    [
        ({}, 'The key "text" is missing'),
        ({"text": None}, 'The key "text" is missing'),
        ({"text": 17}, '"text" must be a text'),
        ({"text": ["a"]}, '"text" must be a text'),
        ({"text": "a", "kind": "grai"}, 'The key "kind" is not known'),
    ],
)
def test_a_question_without_a_text_is_refused(question, words):
    with pytest.raises(ReckonError, match=words):
        reckon("identifier", json.dumps(question), GROUND_FLOOR)
