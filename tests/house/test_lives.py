"""Every life: each state meets each act, none is a dead end, someone may do each act."""

from dataclasses import replace
from datetime import date

import pytest

from claims.models import Claim, Notice
from claims.rules.claim import life as lifecycle
from claims.rules.claim.life_facts import ClaimFacts
from claims.rules.core import vocabulary as claim_words
from claims.rules.letters import claim_letter_life as letter_life
from claims.rules.letters import life as notice_life
from inventory.models import Crate, CrateReturn, ShortCredit, SuspenseLine
from inventory.rules.core.life import Act, Life, State, Verdict, leads, stays
from inventory.rules.core.roles import ACTS as RIGHTS
from inventory.rules.core.roles import ROLES
from inventory.rules.crates import life as crates
from inventory.rules.crates import words as crate_words
from inventory.rules.memos import short_credits, suspense
from inventory.rules.returns import life as returns
from tests.house.access_table import OBJECTS, POST_ONLY

TODAY = date(2026, 5, 4)

ASKED = short_credits.ShortFacts(9_000, "USD", 10_000, "USD", "Agreed.", 9, 7)
UNASKED = short_credits.ShortFacts(9_000, "USD", 10_000, "USD", "Agreed.", 9)

CLAIM = ClaimFacts(
    today=TODAY,
    on=TODAY,
    amount_cents=100,
    line_count=1,
    reason="So.",
    proof="Signed.",
    is_inspection_asked=True,
)
ASKS = {
    "settle": {"paid_cents": 100},
    "refile": {"not_filed": "A broker has it."},
    "prove": {"is_bankrupt": True},
    "hand-over": {"is_suppliers": True},
}
LIVES = {
    "claim": (lifecycle.LIFE, lambda act: replace(CLAIM, **ASKS.get(act, {}))),
    "notice": (
        notice_life.LIFE,
        lambda _act: notice_life.NoticeDays(TODAY, TODAY, TODAY),
    ),
    "letter": (
        letter_life.LIFE,
        lambda _act: letter_life.LetterDays(
            TODAY, TODAY, TODAY, TODAY, "Not needed.", "portal", "No. 4711"
        ),
    ),
    "crate": (crates.LIFE, lambda _act: crates.CrateFacts(reason="Rotten.")),
    "return": (returns.LIFE, lambda _act: returns.ReturnFacts(crates=3)),
    "difference": (
        short_credits.LIFE,
        lambda act: ASKED if act == "approve-write-off" else UNASKED,
    ),
    "held": (suspense.LIFE, lambda _act: suspense.HeldFacts("Theirs.", True)),
}
"""Each life with facts that meet every condition of an act."""

CELLS = [
    (name, state, act)
    for name, (life, _facts) in LIVES.items()
    for state in life.states
    for act in life.acts
]
STATES = sorted({(name, state) for name, state, _act in CELLS})
ACTS = sorted({(name, act) for name, _state, act in CELLS})

