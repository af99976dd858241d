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
}


@pytest.mark.parametrize("state", returns.STATES)
@pytest.mark.parametrize("act", returns.ACTS)
def test_every_act_meets_every_state(state, act):
    decision = returns.decide(state, act, WHOLE)
    assert decision.new_state == EXPECTED.get((state, act))
    assert decision.allowed is ((state, act) in EXPECTED)
    assert bool(decision.reason) is not decision.allowed
    assert (act in returns.acts_from(state)) is decision.allowed


@pytest.mark.parametrize(
    ("facts", "word"),
    [
        (ReturnFacts(), "No crate is staged"),
        (ReturnFacts(crates=1, needs_authorization=True), "authorization"),
        (ReturnFacts(crates=1, needs_appointment=True), "appointment"),
    ],
)
def test_a_truck_does_not_leave_without_what_it_needs(facts, word):
    decision = returns.decide("staging", "ship", facts)
    assert not decision.allowed
    assert word in decision.reason


def test_a_return_closes_only_once_every_crate_is_settled():
    assert not returns.decide("received", "close", ReturnFacts(unsettled=1)).allowed
    assert returns.decide("received", "close", ReturnFacts(unsettled=0)).allowed


SHORT = ShortFacts(
    cents=9_000, currency="USD", limit=10_000, limit_currency="USD", reason="Agreed."
)

SHORT_EXPECTED = {
    ("open", "accept"): "accepted",
    ("open", "dispute"): "disputed",
    ("open", "win"): "won",
    ("disputed", "win"): "won",
    ("open", "ask-write-off"): "open",
    ("disputed", "ask-write-off"): "disputed",
    ("open", "approve-write-off"): "written-off",
    ("disputed", "approve-write-off"): "written-off",
}


def short(**over):
    values = {name: getattr(SHORT, name) for name in SHORT.__dataclass_fields__}
    return ShortFacts(**{**values, **over})


@pytest.mark.parametrize("state", short_credits.STATES)
@pytest.mark.parametrize("act", short_credits.ACTS)
def test_every_act_meets_every_state_of_a_short_credit(state, act):
    decision = short_credits.decide(state, act, short(asked_by=7, person=9))
    assert decision.new_state == SHORT_EXPECTED.get((state, act))
    assert bool(decision.reason) is not decision.allowed
    assert (act in short_credits.acts_from(state)) is decision.allowed


def test_words_are_asked_for_where_money_is_given_up():
    for act in ("accept", "dispute", "ask-write-off"):
        decision = short_credits.decide("open", act, short(reason="  "))
        assert "Say why" in decision.reason


def test_above_the_limit_nobody_gives_money_up_alone():
    above = short(cents=10_001, asked_by=7, person=7)
    assert not short_credits.decide("open", "accept", above).allowed
    alone = short_credits.decide("open", "approve-write-off", above)
    assert "another person" in alone.reason
    other = short(cents=10_001, asked_by=7, person=8)
    assert short_credits.decide("open", "approve-write-off", other).allowed
    unasked = short(cents=10_001, person=8)
    assert not short_credits.decide("open", "approve-write-off", unasked).allowed


def test_at_the_limit_one_person_may():
    assert short_credits.decide("open", "accept", short(cents=10_000)).allowed


def test_a_limit_says_nothing_about_another_currency():
    foreign = short(cents=1, currency="CAD")
    assert not short_credits.decide("open", "accept", foreign).allowed


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
    assert returns.count_words(6, 5) == "The driver signed for 5, we list 6."


def test_the_least_load_is_told():
    assert returns.minimum_words(4, 4) == ""
    assert "no fewer than 4 crates; 1 is" in returns.minimum_words(1, 4)


def test_the_next_step_is_told_in_every_state():
    assert returns.next_step("staging") == "Stage crates on it"
    assert returns.next_step("staging", crates=1) == "Load it when the truck comes"
    assert "credit memo" in returns.next_step("received", waiting=1)
    assert "differences" in returns.next_step("received")
    for state in returns.STATES:
        assert returns.next_step(state)
