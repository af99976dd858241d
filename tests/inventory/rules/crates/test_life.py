"""The life of a crate: every act meets every state, and a check adds up."""

import pytest

from inventory.rules.crates.life import (
    LIFE,
    CrateFacts,
    DisposalFacts,
    PartFound,
    found_in_words,
    result_of,
    why_not_dispose,
)
from inventory.rules.crates.words import CRATE_STATES, ON_HAND, READY

GROUND = {"emptied", "complete", "incomplete", "damaged"}
CHECKS = {"complete", "incomplete", "damaged"}

EXPECTED = {
    "follow": {"": {"full"}},
    "unfollow": {"full": {""}, "emptied": {""}},
    "retype": {"full": {"full"}, **{state: {"emptied"} for state in GROUND}},
    "empty": {"full": {"emptied"}},
    "check": dict.fromkeys(GROUND, CHECKS),
    "stage": {state: {"staged"} for state in CHECKS},
    "unstage": {"staged": CHECKS},
    "ship": {"staged": {"shipped"}},
    "credit": {
        "shipped": {"credited"},
        "lost": {"credited"},
        "short-credited": {"credited"},
    },
    "credit-short": {"shipped": {"short-credited"}, "lost": {"short-credited"}},
    "lose": {"shipped": {"lost"}},
    "forfeit": {state: {"forfeited"} for state in {"full", *GROUND}}
    | {"scrapped": {"scrapped"}},
    "scrap": {state: {"scrapped"} for state in {*GROUND, "forfeited"}},
    "reinstate": {
        "credited": {"shipped", "short-credited", "lost"},
        "short-credited": {"shipped", "lost"},
        "lost": {"shipped"},
        "forfeited": {"full", *GROUND},
        "scrapped": {"forfeited", *GROUND},
    },
}
"""The table written a second time, by hand."""

HELD_BACK = {"check", "stage", "ship", "scrap"}
FREE = CrateFacts(reason="Rotten.")
HELD = CrateFacts(is_held=True, reason="Rotten.")


def decide(state, act, facts=FREE, *, to=None):
    return LIFE.decide(state, act, facts, to=to)


CELLS = [(act, state) for act in EXPECTED for state in CRATE_STATES]


