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
    is_inspection_asked=True,
)

# Written by hand, not read from the table: state -> act -> where it ends.
_ON_RECORD = (
    "supplement",
    "adjust-line",
    "strike-line",
    "take-off-credit",
    "decide-paper",
    "give-paper",
    "build-packet",
)
_TOLD = ("ask-inspection", "inspection", "permission", "salvage-sold", "prove")
_OUT = (*_ON_RECORD, *_TOLD, "ask-papers", "supply-papers", "pay", "reverse-payment")
_ENDS = {
    "decide-payment": "settled",
    "settle": "settled",
    "give-up": "not-pursued",
    "withdraw": "withdrawing",
}
_REOPENED = {"reopen": "disallowed"}
_REFILED = {"refile": "sent"}

EXPECTED = {
    "drafted": {
        **dict.fromkeys((*_ON_RECORD, *_TOLD, "address"), "drafted"),
        "send": "sent",
        "hand-over": "handed-over",
        "withdraw": "withdrawn",
    },
    "sent": {
        **dict.fromkeys((*_OUT, "send"), "sent"),
        **_ENDS,
        "receive": "received",
    },
    "received": {
        **dict.fromkeys(_OUT, "received"),
        **_ENDS,
        **_REFILED,
        "acknowledge": "acknowledged",
        "offer": "offered",
        "disallow": "disallowed",
    },
    "acknowledged": {
        **dict.fromkeys(_OUT, "acknowledged"),
        **_ENDS,
        **_REFILED,
        "offer": "offered",
        "disallow": "disallowed",
    },
    "offered": {
        **dict.fromkeys((*_OUT, "offer"), "offered"),
        **_ENDS,
        **_REFILED,
        "refuse": "received",
        "counter": "countered",
        "accept": "accepted",
        "disallow": "disallowed",
    },
    "countered": {
        **dict.fromkeys((*_OUT, "counter"), "countered"),
        **_ENDS,
        **_REFILED,
        "refuse": "received",
        "offer": "offered",
        "accept": "accepted",
        "disallow": "disallowed",
    },
    "accepted": {
        **dict.fromkeys(_OUT, "accepted"),
        **_ENDS,
        **_REFILED,
        "disallow": "disallowed",
    },
    "disallowed": {
        **dict.fromkeys((*_OUT, "disallow"), "disallowed"),
        **_ENDS,
        **_REFILED,
        "offer": "offered",
        "counter": "countered",
    },
    "settled": {**_REOPENED, "build-packet": "settled"},
    "not-pursued": {**_REOPENED, "build-packet": "not-pursued"},
    "handed-over": {"reopen": "drafted", "build-packet": "handed-over"},
    "withdrawing": {**_REOPENED, "tell-withdrawal": "withdrawn"},
    "withdrawn": {},
}
"""``decide-payment`` as full payment, ``reopen`` of one that was declined in writing,
``refuse`` of one that the carrier never acknowledged."""

NAMED = {"decide-payment": "settled", "reopen": "disallowed", "refuse": "received"}
ASKS = {
    "settle": {"paid_cents": 100},
    "refile": {"not_filed": "Not filed with a carrier."},
    "prove": {"is_bankrupt": True},
    "hand-over": {"is_suppliers": True},
}


def facts_for(act):
    return replace(GOOD, **ASKS.get(act, {}))


@pytest.mark.parametrize(("state", "act"), list(product(LIFE.states, LIFE.acts)))
def test_each_state_and_act_leads_where_it_is_written(state, act):
    ends = LIFE.acts[act].ends.get(state, ())
    to = NAMED.get(act) if len(ends) > 1 else None
    decision = LIFE.decide(state, act, facts_for(act), to=to)

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
        ("receive", "sent", {"not_filed": "Not filed: a broker has it."}, "a broker"),
        ("refile", "offered", {}, "has the claim already"),
        ("prove", "received", {}, "No bankruptcy of this carrier"),
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
        ("withdraw", "received", {"paid_cents": 1}, "cannot be withdrawn"),
        ("settle", "received", {"paid_cents": 0}, "No payment is recorded"),
        ("settle", "received", {"paid_cents": 99, "reason": ""}, "Less was paid"),
        ("settle", "received", {"held_payments": 2}, "2 payments marked as full"),
        ("give-up", "disallowed", {"held_payments": 1}, "A payment marked as full"),
        ("inspection", "sent", {"is_inspection_asked": False}, "No inspection was"),
        ("tell-withdrawal", "withdrawing", {"proof": ""}, "Enter the proof"),
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


def test_money_comes_before_what_the_state_says():
    held = replace(GOOD, held_payments=1)
    paid = replace(GOOD, paid_cents=100)
    agreed = replace(GOOD, amount_cents=500, agreed_cents=100, paid_cents=100)

    assert LIFE.next_step("acknowledged", held).startswith("Decide on the payment")
    assert LIFE.next_step("disallowed", paid).startswith("Paid in full")
    assert LIFE.next_step("accepted", agreed).startswith("Paid as agreed")
    assert LIFE.next_step("offered", GOOD) == "Answer the offer"


def test_the_carrier_comes_before_anything_that_a_broker_says():
    unfiled = replace(GOOD, not_filed="A broker has it.", held_payments=1)

    for state in ("sent", "received", "acknowledged", "offered", "disallowed"):
        assert (
            LIFE.next_step(state, unfiled) == "Send the claim to the carrier of record"
        )


@pytest.mark.parametrize("state", LIFE.states)
def test_every_state_names_its_next_step(state):
    assert LIFE.next_step(state, GOOD)


def test_missing_papers_come_before_sending():
    missing = replace(GOOD, missing_papers=3)

    assert LIFE.next_step("drafted", missing).startswith("Get 3 missing documents")
    assert LIFE.next_step("sent", missing) == LIFE.next_step("sent", GOOD)
    assert LIFE.lead("drafted", GOOD) == "Next: Send the claim."
    assert LIFE.lead("settled", GOOD) == "Settled. Nothing to do."
