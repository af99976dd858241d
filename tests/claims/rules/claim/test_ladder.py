"""The amount as a ladder: what an offer is short, and a bar that adds up."""

import pytest

from claims.rules.claim.ladder import Ladder


@pytest.mark.parametrize(
    ("claimed", "paid", "offered", "parts"),
    [
        # 388.00 and 980.00 of 1,848.40: 21.0, 53.0 and 26.0 percent, by hand.
        (184_840, 38_800, 98_000, [("Paid", 21), ("Offered", 53), ("Short", 26)]),
        (60_000, 60_000, 0, [("Paid", 100)]),
        (60_000, 0, 0, [("Short", 100)]),
        (60_000, 70_000, 0, [("Paid", 100)]),
        (30_000, 10_000, 10_000, [("Paid", 33), ("Offered", 33), ("Short", 34)]),
        (60_000, 0, 90_000, [("Offered", 100)]),
        (0, 0, 0, []),
    ],
)
def test_the_bar_adds_up_to_a_hundred(claimed, paid, offered, parts):
    ladder = Ladder(claimed, paid, offered)

    assert [(one.name, one.percent) for one in ladder.parts] == parts
    assert sum(one.percent for one in ladder.parts) in {0, 100}
    starts = [one.start for one in ladder.parts]
    assert starts == [sum(n for _, n in parts[:at]) for at in range(len(parts))]


def test_an_offer_falls_short_of_the_balance_not_of_the_claim():
    ladder = Ladder(184_840, 38_800, 98_000)

    assert (ladder.balance_cents, ladder.short_cents) == (146_040, 48_040)
