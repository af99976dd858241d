"""A supplier's remark states a cause by whole words, never by letters inside others.

The remarks are ours, as such memos are commonly worded; no source.
"""

import pytest

from inventory.rules.memos.causes import cause_of, said_cause
from inventory.rules.memos.types import LATE, MISSING_PART, PRICE, Awaited, Line

LATE_REMARKS = """
late
Returned late.
LATE RETURN - 12 days
14 days late
Late-return fee
overdue
60 days past due
60 days past-due
75 days out
1 day out
75 days outstanding
Free period expired
Not our terms, came late
Deposit: late
late/short
bracket missing, late
"""

PART_REMARKS = """
missing bracket
Panels missing
1 panel
Part missing
2 parts short
lid
No lid
without hardware
Lid not returned
crate damaged
Damage to base
Broken slat
Base plate bent
needs repair
Repaired by us
Hardware bag, one lid
not late but bracket missing
no damage, lid missing
Panel_2
part of frame missing
Wasn't complete, lids
"""

LOOK_ALIKES = """
related return
template 4
Base plate
plates counted
see latest price list
later invoice applies
lately agreed price
translated invoice
calculated at old rate
as stipulated
violated terms
slate crate
chocolate
isolated case
solid crate, valid
invalid mark
slid on the load
Euclid, OH
collided
consolidated
department 4
credited by dept. of returns
partial credit
third party
partner price
counterpart entry
apart from R-3
departed 4 March
compartment crate
Sparta, WI
paid in part
in-part credit
part payment
part paid
part load
unbroken seal
heartbroken
undamaged
unexpired
disrepair shop
panelled
paneling
hardwares
missingham works
not late
wasn't late
wasn\u2019t late
no damage
No parts missing
nothing missing
panel not bent
without damage to panel
never overdue
arrived undamaged, not late
"""


def rows(text):
    return [line for line in text.strip().split("\n") if line]


@pytest.mark.parametrize("remark", rows(LATE_REMARKS))
def test_a_remark_says_late(remark):
    assert said_cause(remark) == LATE


@pytest.mark.parametrize("remark", rows(PART_REMARKS))
def test_a_remark_speaks_of_parts(remark):
    assert said_cause(remark) == MISSING_PART


@pytest.mark.parametrize("remark", rows(LOOK_ALIKES))
def test_a_look_alike_states_nothing(remark):
    assert said_cause(remark) == ""


def test_a_look_alike_leaves_the_cause_to_the_figures():
    row = Awaited(1, 12_000, part_prices=(3_000,), later_credits=(8_000,))

    def cause(amount, remark):
        return cause_of(Line(1, amount, "HT-1", remark=remark), row, "USD")[0]

    assert cause(9_000, "template 4, related") == MISSING_PART
    assert cause(8_000, "solid crate, valid") == LATE
    assert cause(11_000, "department 4") == PRICE


@pytest.mark.parametrize(
    ("gap", "cause", "why"),
    [
        (300, MISSING_PART, "it equals the price of 1 part at $3.00"),
        (600, MISSING_PART, "it equals the price of 2 parts at $3.00"),
        (2_700, MISSING_PART, "it equals the price of 9 parts at $3.00"),
        (3_000, PRICE, "the supplier used another price"),
        (2_100, MISSING_PART, "it equals the price of 3 parts at $7.00"),
    ],
)
def test_a_gap_of_up_to_nine_parts_is_missing_parts(gap, cause, why):
    # The dearer part is tried first; a part without a price explains nothing.
    row = Awaited(1, 12_000, part_prices=(0, 300, 700))
    assert cause_of(Line(1, 12_000 - gap), row, "USD") == (cause, why)
