"""Terms and facts that contradict themselves are refused with a sentence."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from inventory.rules.deposits.credit import DepositError, Facts, PartLoss, Terms
from inventory.rules.reckoning.money import Money
from tests.amounts import usd

START = dt.date(2026, 1, 10)
PLAIN = Terms("receipt", "pick-up", 90)
STEPS = replace(PLAIN, decline="steps", steps=((90, Decimal(75)),), ends_day=180)
PANEL = PartLoss("side panel", "damaged", usd(6000))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"clock_starts": "noon"}, "one of invoice, shipment, receipt"),
        ({"clock_stops": "never"}, "one of pick-up, bill-date, receipt"),
        ({"decline": "curve"}, "one of none, steps, straight"),
        ({"return_freight": "them"}, "one of us, supplier"),
        ({"full_days": -1}, "days for full credit must be from 0"),
        ({"full_days": 36_501}, "days for full credit must be from 0"),
        ({"transit_days": -1}, "on the road"),
        ({"memo_days": -1}, "credit memo"),
        ({"ceiling": Decimal(101)}, "from 0 to 100"),
        ({"ceiling": Decimal("NaN")}, "from 0 to 100"),
        ({"ends_day": 100}, "Without a decline"),
        ({"steps": ((90, Decimal(50)),)}, 'need the decline "in steps"'),
        ({"decline": "steps"}, "at least one step"),
        ({"decline": "straight"}, "needs the day"),
        ({"decline": "straight", "ends_day": 90}, "not after the last day of full"),
    ],
)
def test_terms_that_contradict_themselves_are_refused(changes, words):
    with pytest.raises(DepositError, match=words):
        replace(PLAIN, **changes)


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        (((90, 75), (120, 50), (110, 25)), "in order"),
        (((90, 75), (90, 50)), "in order"),
        (((80, 75),), "Use the same day for both"),
        (((90, 50), (120, 75)), "more than the step before"),
        (((90, 100),), "less than 100"),
        (((90, -1),), "less than 100"),
        (((90, 75), (180, 50)), "begins only"),
    ],
)
def test_crooked_steps_are_refused(steps, words):
    with pytest.raises(DepositError, match=words):
        replace(STEPS, steps=tuple((d, Decimal(p)) for d, p in steps))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"deposit": usd(-1)}, "cannot be less than zero"),
        ({"parts": (replace(PANEL, each=Money(1, "CAD")),)}, "in CAD"),
        ({"held_to": START}, "an end but no start"),
        (
            {"held_to": dt.date(2026, 1, 11), "held_from": dt.date(2026, 1, 12)},
            "before it began",
        ),
    ],
)
def test_facts_that_cannot_be_are_refused(changes, words):
    with pytest.raises(DepositError, match=words):
        replace(Facts(usd(40000), received_on=START), **changes)


def test_a_part_is_not_deducted_below_zero():
    with pytest.raises(DepositError, match="less than zero"):
        PartLoss("lid", "missing", usd(-1))
    with pytest.raises(DepositError, match="missing or damaged"):
        PartLoss("lid", "lost", usd(1))