class TestTheTable:
    def test_it_has_the_acts_written_here_and_no_other(self):
        assert set(LIFE.acts) == set(EXPECTED)

    @pytest.mark.parametrize(("act", "state"), CELLS)
    def test_each_cell_leads_where_it_should_or_says_why_not(self, act, state):
        ends = EXPECTED[act].get(state)
        if ends is None:
            verdict = decide(state, act)
            assert not verdict.is_allowed
            assert verdict.sentence.endswith(" Nothing was changed.")
            assert len(verdict.sentence) > len(" Nothing was changed.")
            return
        for end in ends:
            assert decide(state, act, to=end).new_state == end
        if len(ends) == 1:
            assert decide(state, act).new_state == min(ends)

    @pytest.mark.parametrize(("act", "state"), CELLS)
    def test_a_hold_stops_what_would_change_the_crate_and_nothing_else(
        self, act, state
    ):
        ends = EXPECTED[act].get(state)
        if ends is None:
            return
        verdict = decide(state, act, HELD, to=min(ends))
        assert verdict.is_allowed == (act not in HELD_BACK)

    def test_a_closed_crate_is_not_emptied(self):
        shut = CrateFacts(is_opened=False)
        assert "Open it first" in decide("full", "empty", shut).sentence
        assert "empty" not in LIFE.acts_from("full", shut)

    def test_a_crate_is_scrapped_for_a_reason(self):
        assert "Enter why" in decide("damaged", "scrap", CrateFacts()).sentence

    def test_several_ends_want_one_named(self):
        with pytest.raises(ValueError, match="check leads from emptied"):
            decide("emptied", "check")

    def test_an_end_that_the_cell_lacks_is_a_mistake(self):
        with pytest.raises(ValueError, match="credited"):
            decide("staged", "ship", to="credited")

    def test_an_unknown_state_or_act_is_a_mistake(self):
        with pytest.raises(KeyError):
            decide("nowhere", "ship")
        with pytest.raises(KeyError):
            decide("staged", "fly")

    def test_no_crate_is_credited_twice(self):
        for act in ("credit", "credit-short"):
            assert "already credited" in decide("credited", act).sentence
        assert not decide("short-credited", "credit-short").is_allowed

    def test_every_state_can_be_reached_from_a_full_crate(self):
        reached, ahead = set(), {"full"}
        while ahead:
            state = ahead.pop()
            reached.add(state)
            ends = {
                end for act in LIFE.acts.values() for end in act.ends.get(state, ())
            }
            ahead |= ends - reached
        assert reached == set(CRATE_STATES)

    def test_only_what_stands_here_can_be_staged(self):
        assert {
            state for state in CRATE_STATES if decide(state, "stage").is_allowed
        } == set(READY)
        assert set(READY) <= set(ON_HAND)

    def test_acts_from_lists_what_the_state_offers(self):
        assert LIFE.acts_from("full") == ("unfollow", "retype", "empty", "forfeit")
        assert LIFE.acts_from("complete") == (
            "retype",
            "check",
            "stage",
            "forfeit",
            "scrap",
        )
        assert LIFE.acts_from("complete", HELD) == ("retype", "forfeit")

    def test_every_state_says_what_comes_next(self):
        assert all(LIFE.next_step(state, FREE) for state in CRATE_STATES)
        assert LIFE.next_step("emptied", HELD).startswith("Leave it as found")
        assert LIFE.next_step("shipped", HELD) == LIFE.next_step("shipped", FREE)

    def test_the_table_prints_every_cell(self):
        lines = LIFE.table().split("\n")
        assert lines[:2] == [
            "| act | right | from | to |",
            "|---|---|---|---|",
        ]
        assert "| Ship back | ship-crates | staged | shipped |" in lines
        assert (
            "| Check against the parts list | keep-crates | emptied, complete, incomplete, damaged "
            "| complete or incomplete or damaged |" in lines
        )
        assert len(lines) == 2 + sum(
            len({frozenset(ends) for ends in row.values()}) for row in EXPECTED.values()
        )


class TestCheck:
    def test_nothing_wrong_is_complete(self):
        assert result_of((PartFound("panel", 4), PartFound("lid", 1))) == "complete"

    def test_no_parts_list_is_complete(self):
        assert result_of(()) == "complete"

    def test_damage_alone_is_damaged(self):
        assert result_of((PartFound("panel", 4, damaged=1),)) == "damaged"

    def test_a_missing_part_goes_before_a_damaged_one(self):
        parts = (PartFound("panel", 4, damaged=1), PartFound("lid", 1, missing=1))
        assert result_of(parts) == "incomplete"

    def test_all_may_be_missing_or_damaged_and_no_more(self):
        assert result_of((PartFound("panel", 4, 3, 1),)) == "incomplete"
        with pytest.raises(ValueError, match="panel: 4 required, but"):
            result_of((PartFound("panel", 4, 4, 1),))

    def test_the_words_name_each_part(self):
        parts = (
            PartFound("panel", 4, missing=1, damaged=2),
            PartFound("lid", 1),
            PartFound("bracket", 8, damaged=3),
        )
        assert (
            found_in_words(parts)
            == "1 panel missing, 2 panel damaged, 3 bracket damaged"
        )


class TestDisposal:
    def test_an_opened_one_way_crate_may_go(self):
        facts = DisposalFacts(kind="one-way", is_opened=True, is_refused=False)
        assert why_not_dispose(facts) == ""

    @pytest.mark.parametrize(
        ("changes", "words"),
        [
            ({"kind": "reusable"}, "Scrap it instead"),
            ({"is_refused": True}, "not ours"),
            ({"is_opened": False}, "has not been opened"),
            ({"disposal": "landfill"}, "already disposed of: landfill"),
            ({"is_held": True}, "on hold"),
        ],
    )
    def test_each_reason_against_it_is_said(self, changes, words):
        values = {"kind": "one-way", "is_opened": True, "is_refused": False}
        against = why_not_dispose(DisposalFacts(**{**values, **changes}))
        assert words in against
        assert against.endswith("Nothing was changed.")
