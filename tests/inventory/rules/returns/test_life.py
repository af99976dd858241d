"""The life of a return and of a short credit, weights, counts and numbers."""

from decimal import Decimal

import pytest

from inventory.rules.memos import short_credits
from inventory.rules.memos.short_credits import ShortFacts
from inventory.rules.reckoning.measures import Mass
from inventory.rules.returns import life as returns
from inventory.rules.returns.life import ReturnFacts

WHOLE = ReturnFacts(crates=3)

EXPECTED = {
    ("staging", "change"): "staging",
    ("staging", "stage"): "staging",
    ("staging", "take-off"): "staging",
    ("staging", "ship"): "shipped",
    ("staging", "cancel"): "cancelled",
    ("shipped", "receive"): "received",
    ("shipped", "lose"): "shipped",
    ("received", "lose"): "received",
    ("shipped", "close"): "closed",
    ("received", "close"): "closed",
    ("closed", "reopen"): "received",
}
NAMED = {("closed", "reopen"): "received"}
"""Where an act may end in several states, the one that is tried here."""


@pytest.mark.parametrize("state", returns.LIFE.states)
@pytest.mark.parametrize("act", returns.LIFE.acts)
def test_every_act_meets_every_state(state, act):
    to = NAMED.get((state, act))
    decision = returns.LIFE.decide(state, act, WHOLE, to=to)
    assert decision.new_state == EXPECTED.get((state, act))
    assert decision.is_allowed is ((state, act) in EXPECTED)
    assert bool(decision.reasons) is not decision.is_allowed
    assert (act in returns.LIFE.acts_from(state)) is decision.is_allowed


@pytest.mark.parametrize(
    ("facts", "word"),
    [
        (ReturnFacts(), "No crate is staged"),
        (ReturnFacts(crates=1, needs_authorization=True), "authorization"),
        (ReturnFacts(crates=1, needs_appointment=True), "appointment"),
    ],
)
def test_a_truck_does_not_leave_without_what_it_needs(facts, word):
    decision = returns.LIFE.decide("staging", "ship", facts)
    assert not decision.is_allowed
    assert word in decision.sentence


def test_a_return_closes_only_once_every_crate_is_settled():
    assert not returns.LIFE.decide(
        "received", "close", ReturnFacts(unsettled=1)
    ).is_allowed
    assert returns.LIFE.decide("received", "close", ReturnFacts(unsettled=0)).is_allowed


SHORT = ShortFacts(
    cents=9_000, currency="USD", limit=10_000, limit_currency="USD", reason="Agreed."
)

SHORT_EXPECTED = {
    ("open", "accept"): "accepted",
    ("open", "dispute"): "disputed",
    ("open", "win"): "won",
    ("disputed", "win"): "won",
    ("open", "write-off"): "written-off",
    ("disputed", "write-off"): "written-off",
    ("open", "ask-write-off"): "open",
    ("disputed", "ask-write-off"): "disputed",
    ("open", "approve-write-off"): "written-off",
    ("disputed", "approve-write-off"): "written-off",
    ("open", "reverse"): "reversed",
    ("disputed", "reverse"): "reversed",
    ("won", "reverse"): "disputed",
    ("accepted", "reverse"): "open",
    ("written-off", "reverse"): "open",
}


def short(**over):
    values = {name: getattr(SHORT, name) for name in SHORT.__dataclass_fields__}
    return ShortFacts(**{**values, **over})


@pytest.mark.parametrize("state", short_credits.LIFE.states)
@pytest.mark.parametrize("act", short_credits.LIFE.acts)
def test_every_act_meets_every_state_of_a_short_credit(state, act):
    asked_by = 7 if act == "approve-write-off" else None
    facts = short(asked_by=asked_by, person=9)
    to = SHORT_EXPECTED.get((state, act)) if act == "reverse" else None
    decision = short_credits.LIFE.decide(state, act, facts, to=to)
    assert decision.new_state == SHORT_EXPECTED.get((state, act))
    assert bool(decision.reasons) is not decision.is_allowed
    assert (act in short_credits.LIFE.acts_from(state)) is decision.is_allowed


def test_words_are_asked_for_where_money_is_given_up():
    for act in ("accept", "dispute", "write-off", "ask-write-off"):
        decision = short_credits.LIFE.decide("open", act, short(reason="  "))
        assert "Enter a reason." in decision.sentence


def test_above_the_limit_nobody_gives_money_up_alone():
    above = short(cents=10_001, asked_by=7, person=7)
    assert not short_credits.LIFE.decide("open", "accept", above).is_allowed
    assert not short_credits.LIFE.decide("open", "write-off", above).is_allowed
    assert short_credits.give_up_act(above) == "ask-write-off"
    alone = short_credits.LIFE.decide("open", "approve-write-off", above)
    assert "another person" in alone.sentence
    other = short(cents=10_001, asked_by=7, person=8)
    assert short_credits.LIFE.decide("open", "approve-write-off", other).is_allowed
    unasked = short(cents=10_001, person=8)
    assert not short_credits.LIFE.decide(
        "open", "approve-write-off", unasked
    ).is_allowed


def test_at_the_limit_one_person_may():
    within = short(cents=10_000)
    assert short_credits.LIFE.decide("open", "accept", within).is_allowed
    assert short_credits.give_up_act(within) == "write-off"


def test_a_write_off_is_asked_for_once():
    asked = short(cents=10_001, asked_by=7, person=9)
    again = short_credits.LIFE.decide("open", "ask-write-off", asked)
    assert "already requested" in again.sentence
    assert short_credits.LIFE.acts_from("open", asked) == (
        "dispute",
        "win",
        "approve-write-off",
        "reverse",
    )


def test_a_limit_says_nothing_about_another_currency():
    foreign = short(cents=1, currency="CAD")
    assert not short_credits.LIFE.decide("open", "accept", foreign).is_allowed


def test_weights_are_added_as_stated():
    pounds = [Mass(Decimal("120.5"), "lb"), Mass(Decimal(80), "lb")]
    assert returns.total_weight(pounds).words == "200.5 lb"
    assert returns.total_weight([*pounds, None]).words == (
        "200.5 lb and 1 crate not weighed"
    )
    mixed = [Mass(Decimal(100), "lb"), Mass(Decimal("45.359237"), "kg")]
    assert returns.total_weight(mixed).words == "200 lb"
    assert returns.total_weight([None, None]).words == "2 crates not weighed"
    assert returns.total_weight([]).words == "0 lb"


def test_a_difference_of_count_is_told():
    assert returns.count_words(6, 6) == ""
    assert returns.count_words(6, None) == ""
    assert returns.count_words(6, 5) == "The driver signed for 5; we list 6."


def test_the_least_load_is_told():
    assert returns.minimum_words(4, 4) == ""
    assert "no fewer than 4 crates; this return has 1" in returns.minimum_words(1, 4)


def test_the_next_step_is_told_in_every_state():
    step = returns.LIFE.next_step
    assert step("staging", ReturnFacts()) == "Stage crates on it"
    assert step("staging", ReturnFacts(crates=1)) == "Load it when the truck arrives"
    assert "credit memo" in step("received", ReturnFacts(waiting=1))
    assert step("received", ReturnFacts()) == "Decide what the memo left short-paid"
    for state in returns.LIFE.states:
        assert step(state, ReturnFacts(waiting=1))


def test_a_truck_is_told_all_that_it_lacks():
    bare = ReturnFacts(needs_authorization=True, needs_appointment=True)
    assert len(returns.LIFE.decide("staging", "ship", bare).reasons) == 3