ADDRESSES = {
    "claim": {
        "supplement": "supplement_claim",
        "address": "address_claim",
        "give-paper": "give_paper",
        "prove": "record_proof_of_claim",
        "send": "send_claim",
        "refile": "refile_claim",
        "receive": "record_receipt",
        "acknowledge": "record_acknowledgement",
        "offer": "record_offer",
        "disallow": "record_disallowance",
        "ask-inspection": "ask_inspection",
        "inspection": "record_inspection",
        "permission": "record_permission",
        "ask-papers": "ask_papers",
        "supply-papers": "supply_papers",
        "salvage-sold": "record_salvage",
        "counter": "record_counter",
        "accept": "accept_offer",
        "refuse": "refuse_offer",
        "pay": "record_payment",
        "reverse-payment": "reverse_payment",
        "decide-payment": "decide_payment",
        "give-up": "give_up_claim",
        "hand-over": "hand_over_claim",
        "tell-withdrawal": "tell_withdrawal",
        "reopen": "reopen_claim",
        "settle": "record_settlement",
        "withdraw": "withdraw_claim",
        "decide-paper": "decide_paper",
        "adjust-line": "adjust_line",
        "strike-line": "strike_line",
        "take-off-credit": "take_off_credits",
        "build-packet": "build_packet",
    },
    "notice": {"send": "send_notice", "receive": "receive_notice"},
    "letter": {
        "send": "send_claim_letter",
        "receive": "receive_claim_letter",
        "drop": "drop_claim_letter",
    },
    "crate": {
        "follow": "edit_crate",
        "unfollow": "edit_crate",
        "retype": "set_crate_type",
        "empty": "empty_crate",
        "check": "check_crate",
        "stage": "stage_crates",
        "unstage": "take_off_crate",
        "ship": "ship_return",
        "lose": "lose_crate",
        "credit": "post_memo",
        "credit-short": "post_memo",
        "forfeit": "forfeit_deposit",
        "scrap": "scrap_crate",
        "reinstate": "reverse_entry",
    },
    "return": {
        "change": "edit_return",
        "stage": "stage_crates",
        "take-off": "take_off_crate",
        "ship": "ship_return",
        "receive": "receive_return",
        "lose": "lose_crate",
        "reopen": "reverse_memo",
        "cancel": "cancel_return",
    },
    "difference": {
        "accept": "accept_short",
        "dispute": "dispute_short",
        "win": "win_short",
        "write-off": "ask_write_off",
        "ask-write-off": "ask_write_off",
        "approve-write-off": "approve_write_off",
        "reverse": "reverse_memo",
    },
    "held": {
        "match": "match_suspense",
        "return": "return_suspense",
        "take-by-answer": "take_suspense",
        "take-by-reason": "take_suspense_by_reason",
        "reverse": "reverse_memo",
    },
}
"""The address at which each act is done; "close" has none, it follows the last credit."""


@pytest.mark.parametrize(("name", "state", "act"), CELLS)
def test_each_act_meets_each_state(name, state, act):
    life, facts = LIVES[name]
    ends = life.acts[act].ends.get(state, ())
    for end in ends:
        assert life.decide(state, act, facts(act), to=end) == Verdict(end)
        assert end in life.states
    if not ends:
        verdict = life.decide(state, act, facts(act))
        assert verdict.new_state is None
        assert verdict.reasons == (
            life.acts[act].unfit.get(state, life.states[state].against),
        )
        assert verdict.sentence.endswith(" Nothing was changed.")
    assert (act in life.acts_from(state)) is bool(ends)
    assert (state in life.starts(act)) is bool(ends)


@pytest.mark.parametrize("name", LIVES)
def test_every_state_is_reached_from_the_first(name):
    life, _facts = LIVES[name]
    reached, ahead = set(), {life.first}
    while ahead:
        state = ahead.pop()
        reached.add(state)
        ends = {end for act in life.acts.values() for end in act.ends.get(state, ())}
        ahead |= ends - reached
    assert reached == set(life.states)


@pytest.mark.parametrize(("name", "state"), STATES)
def test_only_a_final_state_may_have_no_way_out(name, state):
    life, _facts = LIVES[name]
    leaves = any(set(act.ends.get(state, ())) - {state} for act in life.acts.values())
    assert leaves or life.states[state].is_final
    assert (state in life.live) is not (state in life.final)


@pytest.mark.parametrize(("name", "state"), STATES)
def test_every_state_can_be_read(name, state):
    found = LIVES[name][0].states[state]
    assert found.words
    assert found.against.endswith(".")
    assert not found.next_step.endswith(".")
    assert found.next_step.endswith("Nothing to do") is found.is_final
    assert found.tone in {"late", "running", "kept", "done", "plain"}


@pytest.mark.parametrize(("name", "act"), ACTS)
def test_someone_may_do_every_act(name, act):
    role = LIVES[name][0].acts[act].role
    assert RIGHTS[role] & set(ROLES)


@pytest.mark.parametrize(
    ("name", "act", "address"),
    [(name, act, at) for name, acts in ADDRESSES.items() for act, at in acts.items()],
)
def test_the_page_of_an_act_asks_for_the_right_that_its_life_names(name, act, address):
    right = LIVES[name][0].acts[act].role
    known = [*OBJECTS.get(right, ()), *POST_ONLY.get(right, ())]
    assert address in {name for name, _row in known}


