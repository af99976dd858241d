"""The what-if door for shipping empties back: the written contract, strict in."""

import json
import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.reckon.reading import ReckonError, parse_object
from inventory.rules.reckon.return_plan import reckon_return_plan
from inventory.rules.reckon.subjects import GROUND_FLOOR, reckon

SMALL = {"arrivals": [2, 3, 1, 4], "dispatch_cost": 10, "holding_cost": 1}


def ask(**more):
    return reckon_return_plan({**SMALL, **more})


def test_the_answer_has_three_keys_and_money_with_two_places():
    found = ask()
    assert set(found) == {"cost", "dispatch", "steps"}
    assert found["cost"] == "23.00"
    assert found["dispatch"] == [{"period": 4, "crates": 10}]
    assert found["steps"][-1].startswith("Trucks 10.00 and holding 13.00 total 23.00")


def test_costs_may_change_by_period():
    found = ask(dispatch_cost=[10, 10, 99, 10], holding_cost=[9, 9, 9, 9])
    assert [each["period"] for each in found["dispatch"]] == [1, 2, 4]


def test_the_last_holding_cost_may_be_left_out():
    assert ask(holding_cost=[1, 1, 1]) == ask(holding_cost=[1, 1, 1, 5])


def test_a_capacity_is_for_each_truck():
    found = ask(capacity=4)  # three trucks at 10; 2, then 1 crate kept a period
    assert found["cost"] == "33.00"
    assert found["dispatch"] == [
        {"period": 2, "crates": 4},
        {"period": 3, "crates": 2},
        {"period": 4, "crates": 4},
    ]


def test_null_is_no_capacity():
    assert ask(capacity=None) == ask()


def test_no_period_is_no_cost():
    assert ask(arrivals=[])["cost"] == "0.00"


def test_decimals_are_exact_as_numbers_and_as_text():
    text = '{"arrivals": [1, 1, 1], "dispatch_cost": 0.1, "holding_cost": "1e1"}'
    assert reckon_return_plan(parse_object(text))["cost"] == "0.30"
    assert ask(dispatch_cost=Decimal("0.335"), holding_cost=9)["cost"] == "1.34"


def test_it_is_one_of_the_subjects():
    assert (
        json.loads(reckon("return-plan", json.dumps(SMALL), GROUND_FLOOR))["cost"]
        == "23.00"
    )


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"crates": 1}, 'The key "crates" is not known'),
        ({"arrivals": None}, 'The key "arrivals" is missing'),
        ({"dispatch_cost": None}, 'The key "dispatch_cost" is missing'),
        ({"holding_cost": None}, 'The key "holding_cost" is missing'),
        ({"arrivals": 4}, '"arrivals" is not a list'),
        ({"arrivals": [1, "x"]}, '"arrivals" item 2 is not a plain decimal'),
        ({"arrivals": [1, None]}, '"arrivals" item 2 is not a number'),
        ({"arrivals": [True]}, '"arrivals" item 1 is not a number'),
        ({"arrivals": ["1.5"]}, '"arrivals" item 1 is not a whole number'),
        ({"arrivals": [-1]}, '"arrivals" item 1 is not a whole number'),
        ({"arrivals": [0] * 2001}, "more than 2,000 periods"),
        ({"arrivals": [10**9, 1, 0, 0]}, "at most 1,000,000,000 crates"),
        ({"dispatch_cost": [1, 2]}, '"dispatch_cost" has 2 numbers for 4 periods'),
        ({"dispatch_cost": [1, 2, 3]}, '"dispatch_cost" has 3 numbers for 4 periods'),
        ({"holding_cost": [1, 2]}, '"holding_cost" has 2 numbers for 4 periods'),
        ({"dispatch_cost": -1}, '"dispatch_cost" is less than zero'),
        ({"holding_cost": [0, 0, -1, 0]}, '"holding_cost" is less than zero'),
        ({"holding_cost": [0, {}, 1, 0]}, '"holding_cost" item 2 is not a number'),
        ({"holding_cost": {}}, '"holding_cost" is not a number'),
        ({"capacity": 0}, '"capacity" is not a whole number from 1'),
        ({"capacity": "2.5"}, '"capacity" is not a whole number'),
        ({"arrivals": [10**8] * 4, "capacity": 1}, "too much for an exact plan"),
    ],
)
def test_bad_input_is_refused_in_one_line(more, says):
    with pytest.raises(ReckonError, match=re.escape(says)) as caught:
        ask(**more)
    assert "\n" not in str(caught.value)


ODD = st.recursive(
    st.none() | st.booleans() | st.integers(-2, 10**10) | st.text(max_size=3),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.text(max_size=2), inner, max_size=2)
    ),
    max_leaves=5,
)


@given(st.dictionaries(st.sampled_from([*SMALL, "capacity", "x"]), ODD))
def test_whatever_is_asked_is_answered_or_refused(odd):
    try:
        answer = json.loads(
            reckon("return-plan", json.dumps({**SMALL, **odd}), GROUND_FLOOR)
        )
    except ReckonError as error:
        assert "\n" not in str(error)
    else:
        assert re.fullmatch(r"\d+\.\d\d", answer["cost"])
