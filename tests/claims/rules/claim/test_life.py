"""Every state with every act: where it leads, or every reason against."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import pytest

from claims.rules.claim.life import LIFE, ClaimFacts

TODAY = date(2026, 5, 4)
GOOD = ClaimFacts(
    today=TODAY,
    on=TODAY,
    amount_cents=100,
    line_count=1,
    reason="Because.",
    proof="Signed by L. Parr.",
)

# Written by hand, not read from the table: state -> act -> where it ends.
EXPECTED = {
    "drafted": {
        "supplement": "drafted",
        "adjust-line": "drafted",
        "strike-line": "drafted",
        "decide-paper": "drafted",
        "send": "sent",
        "withdraw": "withdrawn",
        "build-packet": "drafted",
    },
    "sent": {
        "supplement": "sent",
        "adjust-line": "sent",
        "strike-line": "sent",
        "decide-paper": "sent",
        "send": "sent",
        "receive": "received",
        "withdraw": "withdrawn",
        "build-packet": "sent",
    },
    "received": {
        "supplement": "received",
        "adjust-line": "received",
        "strike-line": "received",
        "decide-paper": "received",
        "acknowledge": "acknowledged",
        "offer": "offered",
        "disallow": "disallowed",
        "settle": "settled",
        "withdraw": "withdrawn",
        "build-packet": "received",
    },
    "acknowledged": {
        "supplement": "acknowledged",
        "adjust-line": "acknowledged",
        "strike-line": "acknowledged",
        "decide-paper": "acknowledged",
        "offer": "offered",
        "disallow": "disallowed",
        "settle": "settled",
        "withdraw": "withdrawn",
        "build-packet": "acknowledged",
    },
    "offered": {
        "supplement": "offered",
        "adjust-line": "offered",
        "strike-line": "offered",
        "decide-paper": "offered",
        "offer": "offered",
        "disallow": "disallowed",
        "settle": "settled",
        "withdraw": "withdrawn",
        "build-packet": "offered",
    },
    "disallowed": {
        "supplement": "disallowed",
        "adjust-line": "disallowed",
        "strike-line": "disallowed",
        "decide-paper": "disallowed",
        "offer": "offered",
        "settle": "settled",
        "withdraw": "withdrawn",
        "build-packet": "disallowed",
    },
    "settled": {"build-packet": "settled"},
    "withdrawn": {},
}


@pytest.mark.parametrize(("state", "act"), list(product(LIFE.states, LIFE.acts)))
def test_each_state_and_act_leads_where_it_is_written(state, act):
    decision = LIFE.decide(state, act, GOOD)

    assert decision.new_state == EXPECTED[state].get(act)
    assert decision.is_allowed is (act in EXPECTED[state])
    assert bool(decision.reasons) is not decision.is_allowed


def test_every_state_but_the_first_is_reached():
    reached = {end for acts in EXPECTED.values() for end in acts.values()}

    assert set(LIFE.states) - reached == set()


@pytest.mark.parametrize(
    ("act", "state", "over", "word"),
    [
        ("send", "drafted", {"amount_cents": 0}, "370.3(b)"),
        ("send", "drafted", {"line_count": 0}, "no lines"),
        ("send", "drafted", {"identified": False}, "both missing"),
        ("send", "drafted", {"addressee_is_broker": True}, "never sent to a broker"),
        ("send", "drafted", {"unanswered": (2, 5)}, "Finding 2, 5"),
        ("send", "drafted", {"on": None}, "Enter the day"),
        ("send", "drafted", {"on": TODAY + timedelta(days=1)}, "future"),
        (
            "send",
            "drafted",
            {"made_on": TODAY + timedelta(days=2)},
            "before the claim was made",
        ),
        ("receive", "sent", {"proof": " "}, "Enter the proof"),
        (
            "receive",
            "sent",
            {"sent_on": TODAY + timedelta(days=1)},
            "before the claim was sent",
        ),
        (
            "settle",
            "offered",
            {"received_on": TODAY + timedelta(days=1)},
            "before the carrier received the claim",
        ),
        ("disallow", "received", {"reason": ""}, "Enter a short reason"),
        ("withdraw", "drafted", {"reason": ""}, "Enter a short reason"),
        ("adjust-line", "sent", {"line_was_sent": True}, "with the carrier"),
        ("supplement", "sent", {"unanswered": (1,)}, "our handling"),
    ],
)
def test_what_an_act_needs_is_said(act, state, over, word):
    decision = LIFE.decide(state, act, replace(GOOD, **over))

    assert not decision.is_allowed
    assert any(word in reason for reason in decision.reasons)


def test_all_reasons_are_given_at_once():
    bad = replace(GOOD, amount_cents=0, line_count=0, on=None)

    assert len(LIFE.decide("drafted", "send", bad).reasons) == 3


def test_an_unknown_act_is_a_mistake_in_the_code():
    with pytest.raises(KeyError):
        LIFE.decide("drafted", "burn", GOOD)


def test_a_repeated_disallowance_says_that_it_restarts_nothing():
    assert "restarts nothing" in LIFE.decide("disallowed", "disallow", GOOD).reasons[0]


@pytest.mark.parametrize("state", LIFE.states)
def test_every_state_names_its_next_step(state):
    assert LIFE.next_step(state, GOOD)


def test_missing_papers_come_before_sending():
    missing = replace(GOOD, missing_papers=3)

    assert LIFE.next_step("drafted", missing).startswith("Get 3 missing documents")
    assert LIFE.next_step("sent", missing) == LIFE.next_step("sent", GOOD)
    assert LIFE.lead("drafted", GOOD) == "Next: Send the claim."
    assert LIFE.lead("settled", GOOD) == "Settled. Nothing to do."
