"""A crate's loss is in its supplier's book already: a claim for it books none twice."""

import pytest

from claims.rules.books import kinds
from claims.rules.books.positions import BookFacts, Receipt, position_of


def facts(**over):
    values = {
        "basis": "register",
        "is_supplier": False,
        "loss_cents": 12_000,
        "parts": ((0, 12_000),),
        "is_way_home": True,
    }
    return BookFacts(**{**values, **over})


@pytest.mark.parametrize(
    ("over", "loss"),
    [
        # Lost: 120.00 leaves "crates lost by carriers" by its counter-account.
        ({}, {kinds.LOSS: 12_000, kinds.WAY_HOME: -12_000}),
        # Damaged: 40.00 of it was accepted as a crate charge, 120.00 - 40.00 is left.
        ({"expensed_cents": 4_000}, {kinds.LOSS: 8_000, kinds.WAY_HOME: -8_000}),
        ({"expensed_cents": 12_000}, None),
        # Withdrawn: the loss stands again as the supplier's book has it.
        ({"end": kinds.WITHDRAWN}, None),
        ({"end": kinds.NOT_PURSUED}, {kinds.LOSS: 12_000, kinds.WAY_HOME: -12_000}),
        # A claim for goods that came in books its loss itself.
        ({"is_way_home": False}, {kinds.LOSS: 12_000, kinds.AT_COST: -12_000}),
    ],
)
def test_the_loss_is_booked_once(over, loss):
    slots = position_of(facts(**over), {}).slots
    assert slots.get("loss") == loss


def test_the_money_back_reduces_the_loss_even_of_what_was_a_crate_charge():
    paid = facts(
        loss_cents=4_000,
        parts=((0, 4_000),),
        expensed_cents=4_000,
        receipts=(Receipt(1, 4_000, "check"),),
    )
    found = position_of(paid, {})
    assert found.values[kinds.RECOVERED] == -4_000
    assert found.values[kinds.GAINS] == 0
