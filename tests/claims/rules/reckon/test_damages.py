"""The what-if door for amounts: strict in, strings out."""

import json
import re

import pytest

from claims.rules.reckon.damages import reckon_damages
from inventory.rules.reckon.reading import ReckonError, parse_object

LINE = {"label": "mower", "outcome": "total", "value": "4000"}


def ask(**more):
    return reckon_damages(
        {"currency": "USD", "basis": "invoice", "lines": [LINE], **more}
    )


def test_the_answer_holds_every_named_key_and_money_with_two_places():
    found = ask(
        limit={"regime": "cmr", "sdr_rate": "1.3"}, lines=[{**LINE, "weight_kg": "5"}]
    )
    named = "lines claimed limit limit_sdr expected already_recovered balance steps"
    assert set(named.split()) <= set(found)
    for key in named.split()[1:-1]:
        assert re.fullmatch(r"-?\d+\.\d\d", found[key]), key
    assert set(found["lines"][0]) >= {"label", "loss", "steps"}
    json.dumps(found)


def test_without_a_limit_the_limit_is_null():
    found = ask()
    assert (found["limit"], found["limit_sdr"], found["expected"]) == (
        None,
        None,
        "4000.00",
    )


def test_a_currency_without_decimals_still_shows_two_places():
    assert ask(currency="JPY")["claimed"] == "4000.00"


def test_numbers_may_be_json_numbers_and_never_lose_a_digit():
    text = '{"currency":"USD","basis":"invoice","lines":[{"label":"a","outcome":"short","value":0.1},{"label":"b","outcome":"short","value":0.2}]}'
    assert reckon_damages(parse_object(text))["claimed"] == "0.30"


def test_three_repairs_on_one_machine():
    row = {
        **LINE,
        "article": "SN 1",
        "outcome": "repair",
        "repair": "1500",
        "salvage": "500",
    }
    assert ask(lines=[row] * 3)["claimed"] == "3500.00"


def test_more_recovered_than_due_shows_below_zero():
    assert ask(lines=[{**LINE, "recovered": "4000.01"}])["balance"] == "-0.01"


def test_the_article_by_article_reading_stands_beside_the_whole():
    heavy = {**LINE, "label": "a", "value": "100", "weight_lb": "1000"}
    light = {**LINE, "label": "b", "value": "1000", "weight_lb": "100"}
    found = ask(lines=[heavy, light], limit={"regime": "us-motor", "per_lb": "5"})
    assert (found["limit"], found["expected"]) == ("5500.00", "1100.00")
    assert found["expected_by_article"] == "600.00"


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"lines": [{**LINE, "colour": "red"}]}, r'"lines\[1\].colour" is not known'),
        ({"vat": "1"}, '"vat" is not known'),
        ({"limit": {"regimes": "cmr"}}, '"limit.regimes" is not known'),
        ({"freight": {"cost": "1"}}, '"freight.cost" is not known'),
        ({"lines": []}, "is empty"),
        (
            {"lines": [{"label": "a", "outcome": "total"}]},
            r'"lines\[1\].value" is missing',
        ),
        ({"lines": [{**LINE, "outcome": "lost"}]}, "use one of total"),
        ({"lines": [{**LINE, "value": "-1"}]}, "less than zero"),
        ({"lines": [{**LINE, "value": "1.005"}]}, "fractions of a cent"),
        ({"lines": [{**LINE, "value": "NaN"}]}, "not a plain decimal"),
        ({"lines": [{**LINE, "value": True}]}, "not a number"),
        ({"lines": [{**LINE, "weight_kg": "-1"}]}, "less than zero"),
        ({"lines": [{**LINE, "weight_kg": "1", "weight_lb": "1"}]}, "not both"),
        ({"lines": "mower"}, "not a list"),
        (
            {
                "lines": [
                    {**LINE, "article": "x"},
                    {**LINE, "article": "x", "value": "5"},
                ]
            },
            "different values",
        ),
        ({"currency": "usd"}, "three capital letters"),
        ({"basis": "retail"}, "use one of destination, invoice"),
        ({"freight": {"paid": "-1"}}, "less than zero"),
        ({"limit": {"regime": "warsaw"}}, "use one of us-motor"),
        ({"limit": {"regime": "cmr"}}, "weight of every article"),
        ({"limit": {"regime": "montreal"}}, '"limit.carriage_on"'),
        (
            {"limit": {"regime": "montreal", "carriage_on": "2026-02-30"}},
            "not a day of the calendar",
        ),
        ({"currency": "CAD", "limit": {"regime": "canada-road"}}, "shipment_weight_kg"),
        ({"limit": {"regime": "cogsa", "packages": "1.5"}}, "whole number"),
        ({"limit": {"regime": "cmr", "sdr_rate": "0"}}, "must be above zero"),
        ({"limit": {"per_lb": "-1"}}, "must be above zero"),
    ],
)
def test_bad_input_is_one_clear_line(more, says):
    with pytest.raises(ReckonError, match=says) as caught:
        ask(**more)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("key", ["currency", "basis", "lines"])
def test_what_is_required_is_asked_for_by_name(key):
    question = {"currency": "USD", "basis": "invoice", "lines": [LINE]}
    del question[key]
    with pytest.raises(ReckonError, match=f'"{key}" is missing'):
        reckon_damages(question)
