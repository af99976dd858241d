"""Who may give up a short-paid credit, and when, beyond what its state allows."""

import pytest

from inventory.rules.memos.short_credits import LIFE, ShortFacts, give_up_act

ANNA, BO = 1, 2


def facts(cents=5_000, **over):
    return ShortFacts(
        **{
            "cents": cents,
            "currency": "USD",
            "limit": 5_000,
            "limit_currency": "USD",
            "reason": "Too little to argue over",
            "person": ANNA,
            **over,
        }
    )


@pytest.mark.parametrize(
    ("act", "about", "says"),
    [
        ("accept", facts(), ""),
        ("accept", facts(5_001), "above the limit for one person"),
        ("accept", facts(currency="CAD"), "above the limit for one person"),
        ("accept", facts(reason=" "), "Enter a reason."),
        ("dispute", facts(5_001), ""),
        ("dispute", facts(reason=""), "Enter a reason."),
        ("write-off", facts(), ""),
        ("write-off", facts(5_001), "above the limit for one person"),
        ("write-off", facts(reason=""), "Enter a reason."),
        ("ask-write-off", facts(5_001), ""),
        ("ask-write-off", facts(5_001, asked_by=BO), "already requested"),
        ("ask-write-off", facts(5_001, reason=""), "Enter a reason."),
        ("approve-write-off", facts(5_001), "Nobody has requested"),
        ("approve-write-off", facts(5_001, asked_by=BO), ""),
        ("approve-write-off", facts(5_001, asked_by=ANNA), "You requested this"),
    ],
)
def test_an_act_asks_what_it_needs(act, about, says):
    reasons = LIFE.decide("open", act, about).reasons
    assert len(reasons) == bool(says)
    assert says in " ".join(reasons)


def test_above_the_limit_one_person_can_only_ask():
    assert give_up_act(facts(5_000)) == "write-off"
    assert give_up_act(facts(5_001)) == "ask-write-off"


def test_a_disputed_credit_is_paid_or_given_up_and_nothing_else():
    about = facts(5_001, asked_by=BO)
    assert LIFE.acts_from("disputed", about) == ("win", "approve-write-off", "reverse")
    assert LIFE.acts_from("open", facts()) == (
        "accept",
        "dispute",
        "win",
        "write-off",
        "ask-write-off",
        "reverse",
    )
    for state in ("won", "accepted", "written-off"):
        assert LIFE.acts_from(state, facts()) == ("reverse",)
