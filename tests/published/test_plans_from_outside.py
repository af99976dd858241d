"""Plans whose cost the house did not think up, each beside its source.

The sources plan purchases: set up, then hold. Ours ships: hold, then dispatch. Data
and costs reversed in time turn one into the other, so cost and lots must agree.
"""

import pytest

from inventory.rules.reckon.return_plan import reckon_return_plan


def mirrored(demands, setup, holding):
    """Ask for the plan of the source's table, read from its last period back."""
    found = reckon_return_plan(
        {
            "arrivals": demands[::-1],
            "dispatch_cost": setup[::-1] if isinstance(setup, list) else setup,
            "holding_cost": holding,
            "capacity": None,
        }
    )
    plan = [(each["period"], each["crates"]) for each in found["dispatch"]]
    return found["cost"], plan


DEMANDS = [69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56]
SETUPS = [85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114]
"""H. M. Wagner and T. M. Whitin, Management Science 5(1), 1958, 89-96: the table of
twelve months, secondary (many public transcriptions agree); holding 1 a month."""

F = [85, 114, 186, 277, 348, 400, 469, 555, 600, 710, 789, 864]
"""Least cost of the first t months: 864 from memory of the paper, all of them derived
by trying every plan of the same table."""


def test_wagner_and_whitin_1958_reversed_in_time():
    cost, plan = mirrored(DEMANDS, SETUPS, 1)
    assert cost == "864.00"
    # Their lots 98, 97, 121, 112, 67, 135 in months 1, 3, 5, 8, 10, 11, mirrored.
    assert plan == [(2, 135), (3, 67), (5, 112), (8, 121), (10, 97), (12, 98)]


@pytest.mark.parametrize("months", range(1, 13))
def test_every_shorter_plan_of_the_same_table(months):
    cost, _ = mirrored(DEMANDS[:months], SETUPS[:months], 1)
    assert cost == f"{F[months - 1]}.00"


def test_the_worked_example_of_silver_and_meal():
    # S. Nahmias, Production and Operations Analysis, text seen: r 18 30 42 5 20,
    # K 80, h 2; the heuristic finds 310 with (48, 0, 47, 0, 20). That 310 is the
    # least cost, and also that of setups in 1 and 3, is derived by trying all plans.
    cost, plan = mirrored([18, 30, 42, 5, 20], 80, 2)
    assert cost == "310.00"
    assert plan == [(3, 67), (5, 48)]  # of the two, the fewer dispatches


def test_a_small_tie_goes_to_the_fewest_dispatches():
    # Own example, tried by hand: {4} and {2, 4} both cost 23.
    found = reckon_return_plan(
        {"arrivals": [2, 3, 1, 4], "dispatch_cost": 10, "holding_cost": 1}
    )
    assert (found["cost"], found["dispatch"]) == (
        "23.00",
        [{"period": 4, "crates": 10}],
    )
