"""The boards of the first day: their cost in words, and the usual account numbers."""

from claims.rules.core.first_day import BOARDS, usual_numbers
from inventory.rules.crates.words import ACCOUNTS


def test_every_kind_of_account_has_a_number_of_its_own():
    numbers = usual_numbers()

    assert numbers.keys() == ACCOUNTS.keys()
    assert len(set(numbers.values())) == len(numbers)
    assert numbers["deposits-receivable"] == "1310"


def test_a_board_says_what_it_costs():
    assert [board.cost for board in BOARDS][3:5] == [
        "3 fields, 4 taps",
        "0 fields, 1 tap",
    ]