def test_every_act_has_an_address_but_the_one_that_follows_by_itself():
    without = {(name, act) for name, act in ACTS if act not in ADDRESSES[name]}
    assert without == {("return", "close")}


@pytest.mark.parametrize(
    ("life", "words", "model"),
    [
        (lifecycle.LIFE, claim_words.CLAIM_STATES, Claim),
        (crates.LIFE, crate_words.CRATE_STATES, Crate),
        (returns.LIFE, crate_words.RETURN_STATES, CrateReturn),
        (short_credits.LIFE, crate_words.SHORT_STATES, ShortCredit),
        (suspense.LIFE, crate_words.SUSPENSE_STATES, SuspenseLine),
        (notice_life.LIFE, claim_words.NOTICE_STATES, Notice),
    ],
)
def test_a_state_has_one_name(life, words, model):
    assert {key: life.words(key) for key in life.states} == words
    assert list(life.states) == list(words)
    assert model.life is life


@pytest.mark.parametrize(
    ("sent_on", "received_on", "state"),
    [
        (None, None, "written"),
        (TODAY, None, "sent"),
        (TODAY, TODAY, "received"),
    ],
)
def test_a_notice_is_in_the_state_that_its_days_say(sent_on, received_on, state):
    assert notice_life.state_of(sent_on, received_on) == state


SMALL = Life[str](
    states={
        "made": State("Made", "It is only made.", "Paint it"),
        "red": State("Red", "It is red.", "Dry it", instead=(lambda facts: facts,)),
        "gone": State("Gone", "It is gone.", "Gone. Nothing to do", is_final=True),
    },
    acts={
        "paint": Act("Paint it", "see", leads(("made", "red"), "red", "gone")),
        "turn": Act(
            "Turn it",
            "see",
            stays(("made", "red")),
            bars=(lambda facts: "It is stuck." if facts == "stuck" else "",),
            needs=(lambda facts: "" if facts else "Say how.",),
            unfit={"gone": "It is too late to turn it."},
        ),
    },
)


class TestALife:
    def test_it_gives_every_reason_at_once(self):
        verdict = SMALL.decide("gone", "turn", "stuck")
        assert verdict.reasons == ("It is too late to turn it.", "It is stuck.")
        assert not verdict.is_allowed
        assert SMALL.decide("gone", "turn", "").reasons[1] == "Say how."
        assert SMALL.decide("gone", "paint", "").sentence == (
            "It is gone. Nothing was changed."
        )
        assert SMALL.decide("red", "turn", "left").sentence == ""

    def test_a_page_does_not_offer_what_the_record_forbids(self):
        assert SMALL.acts_from("red") == ("paint", "turn")
        assert SMALL.acts_from("red", "stuck") == ("paint",)
        assert SMALL.acts_from("red", "") == ("paint", "turn")

    def test_several_ends_want_one_of_them_named(self):
        assert SMALL.decide("made", "paint", "", to="red") == Verdict("red")
        for wrong in (None, "made"):
            with pytest.raises(ValueError, match="paint leads from made"):
                SMALL.decide("made", "paint", "", to=wrong)

    @pytest.mark.parametrize(("state", "act"), [("blue", "paint"), ("red", "sell")])
    def test_a_strange_state_or_act_is_a_mistake_in_the_code(self, state, act):
        with pytest.raises(KeyError):
            SMALL.decide(state, act, "")

    def test_what_comes_next_depends_on_the_facts(self):
        assert SMALL.next_step("red", "") == "Dry it"
        assert SMALL.lead("red", "Move it") == "Next: Move it."
        assert SMALL.lead("gone", "") == "Gone. Nothing to do."

    def test_it_prints_itself(self):
        assert SMALL.table().split("\n")[2:] == [
            "| Paint it | see | made, red | red or gone |",
            "| Turn it | see | made, red | stays |",
        ]
